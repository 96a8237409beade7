"""A release program as files of C99."""

from __future__ import annotations

from collections.abc import Mapping

from loftwright.program.emit.functions import Lines
from loftwright.program.emit.harness import harness
from loftwright.program.emit.header import header
from loftwright.program.emit.plan import make_plan
from loftwright.program.emit.readme import readme
from loftwright.program.emit.source import source
from loftwright.program.emit.words import comment
from loftwright.program.table import Table

__all__ = ["MARK", "emit", "is_emitted"]

MARK = "Emitted by Loftwright"  # stands in the first line of every file


def emit(
    table: Table, name: str | None = None, phrases: Mapping[tuple[int, int], str] | None = None
) -> dict[str, str]:
    """Return a release program as C99: contents of files by their names.

    They are ``<name>.h``, ``<name>.c``, ``harness.c`` and ``README.md``. What the C decides is what
    ``interpreter`` decides, to the bit, where float is IEEE 754 binary32.

    Parameters
    ----------
    table : Table
        The program.
    name : str, optional
        What its functions' and files' names begin with, made an identifier; the program's own name
        when left out.
    phrases : mapping, optional
        Conditions as their writer put them, by numbers of stage and exit, from 0; for comments.

    Raises
    ------
    ValueError
        For a table that no document becomes: without a stage, with more than 65534, with exits to
        stages or acts on outputs that are not there, or numbers that are not finite.
    """
    plan = make_plan(table, name, phrases or {})
    banner = _banner(table)
    return {
        f"{plan.name}.h": header(plan, banner),
        f"{plan.name}.c": source(plan, banner),
        "harness.c": harness(plan, banner),
        "README.md": readme(plan, MARK),
    }


def _banner(table: Table) -> Lines:
    said = f'{MARK} from the release program "{table.name}".'
    return [*comment(said), *comment("Change the program, not this file, and emit it again."), ""]


def is_emitted(content: bytes) -> bool:
    """Tell whether a file's content was emitted, and may be replaced by what is emitted next."""
    return MARK.encode() in content.split(b"\n", 1)[0]
