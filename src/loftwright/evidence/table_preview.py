"""The first rows of a recorded table, and each of its columns from end to end in few numbers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.files import open_regular
from loftwright.evidence.layout import is_skipped
from loftwright.evidence.log_choice import LogOptions
from loftwright.evidence.log_head import first_lines, first_sheet, first_that_decodes
from loftwright.evidence.log_layout import Cell, LogLayout, cells_of
from loftwright.evidence.log_rows import RowReader
from loftwright.evidence.stream import Source, read_blocks
from loftwright.evidence.text import Lines

__all__ = ["ColumnPreview", "TablePreview", "preview_table"]

Floats = NDArray[np.float64]
FIRST_ROWS = 6
LONGEST_CELL = 60  # characters
MOST_BINS = 240
LOOKS_AT = 64 << 20  # bytes; of a longer file the first ones are drawn


@dataclass(frozen=True, slots=True)
class ColumnPreview:
    """A column (from 1): its name, what its cells hold, and the first of them as written.

    ``low`` and ``high``, (n,), are the least and the greatest number in each of n equal parts of
    the rows, in the file's units; not-a-number where a part holds none, empty where the column
    holds no numbers.
    """

    number: int
    name: str
    holds: str
    cells: tuple[str, ...]
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class TablePreview:
    """A table in a file: how it is written, its columns, and how many rows were looked at.

    ``lines`` numbers the first rows from 1. ``whole`` tells that all of the file was looked at.
    """

    delimiter: str
    decimal: str
    describes: str
    names_line: int | None
    lines: tuple[int, ...]
    columns: tuple[ColumnPreview, ...]
    rows: int
    damaged: int
    whole: bool


def preview_table(path: Path, options: LogOptions) -> TablePreview:
    """Return what there is to see of a table, whatever its columns mean.

    Of ``options``, delimiter and decimal mark count, and whether rows are counted for time.

    Raises ``ProblemError`` where the file cannot be read or begins with no table of numbers.
    """
    with open_regular(path, name=path.name) as stream:
        source = Source(stream, path.name)
        return first_that_decodes(source, lambda encoding: _preview(source, encoding, options))


def _preview(source: Source, encoding: str, options: LogOptions) -> TablePreview:
    lines = first_lines(source, encoding)
    plain = LogOptions(
        every_s=options.every_s, delimiter=options.delimiter, decimal=options.decimal
    )
    sheet, _ = first_sheet(lines, plain)
    layout = sheet.layout
    drawn = [i for i, kind in enumerate(layout.kinds) if kind in {Cell.NUMBER, Cell.CLOCK}]
    bins, rows, whole = _Bins(len(drawn)), RowReader(layout, drawn), True
    for block in read_blocks(source, encoding):
        rows.read(block)
        rows.take_lines()
        bins.feed(np.stack([rows.take(column) for column in drawn], axis=1))
        if source.done > LOOKS_AT:
            whole = False
            break
    low, high = bins.finish()
    numbers, cells = _first_rows(layout, lines)
    nothing = np.zeros(0)
    between = layout.layout.delimiter
    columns = tuple(
        ColumnPreview(
            number=i + 1,
            name=name,
            holds=layout.kinds[i].value,
            cells=tuple(row[i] for row in cells),
            low=low[:, drawn.index(i)] if i in drawn else nothing,
            high=high[:, drawn.index(i)] if i in drawn else nothing,
        )
        for i, name in enumerate(sheet.names)
    )
    return TablePreview(
        {"\t": "tab", ",": "comma", ";": "semicolon"}.get(between, "blanks"),
        layout.layout.decimal,
        layout.layout.describe(),
        layout.names_line,
        numbers,
        columns,
        rows.rows,
        rows.damage.count,
        whole,
    )


def _first_rows(layout: LogLayout, lines: Lines) -> tuple[tuple[int, ...], list[list[str]]]:
    plain = layout.layout
    numbers: list[int] = []
    rows: list[list[str]] = []
    for number, text in enumerate(lines.texts[plain.first :], start=plain.first + 1):
        if len(rows) == FIRST_ROWS:
            break
        if is_skipped(text):
            continue
        cells = cells_of(text, plain.delimiter, plain.columns)
        if len(cells) == plain.columns:
            numbers.append(number)
            rows.append([cell[:LONGEST_CELL] for cell in cells])
    return tuple(numbers), rows


class _Bins:
    """Least and greatest numbers over equal parts of rows that come in pieces, side by side."""

    def __init__(self, columns: int) -> None:
        self._each = 1  # rows of a part
        self._low = np.zeros((0, columns))
        self._high = np.zeros((0, columns))
        self._left = np.zeros((0, columns))

    def feed(self, values: Floats) -> None:
        """Take the next rows, (n, columns)."""
        values = np.concatenate([self._left, values])
        full = len(values) // self._each * self._each
        self._left = values[full:]
        self._add(values[:full])
        while len(self._low) >= 2 * MOST_BINS:
            self._halve()

    def finish(self) -> tuple[Floats, Floats]:
        """Return the least and the greatest numbers, (parts, columns)."""
        if len(self._left):
            self._low = np.concatenate([self._low, _over(self._left[None], np.fmin)])
            self._high = np.concatenate([self._high, _over(self._left[None], np.fmax)])
        return self._low, self._high

    def _add(self, values: Floats) -> None:
        if not len(values):
            return
        parts = values.reshape(-1, self._each, values.shape[1])
        self._low = np.concatenate([self._low, _over(parts, np.fmin)])
        self._high = np.concatenate([self._high, _over(parts, np.fmax)])

    def _halve(self) -> None:
        """Put every two parts together; an odd one at the end stays as it is."""
        pairs = len(self._low) // 2 * 2
        low, high = self._low, self._high
        self._low = np.concatenate([np.fmin(low[0:pairs:2], low[1:pairs:2]), low[pairs:]])
        self._high = np.concatenate([np.fmax(high[0:pairs:2], high[1:pairs:2]), high[pairs:]])
        self._each *= 2


def _over(parts: Floats, least_or_most: np.ufunc) -> Floats:
    """Return the bound over the rows of each part, without those that are not-a-number."""
    found: Floats = least_or_most.reduce(parts, axis=1)
    return found
