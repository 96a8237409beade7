"""The rows of a log into arrays, block by block; what cannot be read is counted, with its line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.layout import is_number, is_skipped
from loftwright.evidence.log_layout import Cell, LogLayout, cells_of, clock_seconds, kind_of
from loftwright.evidence.stream import Block

__all__ = ["MOST_ROWS", "Damage", "Marks", "RowReader", "head_table"]

Floats = NDArray[np.float64]
MOST_ROWS = 20_000_000  # at 40 bytes a row in memory
MOST_MARKS = 1000  # changes of state that are kept
BEYOND = 1e100  # in whatever unit; differences of such numbers are numbers still
LONGEST_WORD = 80  # characters of a state that are kept
# One column of plain numbers, a line each; possessive, so that nothing is tried twice.
PLAIN = {
    mark: re.compile(
        rf"(?:[ \t]*+[+-]?+(?:\d++(?:{point}\d*+)?+|{point}\d++)"
        r"(?:[eE][+-]?+\d{1,2}+)?+[ \t]*+(?:\n|\Z))*+",
        re.ASCII,
    )
    for mark, point in ((".", r"\."), (",", ","))
}


@dataclass
class Damage:
    """Rows that are left out: how many, where the first is, and what is wrong with it."""

    count: int = 0
    line: int = 0
    why: str = ""

    def add(self, line: int, why: str) -> None:
        """Count one more."""
        self.count += 1
        if self.count == 1:
            self.line, self.why = line, why


@dataclass
class Marks:
    """Changes of a column of states: (line, words); ``lost`` counts those beyond the limit."""

    changes: list[tuple[int, str]]
    lost: int = 0

    def see(self, line: int, word: str) -> None:
        """Keep a state that is another than the one before it."""
        word = word[:LONGEST_WORD]
        if self.changes and self.changes[-1][1] == word:
            return
        if len(self.changes) < MOST_MARKS:
            self.changes.append((line, word))
        else:
            self.lost += 1


class RowReader:
    """Reads chosen columns of all rows, each into an array of its own.

    ``columns`` are those with numbers or times of day, ``states`` those whose words or levels are
    kept where they change. Lines beyond ``window``, from the first to the last, are left aside.
    After the last block, ``take_lines`` numbers the rows, ``(n,)``, and ``take`` hands each column
    over; either may be called after each block as well, where nothing is to be kept for long.
    """

    def __init__(
        self,
        layout: LogLayout,
        columns: Sequence[int],
        states: Sequence[int] = (),
        window: tuple[int, int] | None = None,
    ) -> None:
        self.layout, self.columns, self.window = layout, tuple(columns), window
        self.damage = Damage()
        self.marks = {column: Marks([]) for column in states}
        self.skipped = self.rows = 0
        self.cut: tuple[int, str] | None = None  # last line and its number
        self._last: list[str] = []  # the row before the block
        self._parts: dict[int, list[Floats]] = {column: [] for column in columns}
        self._lines: list[NDArray[np.int32]] = []

    def read(self, block: Block) -> None:
        """Read the rows of a block that lie below the header."""
        start = max(0, self.layout.layout.first + 1 - block.first)
        end = len(block.texts)
        if self.window is not None:
            start = max(start, self.window[0] - block.first)
            end = max(start, min(end, self.window[1] + 1 - block.first))
        texts = block.texts[start:end]
        whole = end == len(block.texts)
        if block.cut and whole and texts and not self._is_whole(texts):
            self.cut = (block.first + start + len(texts) - 1, texts.pop())
        self._last = [*self._last, *texts[-1:]][-1:]
        numbers = np.arange(block.first + start, block.first + start + len(texts), dtype=np.int32)
        keep = [not is_skipped(text) for text in texts]
        if not all(keep):
            self.skipped += len(keep) - sum(keep)
            texts = [text for text, kept in zip(texts, keep, strict=True) if kept]
            numbers = numbers[np.array(keep, dtype=bool)]
        if texts:
            self._rows(texts, numbers)

    def take(self, column: int) -> Floats:
        """Hand a column over, in the file's units; it is not kept here."""
        parts, self._parts[column] = self._parts[column], []
        return np.concatenate(parts) if parts else np.zeros(0)

    def take_lines(self) -> NDArray[np.int32]:
        """Hand the line numbers over."""
        lines, self._lines = self._lines, []
        return np.concatenate(lines) if lines else np.zeros(0, dtype=np.int32)

    def _is_whole(self, texts: list[str]) -> bool:
        """Whether a last row without a line end looks finished: its last cell too is as long."""
        layout = self.layout.layout
        if is_skipped(texts[-1]):
            return True
        beside = (self._last + texts)[-2:]
        before, last = (cells_of(beside[i], layout.delimiter, layout.columns) for i in (0, -1))
        return self._wrong(last) is None and len(last[-1]) >= len("".join(before[-1:]))

    def _rows(self, texts: Sequence[str], numbers: NDArray[np.int32]) -> None:
        layout = self.layout.layout
        rows = [cells_of(text, layout.delimiter, layout.columns) for text in texts]
        if all(len(row) == layout.columns for row in rows):
            fast = self._fast(list(zip(*rows, strict=True)))
        else:
            fast = None
        if fast is None:
            rows, numbers, fast = self._slow(rows, numbers)
        for column, values in fast.items():
            self._parts[column].append(values)
        self._lines.append(numbers)
        self.rows += len(numbers)
        for column, marks in self.marks.items():
            _mark(marks, [row[column] for row in rows], numbers)

    def _fast(self, cells: Sequence[Sequence[str]]) -> dict[int, Floats] | None:
        """Return all columns where each cell is a plain number; None where a closer look is due."""
        found = {}
        for column in self.columns:
            text = "\n".join(cells[column])
            mark = self.layout.layout.decimal
            if PLAIN[mark].fullmatch(text) is None:
                return None
            values = np.fromstring(text.replace(",", ".") if mark == "," else text, sep="\n")
            if len(values) != len(cells[column]) or not np.isfinite(values).all():
                return None
            found[column] = values
        return found

    def _slow(
        self, rows: list[list[str]], numbers: NDArray[np.int32]
    ) -> tuple[list[list[str]], NDArray[np.int32], dict[int, Floats]]:
        """Read cell by cell; rows with a cell that is neither number nor empty are damaged."""
        good = []
        for place, (row, number) in enumerate(zip(rows, numbers.tolist(), strict=True)):
            why = self._wrong(row)
            if why is None:
                good.append(place)
            else:
                self.damage.add(number, why)
        kept = [rows[place] for place in good]
        values = {c: np.array([self._value(row[c]) for row in kept]) for c in self.columns}
        return kept, numbers[good], values

    def _wrong(self, row: Sequence[str]) -> str | None:
        """Say what keeps a row from being read."""
        layout = self.layout.layout
        if len(row) != layout.columns:
            return f"it has {len(row)} cell(s) where the others have {layout.columns}"
        for column in self.columns:
            kind = kind_of(row[column], layout.decimal)
            if kind not in {self.layout.kinds[column], Cell.EMPTY} or not self._is_finite(
                row[column], kind
            ):
                wanted = self.layout.kinds[column].value
                return f"{row[column][:30]!r} in column {column + 1} is no {wanted}"
        return None

    def _is_finite(self, cell: str, kind: Cell) -> bool:
        return kind is not Cell.NUMBER or abs(self._value(cell)) < float("inf")

    def _value(self, cell: str) -> float:
        if is_number(cell, self.layout.layout.decimal):
            return float(cell.replace(",", "."))
        return clock_seconds(cell)


def _mark(marks: Marks, words: Sequence[str], numbers: NDArray[np.int32]) -> None:
    last = marks.changes[-1][1] if marks.changes else None
    if words and all(word == last for word in words):
        return
    for number, word in zip(numbers.tolist(), words, strict=True):
        if word:
            marks.see(number, word)


def head_table(layout: LogLayout, texts: Sequence[str]) -> Floats:
    """Return all columns of a log's first rows, ``(rows, columns)``; not-a-number for words."""
    plain = layout.layout
    table = []
    for text in texts[plain.first :]:
        cells = [] if is_skipped(text) else cells_of(text, plain.delimiter, plain.columns)
        if len(cells) == plain.columns:
            table.append([_number(cell, plain.decimal) for cell in cells])
    return np.array(table, dtype=np.float64).reshape(-1, plain.columns)


def _number(cell: str, decimal: str) -> float:
    value = float(cell.replace(",", ".")) if is_number(cell, decimal) else float("nan")
    return value if abs(value) < BEYOND else float("nan")
