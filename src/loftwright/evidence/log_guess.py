"""What the numbers of a log themselves say: which column they may be, and in which unit.

Each finding comes with its reason. What the numbers leave open stays open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.log_labels import UNITS

__all__ = [
    "FLIGHT_PRESSURE",
    "PAD_PRESSURE",
    "Found",
    "pressure_units",
    "propose",
    "push_unit",
    "rest_of",
    "time_units",
]

Floats = NDArray[np.float64]
# Pa: air on land between a high at the Dead Sea and 5,000 m up (standard atmosphere: 54 kPa).
PAD_PRESSURE = (50_000.0, 109_000.0)
FLIGHT_PRESSURE = (20_000.0, 115_000.0)  # Pa; 20 kPa is 12 km up
SHOWN = ("Pa", "hPa", "kPa", "inHg", "psi", "bar", "mmHg")  # units that a log may be in
STEPS = (0.0005, 0.6)  # s from row to row that a log of a flight may have
LENGTHS = (3.0, 48 * 3600.0)  # s that a log may last
EVEN = 0.5  # departure of a step from the median one that is still even
MOSTLY = 0.9
FIRST = 25  # rows that show the rest on the pad
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class Found:
    """A column (from 0) that may hold ``role``, in ``unit`` where the numbers tell; and why."""

    column: int
    role: str
    unit: str | None
    why: str


def rest_of(values: Floats) -> float:
    """Return the median of the first readings there are; not-a-number where there are none."""
    good = values[np.isfinite(values)]
    return float(np.median(good[:FIRST])) if good.size else float("nan")


def pressure_units(values: Floats) -> list[str]:
    """Return the units in which the first values are air pressure on a pad; no two fit alike."""
    rest = rest_of(values)
    low, high = PAD_PRESSURE
    return [unit for unit in SHOWN if low <= rest * UNITS["pressure"][unit] <= high]


def time_units(values: Floats) -> list[str]:
    """Return the units in which steps and length are those of a flight's log."""
    steps = np.diff(values[np.isfinite(values)])
    steps = steps[steps > 0.0]
    if not steps.size:
        return []
    step, length = float(np.median(steps)), float(steps.sum())
    return [
        unit
        for unit in ("s", "ms", "us")
        if STEPS[0] <= step * UNITS["time"][unit] <= STEPS[1]
        and LENGTHS[0] <= length * UNITS["time"][unit] <= LENGTHS[1]
    ]


def push_unit(values: Floats) -> str | None:
    """Return the unit in which the first values are a vehicle's rest under gravity."""
    rest = abs(rest_of(values))
    for unit in ("m/s^2", "g", "mg", "ft/s^2"):
        if abs(rest * UNITS["push"][unit] - GRAVITY) < 0.15 * GRAVITY:
            return unit
    return None


def _rises_evenly(values: Floats) -> bool:
    steps = np.diff(values[np.isfinite(values)])
    if steps.size < 3:
        return False
    middle = float(np.median(steps))
    even = np.abs(steps - middle) <= EVEN * middle
    return middle > 0.0 and float(np.mean(even)) >= MOSTLY


def _swings(values: Floats) -> tuple[float, float]:
    """How far values go below and above where they begin."""
    rest = rest_of(values)
    return rest - float(np.nanmin(values)), float(np.nanmax(values)) - rest


def propose(table: Floats, columns: Sequence[int]) -> list[Found]:
    """Propose what columns without names may be; ``table`` is ``(rows, columns)``.

    Time rises in even steps; pressure begins at that of a pad and falls further than it rises;
    height begins anywhere and rises further than it falls, and its unit cannot be told.
    """
    found: list[Found] = []
    for column in columns:
        values = table[:, column]
        if np.isfinite(values).sum() < FIRST:
            continue
        taken = {each.role for each in found}
        proposal = _time(column, values) or _pressure(column, values)
        proposal = proposal or _push(column, values) or _height(column, values)
        if proposal and (proposal.role not in taken or proposal.role != "time"):
            found.append(proposal)
    return found


def _time(column: int, values: Floats) -> Found | None:
    if not _rises_evenly(values):
        return None
    units = time_units(values)
    step = float(np.median(np.diff(values[np.isfinite(values)])))
    unit = units[0] if len(units) == 1 else None
    return Found(column, "time", unit, f"it rises in even steps of {step:g}")


def _pressure(column: int, values: Floats) -> Found | None:
    units = pressure_units(values)
    down, up = _swings(values)
    if len(units) != 1 or down <= up:
        return None
    why = f"it begins at {rest_of(values):g}, in {units[0]} the air on a pad, and falls from there"
    return Found(column, "pressure", units[0], why)


def _push(column: int, values: Floats) -> Found | None:
    unit = push_unit(values)
    down, up = _swings(values)
    if unit is None or up + down < 1.5 * abs(rest_of(values)):
        return None
    why = f"it begins at {rest_of(values):g}, in {unit} a vehicle at rest, and leaves that far"
    return Found(column, "push", unit, why)


def _height(column: int, values: Floats) -> Found | None:
    down, up = _swings(values)
    if up < 5.0 or up < 5.0 * down or not -500.0 < rest_of(values) < 20_000.0:
        return None
    why = f"it begins at {rest_of(values):g}, and rises by {up:g} and hardly falls below"
    return Found(column, "height", None, why)
