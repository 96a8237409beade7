"""Readings that a sensor gave when it did not work: told, and not taken for the flight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_guess import FLIGHT_PRESSURE

__all__ = ["usable"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
LEAST_ROWS, LEAST_TIME = 20, 1.0  # s: a shorter standstill may be chance
LONGER = 4.0  # times the longest standstill before, which shows how coarse a working sensor is
LEAST_BEFORE = 50  # rows that show it
# Values that noise spreads its first rows over: a coarser sensor may stand still by chance for as
# long as it lies between two steps, on the ground above all.
LEAST_VALUES = 4


def usable(log: FlightLog) -> tuple[FlightLog, tuple[str, ...]]:
    """Return ``log`` without the readings of a sensor that did not work, and sentences about them.

    Pressures that no flight meets go. So does what comes after a reading that then never changes
    for a second and twenty rows, and four times as long as any that came before: a sensor that
    goes on with its last value. One that is coarse, or read more often than it measures, stands
    still as well while it works, and is left as it is. Rows that go are not-a-number.
    """
    if log.pressure_pa is None:
        if log.height_m is None:
            return log, ()
        height, notes = _moving(log.time_s, log.height_m)
        return (replace(log, height_m=height), notes) if notes else (log, ())
    low, high = FLIGHT_PRESSURE
    met = (log.pressure_pa >= low) & (log.pressure_pa <= high)
    pressure, notes = _moving(log.time_s, np.where(met, log.pressure_pa, np.nan))
    return replace(log, pressure_pa=pressure), notes


def _moving(time: Floats, values: Floats) -> tuple[Floats, tuple[str, ...]]:
    """Take out the longest standstill where it is none of a working sensor."""
    known = np.flatnonzero(np.isfinite(values))
    if len(known) < LEAST_BEFORE + LEAST_ROWS:
        return values, ()
    edges = np.flatnonzero(np.diff(values[known]) != 0.0) + 1
    first = np.concatenate([[0], edges])
    last = np.concatenate([edges, [len(known)]]) - 1
    rows, lasts = last - first + 1, time[known[last]] - time[known[first]]
    frozen = int(np.argmax(rows))
    before = rows[:frozen]
    if (
        rows[frozen] < LEAST_ROWS
        or lasts[frozen] < LEAST_TIME
        or first[frozen] < LEAST_BEFORE
        or rows[frozen] < LONGER * before.max()
        or len(np.unique(values[known[:LEAST_BEFORE]])) < LEAST_VALUES
    ):
        return values, ()
    found = values.copy()
    found[known[first[frozen] + 1 : last[frozen] + 1]] = np.nan
    begin = time[known[first[frozen]]]
    said = (
        f"From {begin:.6g} s by its clock the readings stand still for {lasts[frozen]:.3g} s, as "
        "those of a sensor that no longer works: they do not count."
    )
    return found, (said,)
