"""What the search for a flight's phases works on, and what it leaves."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.readings import Readings
from loftwright.debrief.reconstruction.shape import Moment, Shape
from loftwright.debrief.reconstruction.smoother import (
    About,
    Phase,
    Reading,
    Smoothed,
    State,
    filtered,
    lay,
    smoothed,
)
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["FILL", "Found", "about_of", "settled"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

FILL = 0.05  # s, at most between two moments of the curve
TILT = 0.08  # of the push: what leaning and shaking take from it (judgement)
# m/s2 that the push along the axis differs by from that of the motion (judgement)
PUSH_FLOOR = 0.5
STEEP = 10.0  # m/s of climb: slower than that it may lean any way (judgement)
DRIFTS_AFTER, CARRIED_AFTER = 1.0, 2.0  # s
SIDEWAYS = 40.0  # m2/s2: wind and drift of some 6 m/s (judgement)
SATURATED = 0.98  # of the accelerometer's range


@dataclass(slots=True)
class Found:
    """What the search works on, and leaves: the shape of the flight, its path, its readings."""

    readings: Readings
    instrument: Instrument
    creeps: Floats
    shape: Shape
    start: State
    keep: Flags
    inflation: Floats  # of each reading's variance, for those that stray
    louder: float  # noise in flight over that at rest
    reference: About
    bay: float  # pressure coefficient that the bay's vents amount to
    burst: Flags  # readings that no flight gives
    path: Smoothed | None = None
    moments: dict[str, Moment] = field(default_factory=dict)

    def reading(self) -> Reading:
        """Readings as they count by now, in the air inside the vents' lag taken off."""
        each = self.readings
        climb = np.interp(each.time, self.reference.time, self.reference.climb)
        late = self.bay * climb * np.abs(climb) / (2.0 * GRAVITY)
        late += self.reference.port * self.sideways(each.time) / (2.0 * GRAVITY)
        jitter = (self.instrument.jitter * climb) ** 2
        variance = (each.variance * self.louder**2 + each.steps + jitter) * self.inflation
        taken = each.reading(self.creeps, self._push_variance(), self.keep)
        return taken._replace(height=(each.height + late)[self.keep], variance=variance[self.keep])

    def sideways(self, time: Floats) -> Floats:
        """Square of the speed through the air that is not climb [m2/s2], as it is on average."""
        begun = np.clip((time - self.shape.liftoff) / DRIFTS_AFTER, 0.0, 1.0)
        opening = self.shape.until if self.shape.opening is None else self.shape.opening
        # What hangs from a canopy is soon carried along by the air.
        left = np.clip((opening + CARRIED_AFTER - time) / CARRIED_AFTER, 0.0, 1.0)
        return np.asarray(SIDEWAYS * begun * left)

    def _push_variance(self) -> Floats:
        """Variance of each push read, 0 where it is not used: on the ground, under a canopy."""
        push, shape = self.readings.push, self.shape
        noise = self.readings.rest.push_noise
        noise = self.instrument.push_noise if not np.isfinite(noise) else noise
        # Near the top and after it, what is felt along the axis says little of up and down.
        climb = np.interp(self.readings.time, self.reference.time, self.reference.climb)
        begun = self.readings.time > shape.liftoff + 0.3
        use = np.isfinite(push) & (np.maximum.accumulate(begun & (climb < STEEP)) < 0.5)
        if self.instrument.push_range is not None:
            use &= np.abs(push) < SATURATED * self.instrument.push_range
        spread = noise**2 + PUSH_FLOOR**2 + (TILT * np.where(use, push, 0.0)) ** 2
        return np.where(use, spread, 0.0)


def about_of(path: Smoothed) -> About:
    """Return a path as one to take laws straight about."""
    return About(path.time, path.mean[:, 1], path.mean[:, 2], float(path.mean[0, 3]))


def settled(
    found: Found, phases: list[Phase], start: State, reading: Reading, rounds: int
) -> Smoothed:
    """Smooth, each time about the last path and half way to it, until that hardly moves.

    What the motion adds at the port goes with the square of the climb: a step all the way may
    overshoot where that is much of what is read.
    """
    about, laid = found.reference, lay(phases, start.time, reading, 0.0)
    for number in range(rounds):
        path = smoothed(filtered(phases, start, reading, about, 0.0, laid), reading)
        about = _towards(about, about_of(path), 0.5 if number < rounds // 2 else 1.0)
    return path


def _towards(old: About, new: About, share: float) -> About:
    def between(name: str) -> Floats:
        before = np.interp(new.time, old.time, getattr(old, name))
        after: Floats = before + share * (getattr(new, name) - before)
        return after

    port = old.port + share * (new.port - old.port)
    return About(new.time, between("climb"), between("extra"), port)
