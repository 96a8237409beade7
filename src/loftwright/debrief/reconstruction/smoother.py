"""Phases of a flight on one clock, and the flight through noisy readings that they allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.compiling.clone import compiled
from loftwright.debrief.reconstruction.kernel import smooth as kernel
from loftwright.debrief.reconstruction.kernel.smooth import STATES
from loftwright.physics.atmosphere import GRAVITY

__all__ = [
    "About",
    "Filtered",
    "Laid",
    "Phase",
    "Reading",
    "Smoothed",
    "State",
    "filtered",
    "lay",
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


class Laid(NamedTuple):
    """Moments of a flight, which of them drag, and the place of each reading among them."""

    moments: Floats
    drags: NDArray[np.bool_]
    row: NDArray[np.intp]


def lay(phases: Sequence[Phase], begin: float, reading: Reading, fill: float) -> Laid:
    """Lay moments out: those of readings, where phases change, and some between where rare.

    They are at most ``fill`` (s) apart; 0 puts none between. What depends on a reference is left
    open, so that one layout serves many of them.
    """
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
    for k in (np.flatnonzero(np.diff(number)) + 1).tolist():
        anew = phases[number[k]].anew
        if anew is not None:
            moments[k, 5:] = 1.0, anew[0], anew[1] ** 2
    drags = np.array([phase.drags for phase in phases])[number]
    return Laid(moments, drags, np.searchsorted(time, reading.time))


def _about(laid: Laid, reading: Reading, reference: About) -> tuple[Floats, Floats]:
    """Moments and readings, taken straight about a reference."""
    moments, drags, row = laid
    if drags.any():
        moments = moments.copy()
        moments[drags, 3] = _fading(moments[drags, 0], reference)
    return moments, _readings(moments, reading, reference, row)


def _fading(time: Floats, reference: About) -> Floats:
    """Rate at which drag decays in a climb [1/s]: of what goes with its square, twice its own."""
    climb = np.interp(time, reference.time, reference.climb)
    extra = np.interp(time, reference.time, reference.extra)
    slowing = GRAVITY - np.minimum(extra, 0.0)
    return np.where(climb > SLOW, 2.0 * slowing / np.maximum(climb, SLOW), SLOW_FADES)


def _readings(moments: Floats, reading: Reading, reference: About, row: NDArray[np.intp]) -> Floats:
    """Readings at their moments, linear about a reference (times, climbs, port coefficient).

    What is read is the height, less the pressure that the motion adds at the vents:
    ``h - c v^2 / 2g``.
    """
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
    return table


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
    laid = lay(phases, start.time, reading, 0.0)
    moments, table = _about(laid, reading, reference)
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
    laid: Laid | None = None,
) -> Filtered:
    """Run the filter forwards; moments are at most ``fill`` (s) apart, or as ``laid`` has them."""
    laid = laid or lay(phases, start.time, reading, fill)
    moments, table = _about(laid, reading, reference)
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
