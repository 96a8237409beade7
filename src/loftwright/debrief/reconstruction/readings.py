"""From the rows of a log to readings that stand for themselves: heights with their noise."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.smoother import Reading
from loftwright.evidence.flight_log import FlightLog
from loftwright.physics.atmosphere import GRAVITY, R_AIR
from loftwright.physics.sensor_lag import decimated_share
from loftwright.rehearsal.recorded import heights_over, port_pressure

__all__ = ["LEAST_REST", "Readings", "Rest", "log_heights", "readings_of"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

REST = 30.0  # s of rest before liftoff that count
GUARD = 0.3  # s before the liftoff found at first: the rise itself is not rest
LEAST_REST = 5  # readings
ROBUST = 1.4826  # of the median of absolute deviations, for a normal spread
WILD = 8.0  # times the spread of rest: no reading at rest
LATELY = 1.0  # s
MOVED = 1.5  # m that weather does not move a reading by within half a minute (judgement)
PASSING = 4.0  # equal readings in a row that are still a passage (judgement)
SELDOM, REPEATS = 1.1, 3  # times as long as said, and repeated values, that are no chance
CLIMBING = (0.2, 1.7)  # s after liftoff, in which no two values are alike
STALE_BELOW = 3.0  # noise over steps from which equal neighbours are no chance


@dataclass(frozen=True, slots=True)
class Rest:
    """The rest before liftoff: what heights count from, and what noise it shows.

    ``noise`` (m) is the standard deviation of one reading of the sensor, steps left out; ``moved``
    (m) by how much the last second before liftoff differs from the rest, where that is no chance.
    """

    pressure: float  # Pa
    readings: int
    noise: float
    step: float  # m, between neighbouring values
    push: float  # m/s2, mean of the accelerometer; not-a-number without one
    push_noise: float  # m/s2
    moved: float = 0.0


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings that stand for themselves, ``(n,)`` each, by the log's clock.

    ``height`` (m) is before the sensor's own filter, over the rest; ``variance`` (m2) is that of
    its noise and ``steps`` (m2) that of the steps between values; ``row`` is the row of the log.
    ``every`` (s) is the time from one to the next.
    """

    time: Floats
    height: Floats
    variance: Floats
    steps: Floats
    push: Floats
    row: NDArray[np.intp]
    every: float
    rest: Rest
    raw_height: Floats  # (rows,) m, of every row of the log
    notes: tuple[str, ...]
    comes: float = 0.0  # s, from new value to new value as the record shows it ...
    told: float = 0.0  # ... and as it was said to be; both 0 where nothing was

    def reading(self, creeps: Floats, push_variance: Floats, keep: Flags) -> Reading:
        """Return those that ``keep`` says, as the smoother takes them."""
        return Reading(
            self.time[keep], self.height[keep], (self.variance + self.steps)[keep], creeps[keep],
            np.where(push_variance > 0.0, self.push, 0.0)[keep], push_variance[keep],
        )  # fmt: skip


def log_heights(log: FlightLog, liftoff: float, pad_temperature: float) -> tuple[Floats, float]:
    """Return the height of each row over the rest before liftoff [m], and the rest's pressure."""
    pressure = port_pressure(log, pad_temperature)
    before = (log.time_s >= liftoff - REST) & (log.time_s <= liftoff - GUARD)
    rest = pressure[before & np.isfinite(pressure)]
    if rest.size < LEAST_REST:
        rest = pressure[np.isfinite(pressure)][:LEAST_REST]
    level = float(np.median(rest))
    near = rest[np.abs(rest - level) <= WILD * max(_spread(rest), 1e-9)]
    level = float(near.mean()) if near.size else level
    return heights_over(pressure, level, pad_temperature), level


def readings_of(
    log: FlightLog,
    instrument: Instrument,
    *,
    liftoff: float,
    pad_temperature: float,
    window: tuple[float, float],
) -> Readings:
    """Return the readings of a log within a window of its clock.

    Rows without a value, outside the sensor's range, or that repeat the last value where that is
    no chance, are none. The sensor's own filter is undone where its steps allow; where they do
    not, readings are moved back by its lag instead.
    """
    raw, level = log_heights(log, liftoff, pad_temperature)
    pressure = port_pressure(log, pad_temperature)
    scale = R_AIR * pad_temperature / GRAVITY / level  # m a pascal, at the pad
    there = _is_there(log, instrument, pressure, window)
    time, height, row = log.time_s[there], raw[there], np.flatnonzero(there)
    # A recorder may write its values down more coarsely than its sensor gives them.
    step = max(_step(height), (instrument.resolution or 0.0) * scale)
    known = instrument.noise * scale
    interval = _interval(log.time_s)
    lasts, repeats = _own_runs(time, height, liftoff)
    comes = interval if lasts < 1.5 else lasts * interval
    told = max(instrument.every or 0.0, interval)
    # Coarse steps repeat a value of their own accord.
    late = (
        instrument.every is not None and known > step and repeats >= REPEATS
        and lasts * interval > SELDOM * told
    )  # fmt: skip
    every = instrument.every or comes
    if late:
        every = comes = max(lasts * interval, told)
    fresh = _is_fresh(time, height, every, interval, step, known)
    if late:
        fresh[1:] = np.diff(height) != 0.0
    time, height, row = time[fresh], height[fresh], row[fresh]
    share, missed = _share(instrument, time, told if late else every, interval)
    if late:  # a filter that got no new value has not moved on
        missed = np.ones(len(time))
    undone, factor = _undo_filter(height, share, missed)
    steps = step / sqrt(12.0) * np.sqrt(1.0 + (1.0 - share) ** 2) / share
    notes: tuple[str, ...] = ()
    if instrument.filter > 1 and steps > 1.5 * known:
        lag = (1.0 / share - 1.0) * max(every, interval)
        time, undone, factor = time - lag, height, np.ones(len(height))
        steps = step / sqrt(12.0)
        notes = (f"readings moved back by {lag:.2g} s, the lag of the sensor's filter",)
    seen = _noise_at_rest(time, undone, liftoff, steps)
    count = int(((time >= liftoff - REST) & (time <= liftoff - GUARD)).sum())
    # Steps much wider than the noise hide it: the rest then shows the same value all along.
    count_shown = 0 if step > 2.0 * known else count
    noise = _agreed(known, instrument.noise_weight, seen, count_shown)
    push = np.full(len(time), np.nan) if log.push_m_s2 is None else log.push_m_s2[row]
    # What passes through a step in a few readings averages out; what hangs within one does not.
    hanging = np.maximum(_runs(height) / PASSING, 1.0)
    runs = hanging if step > 2.0 * noise else np.ones(len(height))
    variance = (noise * factor) ** 2
    moved = _moved(time, undone, liftoff, max(noise, step))
    rest = Rest(level, count, noise, step, *_push_at_rest(time, push, liftoff), moved)
    return Readings(
        time, undone, variance, steps**2 * runs, push, row, max(every, interval), rest, raw, notes,
        comes if late else 0.0, told if late else 0.0,
    )  # fmt: skip


def _spread(values: Floats) -> float:
    return ROBUST * float(np.median(np.abs(values - np.median(values)))) if values.size else 0.0


def _is_there(
    log: FlightLog, instrument: Instrument, pressure: Floats, window: tuple[float, float]
) -> Flags:
    there = np.isfinite(pressure) & (log.time_s >= window[0]) & (log.time_s <= window[1])
    there[:-1] &= np.diff(log.time_s) > 0.0  # of rows with one time the last counts
    if log.pressure_pa is not None and instrument.least is not None:
        there &= pressure > instrument.least
    if log.pressure_pa is not None and instrument.most is not None:
        there &= pressure < instrument.most
    return there


def _interval(time: Floats) -> float:
    steps = np.diff(time)
    return float(np.median(steps[steps > 0.0]))


def _step(height: Floats) -> float:
    """Smallest step between values that the log shows [m]."""
    values = np.unique(height)
    steps = np.diff(values)
    steps = steps[steps > 1e-7]
    return float(np.quantile(steps, 0.05)) if steps.size else 0.0


def _own_runs(time: Floats, height: Floats, liftoff: float) -> tuple[float, int]:
    """Rows from one new value to the next, while it climbs, and how many repeat the last."""
    early, last = CLIMBING
    fast = height[(time > liftoff + early) & (time < liftoff + last)]
    if fast.size < 6:
        return 1.0, 0
    changes = int((np.diff(fast) != 0.0).sum())
    return (fast.size - 1) / max(changes, 1), fast.size - 1 - changes


def _is_fresh(
    time: Floats, height: Floats, every: float, interval: float, step: float, noise: float
) -> Flags:
    """Tell rows with a new value from rows that show the last one again."""
    fresh = np.ones(len(time), bool)
    if every > 1.2 * interval:
        fresh[1:] = np.diff(height) != 0.0
        last = np.maximum.accumulate(np.where(fresh, np.arange(len(time)), 0))
        return np.asarray(fresh | (time - time[last] >= 3.0 * every))
    if noise > STALE_BELOW * step:
        fresh[1:] = np.diff(height) != 0.0
    return fresh


def _share(
    instrument: Instrument, time: Floats, every: float, interval: float
) -> tuple[float, Floats]:
    """Share of a new value in the next row, and how many values lie between two rows."""
    values = max(interval / every, 1.0) if every > 0.0 else 1.0
    share = decimated_share(float(instrument.filter), values)
    missed = np.ones(len(time))
    missed[1:] = np.maximum(np.round(np.diff(time) / max(every, interval)), 1.0)
    return share, missed


def _undo_filter(height: Floats, share: float, missed: Floats) -> tuple[Floats, Floats]:
    """Return heights as they were before the filter, and by which factor noise is left of it."""
    if share >= 1.0:
        return height, np.ones(len(height))
    left = (1.0 - share) ** missed
    undone = height.copy()
    undone[1:] = (height[1:] - left[1:] * height[:-1]) / (1.0 - left[1:])
    # Of a mean over some values, weighted as the filter does.
    squares = share * (1.0 - left**2) / (2.0 - share)
    return undone, np.sqrt(squares) / (1.0 - left)


def _noise_at_rest(time: Floats, height: Floats, liftoff: float, steps: float) -> float:
    rest = (time >= liftoff - REST) & (time <= liftoff - GUARD)
    if rest.sum() < LEAST_REST:
        return float("nan")
    line = np.polynomial.Polynomial.fit(time[rest], height[rest], 1)
    off = height[rest] - line(time[rest])
    robust = _spread(off)
    off = off[np.abs(off) <= 4.0 * max(robust, steps)]
    return sqrt(max(float(np.mean(off**2)) - steps**2, 0.0))


def _agreed(known: float, weight: float, seen: float, count: int) -> float:
    """Noise that a figure from outside, worth some readings, and a rest together say."""
    if count < LEAST_REST or not np.isfinite(seen):
        return known
    return sqrt((weight * known**2 + count * seen**2) / (weight + count))


def _runs(height: Floats) -> Floats:
    """Length of the run of equal values that each value stands in."""
    begins = np.concatenate([[True], np.diff(height) != 0.0])
    number = np.cumsum(begins) - 1
    lengths: Floats = np.bincount(number)[number].astype(float)
    return lengths


def _push_at_rest(time: Floats, push: Floats, liftoff: float) -> tuple[float, float]:
    rest = push[(time >= liftoff - REST) & (time <= liftoff - GUARD)]
    rest = rest[np.isfinite(rest)]
    if rest.size < LEAST_REST:
        return float("nan"), float("nan")
    return float(np.median(rest)), max(_spread(rest), 1e-3)


def _moved(time: Floats, height: Floats, liftoff: float, noise: float) -> float:
    """By how much readings just before liftoff differ from the rest [m]; 0 within the noise."""
    last = (time > liftoff - LATELY - 2.0 * GUARD) & (time <= liftoff - 2.0 * GUARD)
    before = (time >= liftoff - REST) & (time <= liftoff - LATELY - 2.0 * GUARD)
    if last.sum() < LEAST_REST or before.sum() < LEAST_REST:
        return 0.0
    off = float(np.median(height[last]) - np.median(height[before]))
    return off if abs(off) > max(MOVED, 3.0 * noise) else 0.0
