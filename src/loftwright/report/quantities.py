"""Figures in the person's units: which unit suits which kind of figure, and how many digits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from loftwright.units import DIMENSIONS

__all__ = ["Towards", "Unit", "amount", "digits", "percent", "span", "stated", "unit_of"]

Towards = Literal["nearest", "down", "up"]

NO_BREAK = "\u00a0"
THIN = "\u202f"
FINEST = 7  # digits of a share near all
SLACK = 1e-6  # of the last digit that is shown: what was written so stays so in other units


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit to show figures in: ``shown = (si - zero) / size``."""

    symbol: str
    size: float
    zero: float = 0.0

    def of(self, si: float) -> float:
        """Return an SI value in this unit."""
        return (si - self.zero) / self.size


# kind of figure -> dimension, then the unit in the metric and in the US system. A page keeps one
# unit for a kind, so that figures can be compared at a glance.
_KINDS: Final[dict[str, tuple[str, str, str]]] = {
    "height": ("length", "m", "ft"),
    "distance": ("length", "m", "ft"),
    "length": ("length", "m", "in"),
    "small_length": ("length", "mm", "in"),
    "speed": ("speed", "m/s", "ft/s"),
    "wind": ("speed", "m/s", "mph"),
    "acceleration": ("acceleration", "g", "g"),
    "force": ("force", "N", "lbf"),
    "impulse": ("force", "N", "lbf"),
    "energy": ("energy", "J", "ft lbf"),
    "mass": ("mass", "kg", "kg"),
    "small_mass": ("mass", "g", "g"),
    "volume": ("volume", "L", "L"),
    "gauge_pressure": ("gauge_pressure", "bar", "psi"),
    "absolute_pressure": ("absolute_pressure", "bara", "psia"),
    "stress": ("absolute_pressure", "MPa", "psi"),
    "temperature": ("temperature", "°C", "°F"),
    "time": ("time", "s", "s"),
    "angle": ("angle", "°", "°"),
    "degrees": ("number", "", ""),  # a figure that comes in degrees
    "chance": ("number", "%", "%"),
    "area": ("area", "cm²", "in²"),
    "inertia": ("inertia", "kg m²", "lb in²"),
    "number": ("number", "", ""),
}

_SYMBOLS: Final = {
    "acceleration": "× gravity",
    "impulse": "{} s",
    "absolute_pressure": "{} abs",
    "degrees": "°",
}
_PLAIN: Final = {"bara": "bar", "psia": "psi"}


@cache
def unit_of(kind: str, system: str) -> Unit:
    """Return the unit for figures of ``kind`` in ``system`` (``"metric"`` or ``"us"``).

    Raises ``KeyError`` for a kind that has no unit.
    """
    dimension, metric, us = _KINDS[kind]
    chosen = us if system == "us" else metric
    known = DIMENSIONS[dimension].units[chosen]
    symbol = _SYMBOLS.get(kind, "{}").format(_PLAIN.get(chosen, chosen))
    return Unit(symbol, known.factor, known.offset)


def digits(value: float, significant: int = 3, towards: Towards = "nearest") -> str:
    """Return ``value`` to some significant digits, whole digits always kept, thin-spaced.

    What may not be exceeded, and what room is left, is rounded ``"down"``; what must be kept at
    least ``"up"``.
    """
    if not math.isfinite(value):
        return "–"
    if value == 0.0:
        return "0"
    if towards != "nearest":
        value = _rounded(value, significant, towards)
        if value == 0.0:
            return "0"
    decimals = max(0, significant - 1 - math.floor(math.log10(abs(value))))
    if decimals > 7:
        return f"{value:.{significant - 1}e}".replace("-", "−")
    rounded = round(value, decimals)
    # 9.996 rounds up into one digit more than asked for.
    if rounded and math.floor(math.log10(abs(rounded))) > math.floor(math.log10(abs(value))):
        decimals = max(0, decimals - 1)
    shown = f"{rounded:,.{decimals}f}"
    if float(shown.replace(",", "")) == 0.0:
        return "0"
    whole = shown.lstrip("-").split(".")[0]
    grouped = shown.replace(",", THIN if len(whole) > 5 else "")
    return grouped.replace("-", "−")


def _rounded(value: float, significant: int, towards: Towards) -> float:
    """Return ``value`` rounded one way at its last significant digit, or at the point."""
    decimals = max(0, significant - 1 - math.floor(math.log10(abs(value))))
    if decimals > 7:
        return value
    steps = value * 10**decimals
    whole = math.floor(steps + SLACK) if towards == "down" else math.ceil(steps - SLACK)
    return float(whole / 10**decimals)


def percent(share: float, significant: int = 3) -> str:
    """Return a share in hundredths; one that is not all of them, or none, never reads so.

    ``"62.1"``, ``"99.96"``, ``"0.020"``, ``"100"`` of one only, ``"more than 99.99"`` of what more
    digits would not tell from it; a dash of what is no number.
    """
    if not math.isfinite(share) or not 0.0 < share < 1.0:
        return digits(100.0 * share, significant)
    for finer in range(significant, FINEST + 1):
        said = digits(100.0 * share, finer)
        if "e" in said or float(said) < 100.0:  # so written are tiny ones alone
            return said
    return "more than 99.99"


def amount(
    si: float | None, kind: str, system: str, significant: int = 3, towards: Towards = "nearest"
) -> str:
    """Return an SI figure as number and unit, such as ``"62.1 m"``; a dash when there is none."""
    if si is None or not math.isfinite(si):
        return "–"
    unit = unit_of(kind, system)
    glue = "" if unit.symbol in ("°", "") else NO_BREAK
    if kind == "chance":
        return f"{percent(si, significant)}{glue}{unit.symbol}"
    return f"{digits(unit.of(si), significant, towards)}{glue}{unit.symbol}"


def stated(
    si: float, kind: str, system: str, significant: int = 3, towards: Towards = "nearest"
) -> str:
    """Return a figure as somebody wrote it down: ``"38 g"`` rather than ``"38.0 g"``."""
    unit = unit_of(kind, system)
    number = digits(unit.of(si), significant, towards)
    short = number.rstrip("0").rstrip(".") if "." in number and "e" not in number else number
    return f"{short}{'' if unit.symbol in ('°', '') else NO_BREAK}{unit.symbol}"


def span(low: float, high: float, kind: str, system: str, significant: int = 2) -> str:
    """Return ``"55 to 69 m"`` for a range of SI figures, one figure when both read the same."""
    unit = unit_of(kind, system)
    first, last = (digits(unit.of(v), significant) for v in (low, high))
    if first == last:
        return amount(low, kind, system, significant)
    glue = "" if unit.symbol in ("°", "") else NO_BREAK
    return f"{first} to {last}{glue}{unit.symbol}"
