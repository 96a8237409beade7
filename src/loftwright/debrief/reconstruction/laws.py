"""Laws that every flight obeys, held against a reconstruction."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

import numpy as np

from loftwright.debrief.results import Estimate, LawCheck, Reconstruction
from loftwright.physics.atmosphere import GRAVITY
from loftwright.physics.ballistics import stopwatch_height

__all__ = ["laws_checked"]

# Beyond this many standard deviations a record and a law are in conflict.
CONFLICT = 3.0
LEAST_COAST = 0.5  # s
SOON, LATER = 0.25, (0.4, 1.0)  # s after the fastest, whose slowing is held against each other
SLOW = 15.0  # m/s: drag hardly counts below
TURNING = 1.0  # s around the top, where it hardly moves
HANGS_BELOW, HANGS_FOR, HIGH = 0.5, 2.0, 5.0  # m/s, s, m: no canopy carries a bottle so (judgement)


def laws_checked(flight: Reconstruction, moved: float = 0.0) -> Reconstruction:
    """Return the reconstruction with the laws that it was held against.

    Each law holds for any drag, wind and canopy; where a record breaks one, the record is wrong.
    ``moved`` (m) is by how much pressure moved on the pad before liftoff, as a height.
    """
    checks = [*_stopwatch(flight), *_coast(flight), *_energy(flight), *_ground(flight)]
    checks += [*_square(flight), *_hanging(flight)]
    checks += _pad(moved)
    return replace(flight, checks=tuple(checks))


def _pad(moved: float) -> Iterator[LawCheck]:
    if moved:
        says = (
            f"just before liftoff it reads {moved:+.1f} m off the rest before that: heights may be "
            "off by as much; gas that leaks into the bay does that, or hands on the vehicle"
        )
        yield LawCheck("rest on the pad", False, says)


def _stopwatch(flight: Reconstruction) -> Iterator[LawCheck]:
    """A flight of T seconds cannot have been higher than g T^2 / 8, nor fallen from above that."""
    down, top = flight.event("touchdown"), flight.apogee
    if down is None or top is None or flight.apogee_time is None:
        yield LawCheck(
            "stopwatch law", None, "it takes the whole flight, from first motion to touchdown"
        )
        return
    whole = down.time.value
    limit = stopwatch_height(whole)
    limit_sd = 2.0 * limit * down.time.sd / whole
    fall = max(whole - flight.apogee_time.value, 0.0)
    fallen = 0.5 * GRAVITY * fall * fall
    fallen_sd = GRAVITY * fall * hypot(down.time.sd, flight.apogee_time.sd)
    over = top.value - min(limit, fallen)
    sd = hypot(top.sd, limit_sd if limit < fallen else fallen_sd)
    agrees = over <= CONFLICT * sd
    under = flight.event("canopy open") is not None
    if not agrees:
        says = (
            f"what is in the air for {whole:.2f} s cannot have been {top.value:.1f} m high, but "
            f"{min(limit, fallen):.1f} m at most: heights or times of this record are wrong"
        )
    elif under:
        says = (
            f"{top.value:.1f} m is below the {min(limit, fallen):.1f} m that {whole:.1f} s in the "
            "air allow; under a canopy that says little"
        )
    else:
        says = f"{top.value:.1f} m is {100 * top.value / limit:.0f} % of g T²/8 for {whole:.2f} s"
    yield LawCheck("stopwatch law", agrees, says)


def _ends_of_coast(flight: Reconstruction) -> tuple[float, float] | None:
    """From a while after the push to the top, or to the opening before it [s]."""
    pushed, top = flight.event("water out"), flight.apogee_time
    if top is None:
        return None
    fastest = float(flight.curve.time[int(np.argmax(flight.curve.climb))])
    begin = max(fastest, pushed.time.value if pushed is not None else 0.0) + 0.15
    opening = flight.event("canopy open")
    end = top.value
    if opening is not None:
        end = min(end, opening.time.value - 2.0 * opening.time.sd)
    return (begin, end) if end - begin >= LEAST_COAST else None


def _at(flight: Reconstruction, time: float, name: str) -> Estimate:
    value, sd = (
        float(np.interp(time, flight.curve.time, getattr(flight.curve, each)))
        for each in (name, f"{name}_sd")
    )
    return Estimate(value, sd, value - 1.645 * sd, value + 1.645 * sd)


def _coast(flight: Reconstruction) -> Iterator[LawCheck]:
    """Nothing that coasts up slows by less than gravity does."""
    name = "coast slows by gravity and more"
    ends = _ends_of_coast(flight)
    if ends is None:
        yield LawCheck(name, None, "there is too little coast between push and canopy")
        return
    begin, end = ends
    climb, last = _at(flight, begin, "climb"), _at(flight, end, "climb")
    rate = (climb.value - last.value) / (end - begin)
    sd = hypot(climb.sd, last.sd) / (end - begin)
    agrees = rate >= GRAVITY - CONFLICT * sd
    words = f"from {begin:.2f} s to {end:.2f} s it slows by {rate / GRAVITY:.2f} times gravity"
    if not agrees:
        words += ": less than gravity alone, so heights or times of this record are wrong"
    yield LawCheck(name, agrees, words)


def _energy(flight: Reconstruction) -> Iterator[LawCheck]:
    """What coasts rises no higher than its climb at the beginning carries it."""
    name = "energy"
    ends = _ends_of_coast(flight)
    if ends is None or flight.apogee is None:
        yield LawCheck(name, None, "there is too little coast between push and canopy")
        return
    climb, height = _at(flight, ends[0], "climb"), _at(flight, ends[0], "height")
    reach = height.value + climb.value**2 / (2.0 * GRAVITY)
    sd = hypot(hypot(height.sd, flight.apogee.sd), climb.value * climb.sd / GRAVITY)
    agrees = flight.apogee.value <= reach + CONFLICT * sd
    words = (
        f"{climb.value:.1f} m/s at {height.value:.1f} m carry it to {reach:.1f} m at most; its top "
        f"is at {flight.apogee.value:.1f} m"
    )
    yield LawCheck(name, agrees, words)


def _ground(flight: Reconstruction) -> Iterator[LawCheck]:
    """It comes to rest about as high as it left, unless the ground slopes or a tree holds it."""
    if flight.event("touchdown") is None:
        return
    last = Estimate(float(flight.curve.height[-1]), float(flight.curve.height_sd[-1]), 0.0, 0.0)
    off = abs(last.value)
    agrees = off < 3.0 + CONFLICT * last.sd
    words = f"at rest in the end it reads {last.value:+.1f} m over the pad"
    if not agrees:
        words += ": a slope, a tree, or pressure that crept or leaked into the bay"
    yield LawCheck("back on the ground", agrees, words)


def _square(flight: Reconstruction) -> Iterator[LawCheck]:
    """Drag goes with the square of the climb: the first of the coast is slowed as what follows."""
    name = "drag goes with the square of the climb"
    curve, top = flight.curve, flight.apogee_time
    begin = float(curve.time[int(np.argmax(curve.climb))]) + 0.05
    if top is None or top.value - begin < LATER[1] + LEAST_COAST:
        return
    first, middle, next_one, last = (
        _at(flight, begin + after, "climb") for after in (0.0, SOON, *LATER)
    )
    gain = (middle.value + first.value) / 2.0
    later = (next_one.value + last.value) / 2.0
    if later < SLOW:
        return
    slowed = (first.value - middle.value) / SOON
    drag = max((next_one.value - last.value) / (LATER[1] - LATER[0]) - GRAVITY, 0.0)
    most = GRAVITY + drag * (gain / later) ** 2
    sd = hypot(first.sd, middle.sd) / SOON
    sd = hypot(sd, hypot(next_one.sd, last.sd) / (LATER[1] - LATER[0]) * (gain / later) ** 2)
    agrees = slowed <= 1.5 * most + CONFLICT * sd
    words = (
        f"after its fastest it slows by {slowed:.0f} m/s², where its drag later gives {most:.0f}"
    )
    if not agrees:
        words += ": its largest climb is none of the flight"
    yield LawCheck(name, agrees, words)


def _hanging(flight: Reconstruction) -> Iterator[LawCheck]:
    """What is in the air falls: a height that stays, far over the pad, is not of a flight."""
    curve, top = flight.curve, flight.apogee_time
    after = curve.time > (curve.time[0] if top is None else top.value + TURNING)
    still = after & (np.abs(curve.climb) < HANGS_BELOW) & (curve.height > HIGH)
    down = flight.event("touchdown")
    if down is not None:
        still &= curve.time < down.time.value
    rows = np.flatnonzero(still)
    groups = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1) if rows.size else []
    for group in groups:
        first, last = float(curve.time[group[0]]), float(curve.time[group[-1]])
        if last - first > HANGS_FOR:
            says = (
                f"from {first:.1f} s to {last:.1f} s it reads {curve.height[group[0]]:.0f} m and "
                "does not fall: it hangs in a tree, its vents are blocked, or the sensor is stuck"
            )
            yield LawCheck("what is in the air falls", False, says)
            return
