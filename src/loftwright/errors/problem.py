"""What a problem is made of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

__all__ = ["Problem", "ProblemError", "Severity", "Where"]

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True)
class Where:
    """A place: as much of it as is known.

    ``line`` and ``column`` count from 1, in characters. ``field`` is the path of the field in its
    file (``"fill.gauge_pressure"``), ``value`` what stands there as written, ``source`` the whole
    line of the file, and ``width`` how many characters from ``column`` on are to blame.
    """

    file: str | None = None
    line: int | None = None
    column: int | None = None
    field: str | None = None
    value: str | None = None
    source: str | None = None
    width: int = 1


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong (``error``) or doubtful (``warning``), and how to mend it.

    ``code`` has a page in the catalogue; ``message`` and ``mend`` are short plain sentences
    without a full stop at the end.
    """

    code: str
    message: str
    where: Where = Where()
    mend: str = ""
    severity: Severity = "error"


class ProblemError(Exception):
    """Raised with every problem that was found; at least one of them is an error."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        from loftwright.errors.render import as_line

        return "\n".join(as_line(problem) for problem in self.problems)
