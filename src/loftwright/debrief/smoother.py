"""Phases of a flight on one clock, and the flight through noisy readings that they allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.compiling.clone import compiled
from loftwright.debrief.kernel import smooth as kernel
from loftwright.debrief.kernel.smooth import STATES
from loftwright.physics.atmosphere import GRAVITY

__all__ = [
    "About",
    "Filtered",
    "Phase",
    "Reading",
    "Smoothed",
    "State",
    "filtered",
    "likelihood",
    "smoothed",
]

Floats = NDArray[np.float64]
SLOW = 3.0  # m/s, from which drag hardly counts beside gravity ...
SLOW_FADES = 1.0  # 1/s, ... and fades anyhow


@dataclass(frozen=True, slots=True)
class Phase:
    """A stretch of the flight until ``end`` (s), and how the vehicle moves in it.

    Its acceleration is ``mean`` (m/s2) and something more that decays at ``decay`` (1/s) and is
    shaken by white jerk of spectral density ``shake`` (m2/s5). Where ``anew`` is given, that
    something begins with this mean (m/s2) and standard deviation, whatever it was before. A phase
    that ``rests`` has no motion; its ``shake`` (m2/s) lets the height settle. In one that ``drags``
    that something is drag, which goes with the square of the climb: it decays as a reference says.
    """

    name: str
    end: float
    shake: float
    mean: float = 0.0
    decay: float = 0.0
    rests: bool = False
    anew: tuple[float, float] | None = None
    drags: bool = False

    def until(self, end: float) -> Phase:
        """Return it with another end."""
        return replace(self, end=end)


class About(NamedTuple):
    """A path that laws which are not straight lines are taken straight about.

    ``climb`` (m/s) and ``extra`` (m/s2, of the acceleration) stand at ``time`` (s); ``port`` is the
    pressure coefficient.
    """

    time: Floats
    climb: Floats
    extra: Floats
    port: float


class Reading(NamedTuple):
    """Readings on one clock, ``(n,)`` each; a variance of 0 stands for none.

    ``drift`` says how far the barometer has crept, in s of creeping.
    """

    time: Floats
    height: Floats  # m
    variance: Floats  # m2
    drift: Floats  # s
    push: Floats  # m/s2, specific force
    push_variance: Floats

    def between(self, begin: float, end: float) -> Reading:
        """Return the part after ``begin`` and up to ``end``."""
        first, last = np.searchsorted(self.time, [begin, end], side="right")
        return Reading(*(each[first:last] for each in self))


class State(NamedTuple):
    """A state of the filter and its covariance."""

    time: float
    mean: Floats  # (STATES,)
    covariance: Floats  # (STATES, STATES)


class Filtered(NamedTuple):
    """Moments with the state after each one's readings, and what each reading differed by."""

    time: Floats
    mean: Floats  # (n, STATES)
    covariance: Floats  # (n, STATES, STATES)
    misses: Floats
    gains: Floats
    moments: Floats
    readings: Floats
    likelihood: float

    def at(self, time: float) -> State:
        """Return the state at the last moment up to ``time``."""
        k = max(int(np.searchsorted(self.time, time, side="right")) - 1, 0)
        return State(float(self.time[k]), self.mean[k], self.covariance[k])


class Smoothed(NamedTuple):
    """Moments with the state given all readings; ``row`` is that of each reading."""

    time: Floats
    mean: Floats  # (n, STATES)
    covariance: Floats  # (n, STATES, STATES)
    base: Floats  # (n,) m/s2, the phase's own acceleration
    row: NDArray[np.intp]  # (readings,) place of each reading among the moments


@cache
def _kernels() -> tuple[Any, Any]:
    return compiled(kernel.forward), compiled(kernel.backward)


def _layout(
    phases: Sequence[Phase], begin: float, reading: Reading, reference: About, fill: float
) -> Floats:
    """Moments: those of readings, where phases change, and some between where these are rare."""
    ends = [phase.end for phase in phases]
    last = max(float(reading.time[-1]), begin) if len(reading.time) else begin
    time = np.unique(
        np.concatenate([[begin], reading.time, [e for e in ends if begin < e <= last]])
    )
    if fill > 0.0:
        gap = np.diff(time)
        many = np.ceil(gap / fill - 1e-9).astype(int)
        wide = np.flatnonzero(many > 1)
        more = [time[k] + gap[k] * np.arange(1, many[k]) / many[k] for k in wide]
        time = np.unique(np.concatenate([time, *more])) if more else time
    moments = np.zeros((len(time), 8))
    moments[:, 0] = time
    number = np.minimum(np.searchsorted(ends, time, side="left"), len(phases) - 1)
    rows = np.array(
        [[float(p.rests), p.shake, p.decay, 0.0 if p.rests else p.mean] for p in phases]
    )
    moments[:, 1:5] = rows[number]
    drags = np.array([phase.drags for phase in phases])[number]
    if drags.any():
        moments[drags, 3] = _fading(time[drags], reference)
    for k in (np.flatnonzero(np.diff(number)) + 1).tolist():
        anew = phases[number[k]].anew
        if anew is not None:
            moments[k, 5:] = 1.0, anew[0], anew[1] ** 2
    return moments


def _fading(time: Floats, reference: About) -> Floats:
    """Rate at which drag decays in a climb [1/s]: of what goes with its square, twice its own."""
    climb = np.interp(time, reference.time, reference.climb)
    extra = np.interp(time, reference.time, reference.extra)
    slowing = GRAVITY - np.minimum(extra, 0.0)
    return np.where(climb > SLOW, 2.0 * slowing / np.maximum(climb, SLOW), SLOW_FADES)


def _readings(
    moments: Floats, reading: Reading, reference: About
) -> tuple[Floats, NDArray[np.intp]]:
    """Readings at their moments, linear about a reference (times, climbs, port coefficient).

    What is read is the height, less the pressure that the motion adds at the vents:
    ``h - c v^2 / 2g``.
    """
    row = np.searchsorted(moments[:, 0], reading.time)
    climb = np.interp(reading.time, reference.time, reference.climb)
    port = reference.port
    table = np.zeros((len(moments), 8))
    on_climb, on_port = -port * climb / GRAVITY, -climb * climb / (2.0 * GRAVITY)
    table[row, 0] = reading.height - port * climb * climb / GRAVITY
    table[row, 1] = reading.variance
    table[row, 2] = on_climb
    table[row, 3] = on_port
    table[row, 4] = reading.drift
    table[row, 5] = reading.push - GRAVITY - moments[row, 4]
    table[row, 6] = reading.push_variance
    return table, row


def _space() -> tuple[Floats, Floats, Floats, Floats]:
    return (np.empty((STATES, STATES)), np.empty((STATES, STATES)), np.empty(STATES),
            np.empty(STATES))  # fmt: skip


def likelihood(
    phases: Sequence[Phase],
    start: State,
    reading: Reading,
    reference: About,
) -> float:
    """Return the logarithm of the likelihood of readings after ``start``."""
    moments = _layout(phases, start.time, reading, reference, 0.0)
    table, _ = _readings(moments, reading, reference)
    none = np.empty((0, 0))
    forward, _ = _kernels()
    total = forward(
        moments, table, start.mean.copy(), start.covariance.copy(), *_space(),
        none, np.empty((0, 0, 0)), none, np.empty((0, 0, 0)), 0,
    )  # fmt: skip
    return float(total)


def filtered(
    phases: Sequence[Phase],
    start: State,
    reading: Reading,
    reference: About,
    fill: float,
) -> Filtered:
    """Run the filter forwards; moments are at most ``fill`` (s) apart."""
    moments = _layout(phases, start.time, reading, reference, fill)
    table, _ = _readings(moments, reading, reference)
    n = len(moments)
    mean, covariance = np.zeros((n, STATES)), np.zeros((n, STATES, STATES))
    misses, gains = np.zeros((n, 4)), np.zeros((n, 2, STATES))
    forward, _ = _kernels()
    total = forward(
        moments, table, start.mean.copy(), start.covariance.copy(), *_space(),
        mean, covariance, misses, gains, 1,
    )  # fmt: skip
    return Filtered(moments[:, 0], mean, covariance, misses, gains, moments, table, float(total))


def smoothed(done: Filtered, reading: Reading) -> Smoothed:
    """Run the smoother backwards over what the filter left (which stays as it is)."""
    mean, covariance = done.mean.copy(), done.covariance.copy()
    _, backward = _kernels()
    backward(
        done.moments, done.readings, np.zeros(STATES), np.zeros((STATES, STATES)), *_space(),
        mean, covariance, done.misses, done.gains,
    )  # fmt: skip
    row = np.searchsorted(done.time, reading.time)
    return Smoothed(done.time, mean, covariance, done.moments[:, 4], row)
