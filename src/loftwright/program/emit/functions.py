"""C functions as lines of text, none longer than a sheet of paper."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from loftwright.program.emit.words import comment

__all__ = ["Function", "Lines", "in_parts", "indented"]

Lines = list[str]
MOST_LINES = 36  # of a body's statements; with checks, braces and wrapped lines below sixty
_POINTERS = ("state", "reading")


@dataclass(frozen=True)
class Function:
    """A C function: what it does in words, its head, its checks, and its statements."""

    said: str
    head: str  # up to its parameters, without the brace
    body: Lines
    checks: Lines = field(default_factory=list)  # further ones than that pointers lead somewhere

    def lines(self) -> Lines:
        """The function as text; what only checks read is named, for builds without checks."""
        names = re.findall(r"(\w+)(?=[,)])", self.head.partition("(")[2])
        checks = [f"{name} != NULL" for name in names if name in _POINTERS] + self.checks
        body = "\n".join(self.body)
        unread = [name for name in names if not re.search(rf"\b{name}\b", body)]
        inside = [f"assert({check});" for check in checks]
        inside += [f"(void){name};" for name in unread] + self.body
        return [*comment(self.said), self.head, "{", *indented(inside), "}", ""]


def indented(lines: Sequence[str]) -> Lines:
    """Return lines one level deeper; an entry may hold several lines."""
    return [f"    {line}" if line else "" for entry in lines for line in entry.split("\n")]


def in_parts(name: str, pieces: Sequence[Lines]) -> list[tuple[str, Lines]]:
    """Share out statements that belong together piece by piece into functions short enough.

    Returns names and statements; the first one's name is ``name`` itself.
    """
    parts: list[Lines] = [[]]
    for piece in pieces:
        if parts[-1] and len(parts[-1]) + len(piece) > MOST_LINES:
            parts.append([])
        parts[-1] += piece
    names = [name, *(f"part_{number}_of_{name}" for number in range(2, len(parts) + 1))]
    return list(zip(names, parts, strict=True))
