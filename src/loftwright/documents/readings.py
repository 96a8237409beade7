"""``readings.toml``: how the columns of recorded files are read, kept under names."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, quantity, tables, text

__all__ = ["DELIMITERS", "READINGS_FILE", "ColumnReading", "Reading", "Readings"]

READINGS_FILE = "readings.toml"
DELIMITERS = ("tab", "comma", "semicolon", "blanks")


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnReading:
    """What one column is; columns that are not told of are left aside."""

    column: str = text("Its name in the file, or its number from 1.", example="baro")
    role: str = choice(
        "time",
        "pressure",
        "height",
        "push",
        "battery",
        "temperature",
        "state",
        "force",
        doc="What it holds; push is acceleration along the axis as a sensor feels it.",
        key="is",
    )
    unit: str | None = text("Its unit.", default=None, example="hPa")
    factor: Quantity | None = quantity(
        "number", "Of raw counts: what a count is in that unit.", default=None, example="0.25"
    )
    offset: Quantity | None = quantity(
        "number", "Of raw counts: what none is in that unit.", default=None, example="0"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A layout of files, and what stands in its columns."""

    name: str = text("What the reading is called.", example="board")
    kind: str = choice("log", "firing", doc="What it is of.", default="log")
    shape: str | None = text(
        "What such files are known by again: their columns and a digest of the names.",
        default=None,
        example="5 columns, 3f2a91c4d0b7",
    )
    delimiter: str | None = choice(*DELIMITERS, doc="What stands between columns.", default=None)
    decimal: str | None = choice(".", ",", doc="What marks decimals.", default=None)
    every: Quantity | None = quantity(
        "time",
        "Time from row to row, in place of a column of time.",
        default=None,
        at_least=1e-6,
        at_most=60,
        example="20 ms",
    )
    column: tuple[ColumnReading, ...] = tables(ColumnReading, "Its columns.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """How the columns of recorded files are read; each reading is told by its name."""

    reading: tuple[Reading, ...] = tables(Reading, "The readings.")
