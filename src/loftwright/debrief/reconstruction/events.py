"""The moments of a reconstructed flight, and its ways down, each with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.blend import Blend
from loftwright.debrief.reconstruction.found import Found
from loftwright.debrief.reconstruction.readings import LEAST_REST
from loftwright.debrief.reconstruction.shape import Moment
from loftwright.debrief.results import Curve, Descent, Estimate, FlightEvent, Missing
from loftwright.evidence.flight_log import FlightLog
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["Seen", "descents_of", "events_of", "normal"]

Floats = NDArray[np.float64]
FIVE = 1.6448536  # standard deviations that 5 % lie beyond
SURE_WITHIN = 0.7  # s, standard deviation from which a moment counts as not visible
RELEASE_WORDS = ("release", "let go", "released", "drop")
# A canopy fills over some diameters of its way: s from its opening to where the fall is seen to
# slow, and how much that differs (judgement, from forecasts of small canopies).
FILLS = (0.05, 0.14)
STEADY_AFTER = 1.0  # s after the opening, from which the descent counts as steady
SLOW_FALL = 9.0  # m/s: what comes down slower hangs from something (judgement)
SLOWED = 1.3  # times its steady rate, that a fall was faster before
LEAST_DESCENT = 1.5  # s


def normal(value: float, sd: float) -> Estimate:
    """Return an estimate whose uncertainty is normal."""
    return Estimate(value, sd, value - FIVE * sd, value + FIVE * sd)


@dataclass(frozen=True, slots=True)
class Seen:
    """A flight as it was found, to be read for what happened when."""

    found: Found
    blend: Blend
    curve: Curve
    log: FlightLog
    relative: float  # standard deviation of the pad's temperature over itself

    @property
    def liftoff_sd(self) -> float:
        """How uncertain first motion is [s]."""
        moment = self.found.moments.get("liftoff")
        return 0.0 if moment is None else moment.sd

    @property
    def begins_in_flight(self) -> bool:
        """Whether no rest comes before the climb, so that nothing says where the pad is."""
        return self.found.readings.rest.readings < LEAST_REST

    @property
    def slows(self) -> bool:
        """Whether there is an opening: the way down is slow, or slows down."""
        opening, curve = self.found.shape.opening, self.curve
        if opening is None:
            return False
        after = curve.time > opening - self.found.shape.liftoff
        down = self.found.shape.touchdown
        if down is not None:
            after &= curve.time < down - self.found.shape.liftoff - 0.3
        falls = -curve.climb[after]
        if falls.size < 3:
            return False
        last = float(np.median(falls[-max(falls.size // 3, 1) :]))
        return last < SLOW_FALL or float(falls.max()) > SLOWED * last

    def top(self) -> int | None:
        """Place of the highest moment of the curve; None where the record ends before it."""
        if self.begins_in_flight:
            return None
        place = int(np.argmax(self.curve.height))
        if place == 0 or place >= len(self.curve.time) - 2:
            return None
        return place

    def apogee(self) -> Estimate | None:
        """Return the height of the top [m]."""
        place = self.top()
        if place is None:
            return None
        # A pad whose pressure moved leaves open which of its levels was the true one.
        moved = self.found.readings.rest.moved
        sd = hypot(float(self.curve.height_sd[place]), moved)
        return normal(float(self.curve.height[place]), sd)

    def apogee_time(self) -> Estimate | None:
        """Return when the climb ends [s], from first motion."""
        place = self.top()
        if place is None:
            return None
        curve = self.curve
        first = place if curve.climb[place] > 0.0 else place - 1
        times, climbs = curve.time[first : first + 2], curve.climb[first : first + 2]
        fall = max(float(climbs[0] - climbs[1]), 1e-9)
        time = float(times[0] + np.clip(climbs[0] / fall, 0.0, 1.0) * (times[1] - times[0]))
        slope = max(abs(float(curve.acceleration[place])), 0.3 * GRAVITY)
        sd = sqrt(max(float(self.blend.variance[place, 1]), 0.0)) / slope
        return self.timed(time, sd)

    def max_climb(self) -> Estimate | None:
        """Return the largest climb [m/s]; None where nothing was read while it was fast."""
        place = int(np.argmax(self.curve.climb))
        if place >= len(self.curve.time) - 2:
            return None
        value, sd = self.blend.fastest
        shared = hypot(self.relative, self.found.instrument.clock_drift)
        return normal(value, hypot(sd, shared * value))

    def timed(self, time: float, sd: float) -> Estimate:
        """Return a time from first motion [s], with what liftoff and clock leave uncertain."""
        drift = self.found.instrument.clock_drift * time
        return normal(time, hypot(sd, hypot(drift, self.liftoff_sd)))

    def of(self, moment: Moment, beside: float = 0.0) -> Estimate:
        """Return a moment between phases as a time from first motion [s].

        ``beside`` (s) is what the moment itself leaves uncertain, beside its place in the record.
        """
        time = moment.time - self.found.shape.liftoff
        drift = self.found.instrument.clock_drift * time
        more = hypot(drift, self.liftoff_sd, beside)
        sd = hypot(moment.sd, more)
        low, high = moment.low - moment.time, moment.high - moment.time
        return Estimate(time, sd, time - hypot(low, FIVE * more), time + hypot(high, FIVE * more))

    def notes(self) -> tuple[str, ...]:
        """Say what the record taught of its own instrument."""
        port, sd = self.blend.port
        known = self.found.instrument.port_coefficient
        words = []
        if sd < 0.5 * known.sd and abs(port) > 2.0 * sd + 0.005:
            words.append(
                f"by the record itself, pressure at the vents is off by {100 * port:+.1f} % of the "
                "dynamic pressure"
            )
        if self.found.louder > 1.5:
            words.append(
                f"the barometer is {self.found.louder:.1f} times as noisy in flight as at rest"
            )
        return tuple(words)


# ---------------------------------------------------------------- events


def events_of(seen: Seen) -> tuple[tuple[FlightEvent, ...], tuple[Missing, ...]]:
    """Return what happened when, in order, and what the record does not show."""
    events: list[FlightEvent] = []
    missing: list[Missing] = []
    for found in (
        _liftoff(seen), _push_end(seen), _release(seen), _apogee(seen), _opening(seen),
        _touchdown(seen),
    ):  # fmt: skip
        if isinstance(found, FlightEvent):
            events.append(found)
        else:
            missing.append(found)
    return tuple(sorted(events, key=lambda each: each.time.value)), tuple(missing)


def _liftoff(seen: Seen) -> FlightEvent | Missing:
    moment = seen.found.moments.get("liftoff")
    if moment is None or seen.begins_in_flight:
        return Missing("liftoff", "the record begins in flight")
    shape = seen.found.shape
    time = Estimate(
        moment.time - shape.liftoff, moment.sd, moment.low - shape.liftoff,
        moment.high - shape.liftoff,
    )  # fmt: skip
    return FlightEvent("liftoff", time, "where the readings leave their rest")


LANDS = 0.06  # s, over which what comes down touches and lies still (judgement)
WATER_GOES = 0.006  # s, over which water out and a push that fades may differ (judgement)


def _push_end(seen: Seen) -> FlightEvent | Missing:
    moment = seen.found.moments.get("push_end")
    if moment is None:
        return Missing("water out", "the record has nothing between liftoff and coast")
    every = seen.found.readings.every
    if every > 0.06 and not _has_push(seen):
        return Missing("water out", f"a reading comes every {every:.2g} s only")
    lasts = seen.found.moments["push_lasts"]
    sd = hypot(lasts.sd, WATER_GOES)
    return FlightEvent("water out", normal(lasts.time, sd), "where the push begins to fade")


def _has_push(seen: Seen) -> bool:
    return bool(np.isfinite(seen.found.readings.push).any())


def _release(seen: Seen) -> FlightEvent | Missing:
    marks = [mark for mark in seen.log.marks if any(w in mark.words.lower() for w in RELEASE_WORDS)]
    if not marks:
        return Missing("release", "the log keeps no state of its controller that says it")
    every = seen.found.readings.every
    time = marks[0].time_s - seen.found.shape.liftoff - 0.5 * every
    shown = f'the log\'s own "{marks[0].words}"'
    return FlightEvent("release", seen.timed(time, every / sqrt(12.0)), shown, commanded=True)


def _apogee(seen: Seen) -> FlightEvent | Missing:
    time = seen.apogee_time()
    if seen.begins_in_flight:
        why = "the record begins in flight: nothing says how high the pad is"
        return Missing("apogee", why)
    if time is None:
        return Missing("apogee", "the record ends before the top")
    return FlightEvent("apogee", time, "where the climb passes through zero")


def _opening(seen: Seen) -> FlightEvent | Missing:
    moment = seen.found.moments.get("opening")
    if moment is None:
        why = "it falls freely to the end of the record"
        return Missing("canopy open", why)
    time = seen.timed(moment.time - seen.found.shape.liftoff - FILLS[0], hypot(moment.sd, FILLS[1]))
    if not seen.slows:
        return Missing("canopy open", "the fall is fast and never slows")
    if time.sd > SURE_WITHIN:
        return Missing("canopy open", "the fall slows too gently for a moment to stand out")
    return FlightEvent("canopy open", time, "where free fall gives way")


def _touchdown(seen: Seen) -> FlightEvent | Missing:
    moment = seen.found.moments.get("touchdown")
    if moment is None:
        end = seen.curve.time[-1]
        height = seen.curve.height[-1]
        return Missing("touchdown", f"the record ends after {end:.1f} s at {height:.0f} m")
    time = seen.of(moment, LANDS)
    return FlightEvent("touchdown", time, "where the height stays as it is")


# ---------------------------------------------------------------- ways down


def descents_of(seen: Seen) -> tuple[Descent, ...]:
    """Return the steady parts of the way down with their mean rates."""
    shape, top = seen.found.shape, seen.top()
    if top is None:
        return ()
    end = min(shape.until if shape.touchdown is None else shape.touchdown, shape.until)
    path = seen.found.path
    assert path is not None
    begin = path.time[top] if shape.opening is None else shape.opening + STEADY_AFTER
    if end - begin < LEAST_DESCENT:
        return ()
    phase = "under canopy" if seen.slows else "falling"
    first, last = begin - shape.liftoff, end - shape.liftoff
    rate = mean_rate(seen, begin, end)
    says = "mean over this part"
    return (Descent(phase, first, last, rate, says),)


def mean_rate(seen: Seen, begin: float, end: float) -> Estimate:
    """Return the mean rate of descent between two moments [m/s], positive downwards."""
    path = seen.found.path
    assert path is not None
    first, last = (
        min(int(np.searchsorted(path.time, each)), len(path.time) - 1) for each in (begin, end)
    )
    span = float(path.time[last] - path.time[first])
    fall = float(path.mean[first, 0] - path.mean[last, 0])
    own = hypot(*(sqrt(max(float(path.covariance[k, 0, 0]), 0.0)) for k in (first, last))) / span
    rate = fall / span
    scale = hypot(seen.found.instrument.clock_drift, seen.relative)
    return normal(rate, hypot(own, scale * rate))
