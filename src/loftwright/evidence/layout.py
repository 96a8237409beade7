"""Where the numbers of a record stand: delimiter, decimal mark, header and data rows."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.problems import problem
from loftwright.evidence.text import Lines

__all__ = [
    "DELIMITERS",
    "LEAST_ROWS",
    "LOOK_AHEAD",
    "Layout",
    "Table",
    "find_layout",
    "is_number",
    "is_skipped",
    "pairs",
    "read_table",
    "split_cells",
]

NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
# Rows of such numbers alone; any other spelling is looked at cell by cell.
PLAIN = {
    mark: re.compile(rf"(?:[+-]?\d+(?:{re.escape(mark)}\d*)?(?:\n|\Z))*", re.ASCII) for mark in ".,"
}
COMMENT = re.compile(r"\s*[%#]")
LOOK_AHEAD = 400  # lines of evidence for a layout
LEAST_ROWS = 3  # fewer are a header that happens to hold numbers
WORDS = {"\t": "tab", ",": "comma", ";": "semicolon", " ": "blanks"}
# What may be said of the delimiter: the character itself, or its name.
DELIMITERS = {**{mark: mark for mark in WORDS}, **{name: mark for mark, name in WORDS.items()}}


@dataclass(frozen=True, slots=True)
class Layout:
    """How rows are written, and where they begin (``first`` is an index into the lines)."""

    delimiter: str
    decimal: str
    first: int
    columns: int
    rows: int  # rows of this shape within the look-ahead

    def describe(self) -> str:
        """One sentence for the reader's notes."""
        mark = "comma" if self.decimal == "," else "point"
        return (
            f"{self.columns} column(s), {WORDS[self.delimiter]} between them, decimal {mark}; "
            f"numbers begin at line {self.first + 1}"
        )


@dataclass(frozen=True, slots=True)
class Table:
    """The numbers: ``values`` is (rows, columns), ``numbers`` the line number of each row."""

    values: NDArray[np.float64]
    numbers: NDArray[np.int64]
    decimals: int  # most digits after the decimal mark, the record's resolution
    notes: tuple[str, ...]


def split_cells(line: str, delimiter: str) -> list[str]:
    """Cells of a line without surrounding blanks; empty cells at both ends are left out."""
    cells = line.split() if delimiter == " " else [cell.strip() for cell in line.split(delimiter)]
    while cells and not cells[-1]:
        cells.pop()
    while cells and not cells[0]:
        cells.pop(0)
    return cells


def is_number(cell: str, decimal: str) -> bool:
    """Tell whether a cell is one number with that decimal mark."""
    if decimal == ",":
        if "." in cell:
            return False
        cell = cell.replace(",", ".")
    return NUMBER.fullmatch(cell) is not None


def _numeric_columns(line: str, delimiter: str, decimal: str) -> int:
    """How many numbers a line holds; 0 when anything else stands in it."""
    cells = split_cells(line, delimiter)
    return len(cells) if cells and all(is_number(cell, decimal) for cell in cells) else 0


def is_skipped(line: str) -> bool:
    """Tell whether a line is blank or a comment."""
    return not line.strip() or COMMENT.match(line) is not None


def _runs(counts: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int, int]]:
    """Yield runs of equal column counts as (first index, columns, length)."""
    start = 0
    for position in range(1, len(counts) + 1):
        if position == len(counts) or counts[position][1] != counts[start][1]:
            yield counts[start][0], counts[start][1], position - start
            start = position


def _counts(lines: Sequence[str], delimiter: str, decimal: str) -> list[tuple[int, int]]:
    """(index, numeric columns) of the lines, until there is evidence enough."""
    counts: list[tuple[int, int]] = []
    seen = 0
    for index, line in enumerate(lines):
        if is_skipped(line):
            continue
        columns = _numeric_columns(line, delimiter, decimal)
        counts.append((index, columns))
        seen += bool(columns)
        if seen >= LOOK_AHEAD:
            break
    return counts


def _damaged(line: str, layout: Layout) -> bool:
    """Tell a row with a few bad cells from a header line, which is not half numbers."""
    cells = split_cells(line, layout.delimiter)
    good = sum(is_number(cell, layout.decimal) for cell in cells)
    return len(cells) == layout.columns and good > 0 and 2 * good >= len(cells)


def _candidate(lines: Sequence[str], delimiter: str, decimal: str) -> Layout | None:
    """Find the rows that a delimiter and decimal mark explain; the longest run sets the columns.

    Rows before it with as many columns belong to it; what broke the run is then reported by its
    line, not taken for a header.
    """
    runs = [run for run in _runs(_counts(lines, delimiter, decimal)) if run[1]]
    long = [run for run in runs if run[2] >= LEAST_ROWS]
    if not long:
        return None
    columns = max(long, key=lambda run: run[2])[1]
    alike = [run for run in long if run[1] == columns]
    layout = Layout(delimiter, decimal, alike[0][0], columns, sum(run[2] for run in alike))
    first = layout.first
    while first and _damaged(lines[first - 1], layout):
        first -= 1
    return replace(layout, first=first)


def pairs(delimiter: str | None, decimal: str | None) -> Iterator[tuple[str, str]]:
    """Yield every delimiter and decimal mark that can stand together, but for what is given."""
    for mark in [decimal] if decimal else [".", ","]:
        for between in [delimiter] if delimiter else ["\t", ";", ",", " "]:
            if mark != between:
                yield between, mark


def _candidates(lines: Sequence[str], delimiter: str | None, decimal: str | None) -> list[Layout]:
    candidates = (_candidate(lines, *pair) for pair in pairs(delimiter, decimal))
    return [layout for layout in candidates if layout]


def _row(line: str, layout: Layout) -> tuple[str, ...]:
    cells = split_cells(line, layout.delimiter)
    return tuple(cell.replace(",", ".") if layout.decimal == "," else cell for cell in cells)


def find_layout(
    lines: Lines, *, delimiter: str | None = None, decimal: str | None = None
) -> Layout:
    """Find the delimiter, the decimal mark and the first row of numbers.

    Every combination of tab, comma, semicolon or blanks with a decimal point or comma is tried;
    the one that explains the most rows is taken. Two that explain equally many rows but read
    different numbers cannot be told apart, and that is an error rather than a guess.

    Raises
    ------
    ProblemError
        No rows of numbers, or two readings that fit equally well.
    """
    found = _candidates(lines.texts, delimiter, decimal)
    if not found:
        raise problem("evidence-no-rows", file=lines.name, facts={"lines": len(lines.texts)})
    most = max(layout.rows for layout in found)
    best = [layout for layout in found if layout.rows == most]
    first = max(layout.first for layout in best)
    rows = {_row(lines.texts[first], layout) for layout in best}
    if len(rows) > 1:
        raise problem(
            "evidence-decimal-unclear",
            file=lines.name,
            line=first + 1,
            value=lines.texts[first].strip()[:60],
        )
    return best[0]


def _data_rows(lines: Lines, layout: Layout) -> tuple[list[list[str]], list[int], list[str]]:
    """Cells of every row, their line numbers, and notes on lines left out."""
    rows: list[list[str]] = []
    numbers: list[int] = []
    skipped: list[int] = []
    for number, line in enumerate(lines.texts[layout.first :], start=layout.first + 1):
        if is_skipped(line):
            skipped.append(number)
            continue
        rows.append(split_cells(line, layout.delimiter))
        numbers.append(number)
    notes = []
    if skipped:
        notes.append(
            f"{len(skipped)} blank or comment line(s) among the numbers left out, "
            f"the first at line {skipped[0]}"
        )
    return rows, numbers, notes


def _drop_cut_row(
    lines: Lines, layout: Layout, rows: list[list[str]], numbers: list[int]
) -> list[str]:
    """Leave out a last row that the recorder did not finish writing."""
    if not lines.cut:
        return []
    last = rows[-1]
    complete = len(last) == layout.columns and all(is_number(c, layout.decimal) for c in last)
    if complete:
        return [f"line {numbers[-1]} has no line end; it is complete and was kept"]
    rows.pop()
    return [f"line {numbers.pop()} is cut off and was left out: {' '.join(last)[:40]!r}"]


def _plainly_good(layout: Layout, rows: list[list[str]]) -> bool:
    """Whether rows and characters are so regular that cells need no look one by one."""
    text = "\n".join(chain.from_iterable(rows))
    return (
        all(len(row) == layout.columns for row in rows)
        and not (layout.decimal == "," and "." in text)
        and PLAIN[layout.decimal].fullmatch(text) is not None
    )


def _check_rows(lines: Lines, layout: Layout, rows: list[list[str]], numbers: list[int]) -> None:
    """Raise a problem that names the first row or cell that is not as the others."""
    for cells, number in zip(rows, numbers, strict=True):
        for column, cell in enumerate(cells, start=1):
            if not is_number(cell, layout.decimal):
                raise problem(
                    "evidence-not-a-number",
                    file=lines.name,
                    line=number,
                    cell=column,
                    value=cell[:40],
                    source=lines.texts[number - 1],
                )
        if len(cells) != layout.columns:
            raise problem(
                "evidence-column-count",
                file=lines.name,
                line=number,
                value=len(cells),
                source=lines.texts[number - 1],
                facts={"expected": layout.columns},
            )


def _decimals(rows: Sequence[Sequence[str]]) -> int:
    """Most digits after the decimal point among the first rows."""
    sample = (cell for row in rows[:200] for cell in row)
    return max(
        (len(c.split(".")[1]) for c in sample if "." in c and "e" not in c.lower()), default=0
    )


def read_table(lines: Lines, layout: Layout) -> Table:
    """Read every row from the layout's first one to the end of the file.

    Raises
    ------
    ProblemError
        A cell that is not a number, or a row with another number of columns, by line and column.
    """
    rows, numbers, notes = _data_rows(lines, layout)
    notes += _drop_cut_row(lines, layout, rows, numbers)
    if not _plainly_good(layout, rows):
        _check_rows(lines, layout, rows, numbers)
    if layout.decimal == ",":
        rows = [[cell.replace(",", ".") for cell in row] for row in rows]
    values = np.array(rows, dtype=np.float64)
    if not np.isfinite(values).all():
        row, column = (int(k[0]) for k in np.nonzero(~np.isfinite(values)))
        raise problem(
            "evidence-not-a-number",
            file=lines.name,
            line=numbers[row],
            cell=column + 1,
            value=rows[row][column],
            source=lines.texts[numbers[row] - 1],
        )
    return Table(values, np.array(numbers, dtype=np.int64), _decimals(rows), tuple(notes))
