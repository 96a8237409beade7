"""Where a search for a flight's phases begins: the rest, and a first path through the readings."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import exp, hypot, pi

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.first_look import bursts, ends_about, top_about
from loftwright.debrief.reconstruction.found import Found, about_of, settled
from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.readings import Readings
from loftwright.debrief.reconstruction.shape import NEVER, SHAKES, Shape
from loftwright.debrief.reconstruction.smoother import About, Phase, Reading, State, likelihood
from loftwright.physics.atmosphere import GRAVITY, R_AIR

__all__ = ["first_path"]

Floats = NDArray[np.float64]

# Standard deviation of the pressure coefficient up to which one beginning is enough.
SMALL_PORT = 0.04
ENOUGH = 0.02  # s from reading to reading, for the first path
NEAR_GROUND = 0.8  # s before touchdown, in which what slows the fall is the ground
BEFORE = 1.0  # s of pad in the curve
LONGEST_PUSH = 2.0  # s
TERMINAL = 40.0  # m/s at which drag is as much as gravity, before the record says it (judgement)


def first_path(readings: Readings, instrument: Instrument, liftoff: float, begins: float) -> Found:
    """Return a flight as a first look shows it.

    Parameters
    ----------
    readings : what counts of the log
    instrument : what wrote it
    liftoff : where about it begins, s by the log's clock
    begins : time of the log's first row, s
    """
    time = readings.time
    noise = float(np.sqrt(np.median(readings.variance + readings.steps)))
    burst = bursts(time, readings.height, liftoff, noise)
    calm = time[~burst], readings.height[~burst]
    top = top_about(*calm, liftoff)
    down = ends_about(*calm, top, noise)
    creeps = np.minimum(time, begins + instrument.drifts_for) - min(
        liftoff, begins + instrument.drifts_for
    )
    until = float(time[-1])
    shape = Shape(liftoff, min(liftoff + 0.4, top), None, down, until, dict(SHAKES))
    bay, bay_sd = _bay(instrument)
    start = _start(readings, instrument, liftoff, creeps, bay_sd)
    found = Found(
        readings, instrument, creeps, shape, start, (time > start.time) & ~burst,
        np.ones(len(time)), 1.0,
        _ballistic(time, liftoff, top, instrument.port_coefficient.value), bay, burst,
    )  # fmt: skip
    _rough_boost(found, top)
    _rough_opening(found, top)
    return found


def _ballistic(time: Floats, liftoff: float, top: float, port: float) -> About:
    """Climb of a body that gravity alone stops at the top: where the search begins."""
    climb = np.clip(GRAVITY * (top - time), 0.0, None)
    climb *= np.clip((time - liftoff) / 0.2, 0.0, 1.0)
    drag = -GRAVITY * (climb / TERMINAL) ** 2
    return About(time, climb, drag, port)


def _bay(instrument: Instrument) -> tuple[float, float]:
    """Pressure coefficient that the bay's vents amount to in a climb, and its spread.

    The law of ``physics.bay_vent.vent_excess``: the excess goes with the square of the climb, as
    the dynamic pressure does.
    """
    volume, area, flow = (
        instrument.bay_volume, instrument.vent_area, instrument.vent_coefficient,
    )  # fmt: skip
    if volume.value <= 0.0 or area.value <= 0.0:
        return 0.0, 0.0
    warm = 288.15  # K; a few per cent of what is a small correction
    ratio = volume.value * GRAVITY / (R_AIR * warm * flow.value * area.value)
    relative = 2.0 * hypot(
        volume.sd / volume.value, hypot(area.sd / area.value, flow.sd / flow.value)
    )
    return ratio**2, ratio**2 * relative


def _start(
    readings: Readings, instrument: Instrument, liftoff: float, creeps: Floats, bay_sd: float
) -> State:
    """State a second before liftoff: offset and drift as the rest before that shows them."""
    begin = liftoff - BEFORE
    rest = readings.time <= begin
    scale = R_AIR * 288.15 / GRAVITY / readings.rest.pressure  # m a pascal
    drift = -instrument.drift.value * scale
    weight = np.zeros((2, 2))
    weight[0, 0], weight[1, 1] = 1.0, 1.0 / max(instrument.drift.sd * scale, 1e-6) ** 2
    right = np.array([0.0, drift * weight[1, 1]])
    each = 1.0 / (readings.variance + readings.steps)[rest]
    columns = np.stack([np.ones(int(rest.sum())), creeps[rest]])
    weight += (columns * each) @ columns.T
    right += columns @ (each * readings.height[rest])
    covariance = np.zeros((7, 7))
    covariance[4:6, 4:6] = np.linalg.inv(weight)
    at_start = covariance[4:6, 4:6] @ right
    covariance[4, 4] += _hidden_by_steps(readings)
    port = hypot(instrument.port_coefficient.sd, bay_sd)
    covariance[3, 3] = port**2
    at_rest = readings.rest.push
    if np.isfinite(at_rest):
        # A few degrees of lean on the pad are in it: 1 - cos 5 degrees of gravity.
        bias, spread = at_rest - GRAVITY, 0.04
    else:
        bias, spread = 0.0, instrument.push_bias
    covariance[6, 6] = spread**2
    mean = np.zeros(7)
    mean[3], mean[4:6], mean[6] = (
        instrument.port_coefficient.value, at_start, bias,
    )  # fmt: skip
    return State(begin, mean, covariance)


def _hidden_by_steps(readings: Readings) -> float:
    """Variance of what a long rest does not show of its own level [m2]: steps without enough noise.

    The mean of rounded readings is off by up to ``q/pi exp(-2 pi^2 s^2 / q^2)`` for steps q and
    noise s (B. Widrow, Statistical analysis of amplitude-quantized sampled-data systems, 1961, from
    memory).
    """
    step, noise = readings.rest.step, readings.rest.noise
    if step <= 0.0:
        return 0.0
    return 0.5 * (step / pi) ** 2 * exp(-4.0 * (pi * noise / step) ** 2)


def _rough_boost(found: Found, top: float) -> None:
    """Try every liftoff and end of push near enough, each about the path that it leads to."""
    shape, every = found.shape, found.readings.every
    # Where the motion adds pressure at the port, the rise shows late.
    first = shape.liftoff - max(0.5, 2.0 * every)
    last = shape.liftoff + max(0.04, 0.5 * every)
    until = min(top - 0.2 * (top - shape.liftoff), shape.liftoff + LONGEST_PUSH)
    begin = found.start
    part = _thinned(found.reading().between(begin.time, until))
    best = -np.inf
    longest = max(until - shape.liftoff - 0.3, 0.2)
    lasting = np.geomspace(0.08, min(longest, 1.6), 7).tolist()
    starting = np.linspace(first, last, 10).tolist()
    for lasts, liftoff, port in product(lasting, starting, _ports(found.instrument)):
        tried = replace(shape, liftoff=liftoff, push_end=liftoff + lasts, until=until)
        found.reference = _ballistic(part.time, liftoff, top, port)
        about = about_of(settled(found, tried.phases(), begin, part, 6))
        value = likelihood(tried.phases(), begin, part, about)
        if value > best:
            best, chosen = value, about
            found.shape = replace(shape, liftoff=liftoff, push_end=liftoff + lasts)
    found.reference = _onwards(chosen, until, top)


def _thinned(reading: Reading) -> Reading:
    """Return every second or third reading of a quick log: enough to begin with."""
    every = float(np.median(np.diff(reading.time))) if len(reading.time) > 1 else ENOUGH
    step = max(int(ENOUGH / max(every, 1e-6) + 0.01), 1)
    return Reading(*(each[::step] for each in reading))


def _ports(instrument: Instrument) -> tuple[float, ...]:
    """Pressure coefficients to begin from: several where it may be much, for then paths differ."""
    told = instrument.port_coefficient
    return (told.value,) if told.sd <= SMALL_PORT else (
        told.value - told.sd, told.value, told.value + told.sd
    )  # fmt: skip


def _onwards(about: About, until: float, top: float) -> About:
    """Lead the climb of the boost on to the top, and nowhere from there."""
    kept = about.time <= until
    last = [max(top, until + 0.1)]
    return About(
        np.concatenate([about.time[kept], last]), np.concatenate([about.climb[kept], [0.0]]),
        np.concatenate([about.extra[kept], [0.0]]), about.port,
    )  # fmt: skip


def _rough_opening(found: Found, top: float) -> None:
    """Find where free fall ends, in a path that may do anything from a while before the top."""
    shape = found.shape
    down = shape.until + 1.0 if shape.touchdown is None else shape.touchdown
    free = max(shape.push_end + 0.2, top - 1.0)
    boost = [each for each in shape.phases() if each.name in ("pad", "push", "air")]
    coast = next(each for each in shape.phases() if each.name == "coast")
    phases = [
        *boost,
        coast.until(free),
        Phase("any", down, 2e3, -GRAVITY / 2.0, 0.5, anew=(0.0, 10.0)),
        Phase("ground", NEVER, 1e-3, rests=True),
    ]
    reading = found.reading()
    path = settled(found, phases, found.start, reading, 2)
    climb, gain = path.mean[:, 1], path.mean[:, 2] + path.base
    found.reference = about_of(path)
    fall = (path.time > free + 0.1) & (path.time < down - NEAR_GROUND)
    opening = _opening_about(path.time[fall], climb[fall], gain[fall])
    found.shape = replace(shape, opening=opening)


def _opening_about(time: Floats, climb: Floats, gain: Floats) -> float | None:
    """Where free fall ends: the acceleration stays above half of gravity's fall."""
    free = gain < -0.5 * GRAVITY
    for k in range(len(time)):
        later = (time >= time[k]) & (time < time[k] + 0.3)
        if not free[later].any() and climb[k] < 3.0:
            return float(time[k])
    return None
