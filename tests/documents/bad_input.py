"""Bad input as data: each case is declared once, tested, and printed in the docs.

A room declares a ``SECTION`` in a file ``tests/<room>/bad_*.py``; the page collects them all.
Run this file to write the page anew: ``python tests/documents/bad_input.py``.
"""

from __future__ import annotations

import importlib
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from loftwright.errors import Problem, as_line
from loftwright.errors.render import printable

TESTS = Path(__file__).resolve().parents[1]
PAGE = TESTS.parent / "docs" / "reference" / "bad-input.md"

HEAD = """# Bad input, and what is said about it

Every row is an input that is wrong in one way, and the message that it gets. The page is made by
the tests that hold each message in place. All problems of a campaign are reported in one run;
`loftwright explain CODE` tells more about each.
"""


@dataclass(frozen=True)
class Case:
    """One input that is wrong.

    ``written`` is the part that a person would see as wrong, ``codes`` what must be reported and
    nothing else, ``line`` where the first of them stands. ``problems`` makes the input in an
    empty folder and returns what is reported about it.
    """

    name: str
    written: str
    codes: tuple[str, ...]
    line: int | None
    problems: Callable[[Path], Sequence[Problem]]


@dataclass(frozen=True)
class Section:
    """The cases of one room."""

    title: str
    intro: str
    cases: tuple[Case, ...]


def sections() -> list[Section]:
    """Return the section of every ``tests/<room>/bad_*.py`` that declares one."""
    if str(TESTS) not in sys.path:
        sys.path.insert(0, str(TESTS))
    files = sorted(TESTS.glob("*/bad_*.py"))
    names = [f"{file.parent.name}.{file.stem}" for file in files if file.stem != "bad_input"]
    modules = [importlib.import_module(name) for name in names]
    return [module.SECTION for module in modules if hasattr(module, "SECTION")]


def page() -> str:
    """Return the page with the messages as they are now."""
    return "\n".join([HEAD, *(_section(section) for section in sections())])


def _section(section: Section) -> str:
    rows = [
        f"## {section.title}",
        "",
        section.intro,
        "",
        "| what | written | said |",
        "|---|---|---|",
    ]
    for case in section.cases:
        with tempfile.TemporaryDirectory() as folder:
            said = [as_line(problem) for problem in case.problems(Path(folder))]
            said = [line.replace(folder + os.sep, "…/").replace(folder, "…") for line in said]
        cells = (case.name, _code(case.written), "<br>".join(map(_code, said)))
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"


def _code(text: str) -> str:
    if not text:
        return "(nothing)"
    lines = [printable(line, 400) for line in text.strip("\n").split("\n")]
    shown = " ⏎ ".join(lines).replace("|", "\\|")
    fence = "``" if "`" in shown else "`"
    return f"{fence}{shown}{fence}"


if __name__ == "__main__":
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
    print(f"{sum(len(section.cases) for section in sections())} cases in {PAGE}")
