"""Rows of a log that say nothing of the flight: ends of a sensor's range, values that hang."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_guess import FLIGHT_PRESSURE

__all__ = ["Unfit", "without_unfit"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

EDGE = 1.0  # Pa that the end of a range may be off by, as it is written down
HANGS, HANGS_OVER = 2.0, 4.0  # s, and times the longest run at first, that a value hangs at least
FIRST = 3.0  # s at the beginning that show how long a value may stay
LEAST_RUN = 12  # readings
AWAY = 300.0  # Pa from the first readings: no sensor that works reads one value there for long


@dataclass(frozen=True, slots=True)
class Unfit:
    """Rows that do not count, from one moment of the log's clock to another, and why."""

    kind: str  # "out of range", "frozen"
    begin: float  # s
    end: float  # s
    says: str


def without_unfit(log: FlightLog, instrument: Instrument) -> tuple[FlightLog, tuple[Unfit, ...]]:
    """Return a log without values at an end of the sensor's range or that hang, and which.

    Pressures that no flight meets count as such an end.

    A value hangs where it stays for longer, to the last digit, than the record's first seconds
    or any quiet air would let it; of coarse steps, only where it is far from the pad's as well.
    """
    values = log.height_m if log.pressure_pa is None else log.pressure_pa
    assert values is not None
    beyond = np.zeros(len(values), bool)
    if log.pressure_pa is not None:
        edge = EDGE + (instrument.resolution or 0.0)
        with np.errstate(invalid="ignore"):
            beyond |= (values < FLIGHT_PRESSURE[0]) | (values > FLIGHT_PRESSURE[1])
            if instrument.least is not None:
                beyond |= values <= instrument.least + edge
            if instrument.most is not None:
                beyond |= values >= instrument.most - edge
    shown = np.where(beyond, np.nan, values)
    coarse = log.pressure_pa is None or instrument.noise <= _step(instrument, values)
    hangs = _hangs(log.time_s, shown, log.pressure_pa is not None, coarse)
    if not (beyond | hangs).any():
        return log, ()
    clean = np.where(beyond | hangs, np.nan, values)
    if not np.isfinite(clean).any():
        return log, ()
    told = [
        *_spans(
            log.time_s,
            beyond,
            "out of range",
            "the barometer reads an end of its range, or what no flight meets",
        ),
        *_spans(log.time_s, hangs, "frozen", "the barometer goes on with one value"),
    ]
    if log.pressure_pa is None:
        return replace(log, height_m=clean), tuple(told)
    return replace(log, pressure_pa=clean), tuple(told)


def _step(instrument: Instrument, values: Floats) -> float:
    """Step between values [Pa]: as it was said, or as the log shows it."""
    steps = np.diff(np.unique(values[np.isfinite(values)]))
    shown = float(np.quantile(steps, 0.05)) if steps.size else 0.0
    return max(instrument.resolution or 0.0, shown)


def _hangs(time: Floats, values: Floats, is_pressure: bool, coarse: bool) -> Flags:
    """Tell rows that repeat one value for too long; the first of each run counts."""
    there = np.flatnonzero(np.isfinite(values))
    found = np.zeros(len(values), bool)
    if there.size < 2 * LEAST_RUN:
        return found
    value, at = values[there], time[there]
    begins = np.flatnonzero(np.concatenate([[True], np.diff(value) != 0.0]))
    ends = np.concatenate([begins[1:], [len(value)]]) - 1
    lasts = at[ends] - at[begins]
    early = at[begins] <= at[0] + FIRST
    usual = float(lasts[early].max())
    away = np.abs(value[begins] - np.median(value[:LEAST_RUN])) > (AWAY if is_pressure else 25.0)
    least = np.where(away, HANGS, np.inf if coarse else max(HANGS, HANGS_OVER * usual))
    if coarse and away.any():  # a step that is sunk through takes its time as well
        others = np.sort(lasts[away])[:-1]
        least[away] = max(HANGS, HANGS_OVER * float(others[-1]) if others.size else 0.0)
    long = (lasts > least) & (ends - begins >= LEAST_RUN)
    for first, last in zip(begins[long].tolist(), ends[long].tolist(), strict=True):
        found[there[first + 1 : last + 1]] = True
    return found


def _spans(time: Floats, rows: Flags, kind: str, says: str) -> list[Unfit]:
    places = np.flatnonzero(rows)
    if not places.size:
        return []
    groups = np.split(places, np.flatnonzero(np.diff(places) > 3) + 1)
    found = []
    for group in groups:
        first, last = float(time[group[0]]), float(time[group[-1]])
        many = f"{len(group)} reading{'s' if len(group) > 1 else ''}"
        found.append(Unfit(kind, first, last, f"{says}: {many} do not count"))
    return found
