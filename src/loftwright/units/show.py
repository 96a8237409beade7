"""SI numbers in the units that a person thinks in."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from loftwright.units.table import DIMENSIONS

__all__ = ["Shown", "display_units", "format_quantity", "from_si"]

# For each dimension the rungs of a ladder: (from this SI magnitude on, unit). The unit that a
# whole column or axis takes comes first; a dimension that is not listed shows its SI unit.
_Ladder = tuple[tuple[float, str], ...]
_METRIC: dict[str, _Ladder] = {
    "length": ((1.0, "m"), (0.0, "mm"), (1e4, "km")),
    "area": ((0.1, "m^2"), (0.0, "cm^2")),
    "volume": ((0.1e-3, "L"), (0.0, "mL"), (1.0, "m^3")),
    "mass": ((0.0, "g"), (1.0, "kg")),
    "inertia": ((1e-3, "kg m^2"), (0.0, "g cm^2")),
    "time": ((0.1, "s"), (0.0, "ms")),
    "speed": ((0.0, "m/s"),),
    "gauge_pressure": ((0.0, "bar"), (1e7, "MPa")),
    "absolute_pressure": ((0.0, "hPa"), (1.5e5, "bara")),
    "temperature": ((0.0, "degC"),),
    "angle": ((0.0, "deg"),),
    "angular_rate": ((0.0, "deg/s"),),
    "current": ((1.0, "A"), (0.0, "mA")),
}
_US: dict[str, _Ladder] = _METRIC | {
    "length": ((0.3048, "ft"), (0.0, "in"), (1.5e4, "mi")),
    "area": ((0.01, "ft^2"), (0.0, "in^2")),
    "speed": ((0.0, "ft/s"),),
    "acceleration": ((0.0, "ft/s^2"),),
    "force": ((0.0, "lbf"),),
    "gauge_pressure": ((0.0, "psi"),),
    "absolute_pressure": ((0.0, "psia"),),
    "temperature": ((0.0, "degF"),),
    "temperature_difference": ((0.0, "degF"),),
    "energy": ((0.0, "ft lbf"),),
}
_SYSTEMS = {"metric": _METRIC, "us": _US}


class Shown(NamedTuple):
    """A quantity as a person reads it; ``str()`` joins number and unit."""

    number: str
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}".strip()


def _ladder(dimension: str, system: str) -> _Ladder:
    si = next(iter(DIMENSIONS[dimension].units))
    return _SYSTEMS[system].get(dimension, ((0.0, si),))


def display_units(system: str) -> dict[str, str]:
    """Map each dimension to the unit that columns and axes take in ``"metric"`` or ``"us"``."""
    return {dimension: _ladder(dimension, system)[0][1] for dimension in DIMENSIONS}


def from_si(value: Any, dimension: str, unit: str) -> Any:
    """Return the SI ``value`` (a number or an array) in ``unit`` of ``dimension``."""
    known = DIMENSIONS[dimension].units[unit]
    return (value - known.offset) / known.factor


def format_quantity(
    value: float,
    dimension: str,
    system: str = "metric",
    *,
    sd: float = 0.0,
    digits: int = 3,
    unit: str | None = None,
) -> Shown:
    """Show an SI ``value``, and its ``sd`` where it has one, in the units of ``system``.

    ``digits`` significant figures are shown, never fewer than the whole part has; an uncertain
    value ends where two figures of its sd end. ``unit`` overrides the choice of unit.
    """
    chosen = unit if unit is not None else _choose(abs(value), _ladder(dimension, system))
    number = from_si(value, dimension, chosen)
    if not math.isfinite(number):
        return Shown(str(number), chosen)
    if sd <= 0.0:
        return Shown(_write(number, _decimals(number, digits)), chosen)
    spread = sd / DIMENSIONS[dimension].units[chosen].factor
    places = _decimals(spread, 2)
    return Shown(f"{_write(number, places)} ± {_write(spread, places)}", chosen)


def _choose(magnitude: float, ladder: _Ladder) -> str:
    if magnitude == 0.0 or not math.isfinite(magnitude):
        return ladder[0][1]
    return max(rung for rung in ladder if magnitude >= rung[0])[1]


def _decimals(number: float, digits: int) -> int:
    """Return the decimals at which ``number`` shows ``digits`` significant figures."""
    if number == 0.0:
        return 0
    return max(0, digits - 1 - math.floor(math.log10(abs(number))))


def _write(number: float, decimals: int) -> str:
    """Write a number; a very small one with an exponent, a rounded zero without a sign."""
    if decimals > 8 and number != 0.0:
        return f"{number:.{max(0, decimals + math.floor(math.log10(abs(number))))}e}"
    written = f"{number:.{decimals}f}"
    return written.lstrip("-") if float(written) == 0.0 else written
