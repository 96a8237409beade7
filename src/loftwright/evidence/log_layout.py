"""Where the rows of a flight log stand: numbers, clock times, words and empty cells in columns."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

from loftwright.evidence.header import column_names
from loftwright.evidence.layout import LEAST_ROWS, LOOK_AHEAD, Layout, is_number, is_skipped, pairs
from loftwright.evidence.log_labels import known_words
from loftwright.evidence.log_problems import log_problem
from loftwright.evidence.text import Lines

__all__ = ["Cell", "LogLayout", "cells_of", "clock_seconds", "find_log_layout", "kind_of"]

EMPTY = {"", "-", "--", "nan", "na", "n/a", "null", "none"}
CLOCK = re.compile(
    r"(?:(\d{4})-(\d\d)-(\d\d)[T ])?(\d{1,2}):(\d\d):(\d\d(?:[.,]\d{1,9})?)Z?", re.ASCII
)
MOST_COLUMNS = 200
SAME = 1e-9


class Cell(Enum):
    """What a cell holds."""

    NUMBER = "number"
    CLOCK = "clock time"
    WORD = "word"
    EMPTY = "nothing"


@dataclass(frozen=True, slots=True)
class LogLayout:
    """How rows are written, and what each column holds in most of them."""

    layout: Layout
    kinds: tuple[Cell, ...]
    names: tuple[str, ...]  # one a column, or none
    names_line: int | None


@dataclass(frozen=True, slots=True)
class _Candidate:
    layout: Layout
    kinds: tuple[Cell, ...]
    score: float  # rows explained, each by the share of its characters that are numbers
    row: tuple[str, ...]  # the first row, as it is read


def cells_of(line: str, delimiter: str, columns: int | None = None) -> list[str]:
    """Cells of a row without blanks and quotes around them; empty ones count.

    Empty cells beyond ``columns`` are left out, as a delimiter at the end of a line makes them.
    """
    if delimiter == " ":
        return line.split()
    cells = line.split(delimiter)
    if '"' in line:
        cells = [cell.strip().strip('"') for cell in cells]
    cells = [cell.strip() for cell in cells]
    while columns is not None and len(cells) > columns and not cells[-1]:
        cells.pop()
    return cells


def kind_of(cell: str, decimal: str) -> Cell:
    """Return what a cell holds."""
    if is_number(cell, decimal):
        return Cell.NUMBER
    if cell.lower() in EMPTY:
        return Cell.EMPTY
    return Cell.CLOCK if CLOCK.fullmatch(cell) else Cell.WORD


def clock_seconds(cell: str) -> float:
    """Seconds since midnight of a clock time; since the first of March 2000 with a date.

    Days are counted by the proleptic Gregorian calendar. Not-a-number for anything else.
    """
    match = CLOCK.fullmatch(cell)
    if match is None:
        return float("nan")
    year, month, day, hour, minute, second = match.groups()
    days = 0
    if year is not None:
        y, m = (int(year), int(month) - 3) if int(month) > 2 else (int(year) - 1, int(month) + 9)
        y -= 2000
        days = 365 * y + y // 4 - y // 100 + y // 400 + (153 * m + 2) // 5 + int(day) - 1
    return (days * 24 + int(hour)) * 3600.0 + int(minute) * 60.0 + float(second.replace(",", "."))


def _column_kinds(rows: Sequence[list[Cell]]) -> tuple[Cell, ...]:
    """Return what each column holds in most rows that hold anything; later rows, no header's.

    A column that falls silent is what it was before: numbers, where it held any.
    """
    kinds = []
    for column in zip(*rows, strict=True):
        held = Counter(kind for kind in column[len(rows) // 2 :] if kind is not Cell.EMPTY)
        silent = Cell.NUMBER if Cell.NUMBER in column else Cell.EMPTY
        kinds.append(held.most_common(1)[0][0] if held else silent)
    return tuple(kinds)


def _fits(found: Sequence[Cell], kinds: Sequence[Cell]) -> bool:
    """Whether a row is like the others: something measured in it, and nothing in a wrong place."""
    if len(found) != len(kinds):
        return False
    measured = False
    for cell, kind in zip(found, kinds, strict=True):
        if kind is Cell.WORD or cell is Cell.EMPTY:
            continue
        if cell is not kind:
            return False
        measured = True
    return measured


def _half_fits(found: Sequence[Cell], kinds: Sequence[Cell]) -> bool:
    """Tell a damaged row from a header line, which is not half numbers."""
    wanted = [i for i, kind in enumerate(kinds) if kind in {Cell.NUMBER, Cell.CLOCK}]
    good = sum(found[i] is kinds[i] for i in wanted) if len(found) == len(kinds) else 0
    return good > 0 and 2 * good >= len(wanted)


def _candidate(texts: Sequence[str], delimiter: str, decimal: str) -> _Candidate | None:
    """Find the rows that a delimiter and a decimal mark explain."""
    lines = [(i, text) for i, text in enumerate(texts) if not is_skipped(text)][: 2 * LOOK_AHEAD]
    cells = {i: cells_of(text, delimiter) for i, text in lines}
    found = {i: [kind_of(cell, decimal) for cell in row] for i, row in cells.items()}
    counts = Counter(len(row) for row in found.values() if Cell.NUMBER in row or Cell.CLOCK in row)
    if not counts:
        return None
    columns = max(counts, key=lambda count: (counts[count], count))
    rows = [row for row in found.values() if len(row) == columns]
    kinds = _column_kinds(rows)
    # A delimiter at the end of each line makes no column; one that has a name is there.
    while kinds and all(row[len(kinds) - 1] is Cell.EMPTY for row in rows):
        kinds = kinds[:-1]
    if Cell.NUMBER not in kinds or len(kinds) > MOST_COLUMNS:
        return None
    found = {i: _trimmed(row, len(kinds)) for i, row in found.items()}
    good = [i for i, row in found.items() if _fits(row, kinds)]
    first = _first(list(found), set(good))
    if first is None:
        return None
    while (before := _before(lines, first)) is not None and _half_fits(found[before], kinds):
        first = before
    layout = Layout(delimiter, decimal, first, len(kinds), len(good))
    score = sum(_explained(cells[i], found[i]) for i in good if i >= first)
    row = tuple(cell.replace(decimal, ".") for cell in cells[good[0]][: len(kinds)])
    return _Candidate(layout, kinds, score, row)


def _trimmed(row: list[Cell], columns: int) -> list[Cell]:
    while len(row) > columns and row[-1] is Cell.EMPTY:
        row = row[:-1]
    return row


def _before(lines: Sequence[tuple[int, str]], first: int) -> int | None:
    return next((j for (j, _), (i, _) in pairwise(lines) if i == first), None)


def _first(indices: Sequence[int], good: set[int]) -> int | None:
    """Return the first line of a few that fit in a row."""
    run: list[int] = []
    for index in indices:
        run = [*run, index] if index in good else []
        if len(run) == LEAST_ROWS:
            return run[0]
    return None


def _explained(cells: Sequence[str], found: Sequence[Cell]) -> float:
    """Share of a row's characters that are numbers or clock times."""
    told = sum(
        len(cell)
        for cell, kind in zip(cells, found, strict=False)
        if kind in {Cell.NUMBER, Cell.CLOCK}
    )
    return told / max(1, sum(map(len, cells)))


def _names(lines: Lines, layout: Layout) -> tuple[tuple[str, ...], int | None]:
    """Name the columns by the header line that is understood best, else by the one above them."""
    texts = list(lines.texts[: layout.first + 1])
    for i, text in enumerate(texts[:-1]):
        cells = cells_of(text, layout.delimiter)
        if len(cells) == layout.columns > 1 and not cells[0] and all(cells[1:]):
            texts[i] = f"index{text.lstrip()}"  # a numbered table leaves its first name out
    names, line = column_names(replace(lines, texts=tuple(texts)), layout, known_words)
    if names or not layout.first:
        return names, line
    texts[:-2] = [""] * len(texts[:-2])
    return column_names(replace(lines, texts=tuple(texts)), layout, lambda _: 1)


def find_log_layout(
    lines: Lines, *, delimiter: str | None, decimal: str | None, alone: bool
) -> LogLayout:
    """Find the delimiter, the decimal mark, the names, and the first row of a log.

    The reading that makes numbers of most characters is taken. Without ``alone`` a reading in one
    column is none: time and pressure stand beside each other. Of readings that explain as much,
    the one whose columns the header names is taken.

    Raises
    ------
    ProblemError
        No rows, or readings that fit equally well.
    """
    found = [_candidate(lines.texts, *pair) for pair in pairs(delimiter, decimal)]
    some = [each for each in found if each is not None and (alone or each.layout.columns > 1)]
    if not some:
        raise log_problem("log-no-rows", file=lines.name, lines=len(lines.texts))
    most = max(each.score for each in some)
    best = [each for each in some if each.score >= most * (1.0 - SAME)]
    named = [(each, *_names(lines, each.layout)) for each in best]
    if len({each.row for each in best}) > 1:
        named = [each for each in named if each[1]]
    if len({each.row for each, _, _ in named}) != 1:
        first = best[0].layout.first
        value = lines.texts[first].strip()[:60]
        raise log_problem("log-decimal-unclear", file=lines.name, line=first + 1, value=value)
    chosen, names, names_line = named[0]
    return LogLayout(chosen.layout, chosen.kinds, names, names_line)
