"""What a person says of a log, and what was made of its columns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["Chosen", "ColumnRead", "LogOptions"]


@dataclass(frozen=True, slots=True)
class LogOptions:
    """What a person says where a log does not, or not rightly.

    ``columns`` maps roles (time, pressure, height, push, battery, temperature) to a column's name
    or number from 1; ``states`` are columns whose words or levels are kept as states.
    ``units`` maps columns to units, ``scales`` to (factor, offset): the unit's value is
    ``factor * count + offset``. ``every_s`` is the time from row to row; a time column is then
    left aside. ``ignored`` columns are nothing, and with ``only_told`` nothing is looked for beyond
    what is told. ``flight_number``, from 1, is the flight to read of a log that holds several.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    scales: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    every_s: float | None = None
    delimiter: str | None = None
    decimal: str | None = None
    states: tuple[str, ...] = ()
    ignored: tuple[str, ...] = ()
    only_told: bool = False
    flight_number: int | None = None


@dataclass(frozen=True, slots=True)
class ColumnRead:
    """What a column (from 1) was taken for: a role or "not used", its unit, and the reason.

    The SI value is ``factor * cell + offset``. ``doubt`` says what of it is concluded from the
    numbers alone, empty where names and what was told settle it.
    """

    number: int
    name: str
    role: str
    unit: str | None
    why: str
    factor: float = 1.0
    offset: float = 0.0
    doubt: str = ""

    def describe(self, why: str | None = None) -> str:
        """One line for a person; ``why`` takes the place of the reason."""
        unit = f" in {self.unit}" if self.unit else ""
        return f"column {self.number} ({self.name}): {self.role}{unit}; {why or self.why}"


@dataclass(frozen=True, slots=True)
class Chosen:
    """The columns of a log: one for each role, and those that hold states."""

    roles: Mapping[str, ColumnRead]
    states: tuple[ColumnRead, ...]
