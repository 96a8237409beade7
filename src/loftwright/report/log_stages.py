"""What a log names of its controller's stages, as stays on the flight's own clock."""

from __future__ import annotations

import numpy as np

from loftwright.evidence.flight_log import FlightLog
from loftwright.rehearsal.results import Stay

__all__ = ["NO_RECORD", "log_stays"]

NO_RECORD = "nothing written"  # what a hole in a record is called where stages are told
HOLE = 8.0  # times the usual step: a longer gap between two rows is a hole
LEAST = 0.1  # s


def log_stays(log: FlightLog, liftoff_s: float) -> tuple[Stay, ...]:
    """Return how long the log stays in each stage that it names, time zero first motion.

    A hole in the log is a stay called `NO_RECORD`: nobody knows what the controller did in it.
    Empty where the log names no stages, or nobody knows when it lifted off.
    """
    if not log.marks or not len(log.time_s) or not np.isfinite(liftoff_s):
        return ()
    time = np.asarray(log.time_s)
    steps = np.diff(time)
    usual = float(np.median(steps)) if len(steps) else 0.0
    holes = np.flatnonzero(steps > max(LEAST, HOLE * usual))
    gaps = [(float(time[n]), float(time[n + 1])) for n in holes.tolist()]
    edges = [*(mark.time_s for mark in log.marks[1:]), float(time[-1])]
    stays: list[Stay] = []
    for mark, end in zip(log.marks, edges, strict=True):
        stays += _cut(mark.words, mark.time_s, end, gaps)
    return tuple(Stay(each.stage, each.start - liftoff_s, each.end - liftoff_s) for each in stays)


def _cut(stage: str, start: float, end: float, gaps: list[tuple[float, float]]) -> list[Stay]:
    """Return a stay without the holes that begin in it, and those holes."""
    found = []
    for first, last in gaps:
        if start <= first < end:
            if first > start:
                found.append(Stay(stage, start, first))
            found.append(Stay(NO_RECORD, first, last))
            start = last
    if end > start:
        found.append(Stay(stage, start, end))
    return found
