"""A document's text line by line, with what was found beside the line that it is about."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from loftwright.errors import Problem

__all__ = ["Said", "TextLine", "text_lines"]


@dataclass(frozen=True, slots=True)
class Said:
    """Something that was found: whether it only warns, what it is, how to mend it, its code."""

    warns: bool
    message: str
    mend: str
    code: str


@dataclass(frozen=True, slots=True)
class TextLine:
    """A line with its number; ``before``, ``blamed`` and ``after`` are its text in three parts.

    ``blamed`` is what the first thing that was found is about; empty where nothing was.
    """

    number: int
    before: str
    blamed: str
    after: str
    said: tuple[Said, ...]


def text_lines(
    text: str, problems: Iterable[Problem], file: str
) -> tuple[list[TextLine], list[Said]]:
    """Return the lines of ``text``, and what was found that is about no line of this ``file``."""
    beside: dict[int, list[Problem]] = defaultdict(list)
    elsewhere: list[Said] = []
    lines = text.removeprefix("\ufeff").splitlines()
    for problem in problems:
        line = problem.where.line
        if problem.where.file == file and line is not None and 1 <= line <= len(lines):
            beside[line].append(problem)
        else:
            elsewhere.append(_said(problem))
    return [_line(number, line, beside[number]) for number, line in enumerate(lines, 1)], elsewhere


def _said(problem: Problem) -> Said:
    return Said(problem.severity == "warning", problem.message, problem.mend, problem.code)


def _line(number: int, text: str, found: list[Problem]) -> TextLine:
    said = tuple(map(_said, found))
    column = found[0].where.column if found else None
    if column is None:
        return TextLine(number, text, "", "", said)
    start = min(column - 1, len(text))
    end = min(start + max(found[0].where.width, 1), len(text))
    return TextLine(number, text[:start], text[start:end], text[end:], said)
