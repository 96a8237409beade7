"""The run cites itself: the references of the laws that it used, out of their docstrings."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Source", "law_sources", "references"]


@dataclass(frozen=True, slots=True)
class Source:
    """A law's import path, what it says in one sentence, and its references."""

    law: str
    sentence: str
    references: tuple[str, ...]


def law_sources(laws: Iterable[str]) -> list[Source]:
    """Return the sources of laws given as ``package.module.function``.

    A path may leave out ``loftwright.physics.``. A law that cannot be found is listed by its name
    alone: a report must not fail because a later version renamed a law.
    """
    return [_source(law) for law in dict.fromkeys(laws)]


def _source(law: str) -> Source:
    function = _find(law)
    text = inspect.getdoc(function) if function is not None else None
    if not text:
        return Source(law, "", ())
    return Source(law, _one_line(text.split("\n\n")[0]), references(text))


def _find(law: str) -> object | None:
    for path in (law, f"loftwright.{law}", f"loftwright.physics.{law}"):
        module, _, name = path.rpartition(".")
        try:
            found: object = vars(importlib.import_module(module))[name]
            return found
        except (ImportError, KeyError, ValueError):
            continue
    return None


def _one_line(text: str) -> str:
    return " ".join(text.replace("`", "").replace("*", "").split())


_HEADING = re.compile(r"^(References?|Sources?)\s*:?\s*(.*)$")
_ENTRY = re.compile(r"^(\.\. )?(\[\w+\]|[-*] |\d+\.)\s*")
_OTHERS = frozenset(("Examples", "Notes", "Parameters", "Returns", "Raises", "See Also", "Args"))


def references(docstring: str) -> tuple[str, ...]:
    """Return the entries of a docstring's "References" section, one line each.

    The section starts at a line ``References`` (underlined or not) or ``References: text`` and
    ends at the next heading. Entries are numbered, bulleted, or one paragraph each.
    """
    lines = docstring.splitlines()
    start = next((k for k, each in enumerate(lines) if _HEADING.match(each.strip())), None)
    if start is None:
        return ()
    first = _HEADING.match(lines[start].strip())
    entries: list[list[str]] = [[first[2]] if first and first[2] else []]
    for raw in lines[start + 1 :]:
        line = raw.strip()
        if line.rstrip(":") in _OTHERS:
            break
        if line and set(line) == {"-"}:
            continue
        if not line or _ENTRY.match(line):
            entries.append([])
        entries[-1].append(_ENTRY.sub("", line))
    return tuple(text for entry in entries if (text := _one_line(" ".join(entry))))
