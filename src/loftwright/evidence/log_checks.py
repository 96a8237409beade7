"""Whether a log's readings can be those of a flight: wrong units show here."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError
from loftwright.evidence.log_columns import ColumnRead
from loftwright.evidence.log_guess import (
    FIRST,
    FLIGHT_PRESSURE,
    GRAVITY,
    PAD_PRESSURE,
    pressure_units,
    rest_of,
)
from loftwright.evidence.log_problems import log_problem, log_warning

__all__ = ["LEAST_KNOWN", "check_readings"]

Floats = NDArray[np.float64]
Lines = NDArray[np.int32]
HEIGHTS = (-1_000.0, 12_000.0)  # m
LEAST_KNOWN = 10  # readings with which a column counts as one that gave something
SAME = 0.9  # share of the first readings that are one number: the sensor does not work
UPRIGHT = (0.5 * GRAVITY, 1.5 * GRAVITY)


def check_readings(
    file: str, lines: Lines, chosen: Mapping[str, ColumnRead], values: Mapping[str, Floats]
) -> list[Problem]:
    """Return what is doubtful about readings in SI.

    Raises
    ------
    ProblemError
        Pressure at the beginning, or height, is that of no pad and of no flight.
    """
    found: list[Problem] = []
    if (pressure := values.get("pressure")) is not None:
        found += _pressure(file, lines, chosen["pressure"], pressure)
    if (height := values.get("height")) is not None:
        _height(file, lines, chosen["height"], height, needed="pressure" not in values)
    if (push := values.get("push")) is not None:
        found += _push(file, lines, chosen["push"], push)
    for role in ("pressure", "height", "push"):
        if role in values:
            found += _empty(file, lines, role, values[role])
    return found


def _pressure(file: str, lines: Lines, read: ColumnRead, values: Floats) -> list[Problem]:
    first = values[: 20 * FIRST]
    rest = rest_of(first)
    low, high = PAD_PRESSURE
    found: list[Problem] = []
    if np.isfinite(rest) and not low <= rest <= high:
        units = pressure_units((first - read.offset) / read.factor)
        if not units and (dead := _dead(file, lines, read, first, rest)) is not None:
            found.append(dead)
        else:
            raise _off_the_pad(file, lines, read, rest, units)
    low, high = FLIGHT_PRESSURE
    far = np.flatnonzero((values < low) | (values > high))
    if not far.size or (found and far.size == np.isfinite(values).sum()):
        return found
    facts = {"count": int(far.size), "low": low, "high": high}
    return [
        *found,
        log_warning("log-readings-far", file=file, line=int(lines[far[0]]), facts=facts),
    ]


def _off_the_pad(
    file: str, lines: Lines, read: ColumnRead, rest: float, units: list[str]
) -> ProblemError:
    return log_problem(
        "log-pressure-range",
        file=file,
        line=int(lines[0]),
        value=f"{(rest - read.offset) / read.factor:.6g}",
        unit=read.unit,
        column=read.number,
        hint=" or ".join(units) or "...",
    )


def _dead(file: str, lines: Lines, read: ColumnRead, first: Floats, rest: float) -> Problem | None:
    """Warn of a sensor that shows one and the same number; None where its readings vary."""
    shown = first[np.isfinite(first)]
    if len(shown) < FIRST or np.mean(shown == rest) < SAME:
        return None
    value = (rest - read.offset) / read.factor
    facts = {"value": f"{value:.6g}", "unit": read.unit, "column": read.number}
    return log_warning("log-sensor-dead", file=file, line=int(lines[0]), facts=facts)


def _height(file: str, lines: Lines, read: ColumnRead, values: Floats, *, needed: bool) -> None:
    """Refuse heights that no flight of this kind has, where height is all that there is."""
    if not np.isfinite(values).any():
        return
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    if not needed or (HEIGHTS[0] <= low and high <= HEIGHTS[1]):
        return
    worst = int(np.nanargmax(values) if high > HEIGHTS[1] else np.nanargmin(values))
    raise log_problem(
        "log-height-range",
        file=file,
        line=int(lines[worst]),
        unit=read.unit,
        low=f"{low:.6g}",
        high=f"{high:.6g}",
        column=read.number,
        hint="mm or cm",
    )


def _push(file: str, lines: Lines, read: ColumnRead, values: Floats) -> list[Problem]:
    rest = rest_of(values[: 20 * FIRST])
    if not np.isfinite(rest) or UPRIGHT[0] <= rest <= UPRIGHT[1]:
        return []
    hint = f"see whether {read.name!r} is the axis and its unit right"
    if -UPRIGHT[1] <= rest <= -UPRIGHT[0]:
        hint = f"where the axis points down, say --scale {read.number}=-1 and its unit"
    elif abs(rest) < 0.3 * GRAVITY:
        hint = (
            f"where the recorder took gravity off, say --scale {read.number}=1,1 with "
            f"--unit {read.number}=g, or 1,9.80665 with m/s^2"
        )
    facts = {"value": f"{rest:.3g}", "hint": hint}
    return [log_warning("log-push-rest", file=file, line=int(lines[0]), facts=facts)]


def _empty(file: str, lines: Lines, role: str, values: Floats) -> list[Problem]:
    empty = np.flatnonzero(np.isnan(values))
    if not empty.size or len(values) - len(empty) < LEAST_KNOWN:  # too few are told by themselves
        return []
    facts = {"count": int(empty.size), "role": role}
    return [log_warning("log-cells-empty", file=file, line=int(lines[empty[0]]), facts=facts)]
