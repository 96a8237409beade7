"""Finds a flight's phases in its readings: each moment where the readings are likeliest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import log

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.first_path import first_path
from loftwright.debrief.reconstruction.found import FILL, Found, about_of, settled
from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.readings import Readings
from loftwright.debrief.reconstruction.shape import SHAKES, Shape, moment_of
from loftwright.debrief.reconstruction.smoother import (
    Filtered,
    Reading,
    filtered,
    likelihood,
    smoothed,
)
from loftwright.debrief.reconstruction.weighing import weigh
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["BOOST", "BOOST_COUNTS", "find_flight", "shake_prior"]

Floats = NDArray[np.float64]

ROUNDS = 3
SHAKE_PRIOR = 2.0  # standard deviation of the logarithm of a phase's white jerk
NOISE_PRIOR = 0.3  # and of that of the noise in flight over that at rest
STEPS = (2.0, 0.7, 0.25)  # in logarithms, of the search for either
FASTEST_SETTLING = 8.0  # 1/s
BOOST = ("liftoff", "push_end")
# No push is as smooth as its model: neighbouring readings are off alike, and count as fewer for
# when it begins and ends (judgement, from forecasts).
BOOST_COUNTS = 0.85
# Of each moment: how far it may be from where it was first seen, and how long it matters, s.
REACH = {"liftoff": 0.25, "push_end": 0.4, "opening": 1.0, "touchdown": 2.0}
AFTER = {"liftoff": 1.0, "push_end": 1.0, "opening": 1.5, "touchdown": 3.0}


def find_flight(readings: Readings, instrument: Instrument, liftoff: float, begins: float) -> Found:
    """Find the phases of a flight and its path.

    Parameters
    ----------
    readings : what counts of the log
    instrument : what wrote it
    liftoff : where about it begins, s by the log's clock
    begins : time of the log's first row, s
    """
    found = first_path(readings, instrument, liftoff, begins)
    for number in range(ROUNDS):
        _refine(found, number)
        _smooth(found)
        weigh(found)
    _smooth(found)
    return found


def _refine(found: Found, number: int) -> None:
    reading = found.reading()
    done = filtered(found.shape.phases(), found.start, reading, found.reference, 0.0)
    wide = number == 0
    order = ["liftoff", "push_end", "opening", "touchdown"]
    for name in order:
        if getattr(found.shape, name) is not None:
            _place(found, name, reading, done, wide)
            done = filtered(found.shape.phases(), found.start, reading, found.reference, 0.0)
    _settle_descent(found)
    for name in ("push", "coast", "opening", "descent"):
        _tune(found, name, reading, done, STEPS[number])
    _tune_noise(found, done, STEPS[number] / 3.0)


def _place(found: Found, name: str, reading: Reading, done: Filtered, wide: bool) -> None:
    """Move one moment to where the readings are likeliest, and note how surely."""
    shape, every = found.shape, found.readings.every
    middle = getattr(shape, name)
    reach = max(REACH[name], 3.0 * every) if wide else None
    moment = found.moments.get(name)
    if reach is None:
        assert moment is not None
        reach = min(max(6.0 * moment.sd, 0.5 * every, 0.01), 2.0 * max(REACH[name], 3.0 * every))
    for _ in range(2 if wide else 1):
        times = np.linspace(middle - reach, middle + reach, 25)
        times = _allowed(shape, name, times)
        values = _likelihoods(found, name, times, reading, done)
        counts = BOOST_COUNTS if name in BOOST else 1.0
        moment = moment_of(times.tolist(), [counts * value for value in values])
        middle = float(times[int(np.argmax(values))])
        reach = min(reach, max(6.0 * moment.sd, 0.3 * every, 0.005))
    assert moment is not None
    found.moments[name] = moment
    found.shape = shape.moved(name, moment.time)


def _allowed(shape: Shape, name: str, times: Floats) -> Floats:
    """Times between the moments before and after."""
    least = {
        "liftoff": -1e9, "push_end": shape.liftoff + 0.02, "opening": shape.push_end + 0.1,
        "touchdown": (shape.opening or shape.push_end) + 0.2,
    }[name]  # fmt: skip
    most = {
        "liftoff": shape.push_end - 0.02, "push_end": (shape.opening or shape.until) - 0.1,
        "opening": (shape.touchdown or shape.until) - 0.2, "touchdown": shape.until,
    }[name]  # fmt: skip
    times = np.clip(times, least, max(most, least))
    return np.asarray(np.unique(times) if len(np.unique(times)) > 2 else times)


def _likelihoods(
    found: Found, name: str, times: Floats, reading: Reading, done: Filtered
) -> list[float]:
    """Likelihood of the readings around a moment, by where it is."""
    begin = done.at(float(times[0]) - 1e-9)
    if begin.time >= times[0] or name in BOOST:
        begin = found.start
    part = reading.between(begin.time, float(times[-1]) + AFTER[name])
    shapes = [found.shape.moved(name, float(each)).phases() for each in times]
    if name not in BOOST:
        return [likelihood(each, begin, part, found.reference) for each in shapes]
    values = []
    for each in shapes:
        # The climb of the push, and so what it adds at the port, depends on when it begins.
        path = settled(found, each, begin, part, 3)
        about = about_of(path)
        values.append(likelihood(each, begin, part, about))
    return values


def _settle_descent(found: Found) -> None:
    """How fast a descent finds back to its steady rate: drag that goes with the square of it."""
    begin, end = found.shape.span("descent")
    reference = found.reference
    falls = reference.climb[(reference.time > begin) & (reference.time < end)]
    if falls.size > 3:
        rate = max(-float(np.median(falls)), 1.0)
        found.shape = replace(found.shape, settles=min(2.0 * GRAVITY / rate, FASTEST_SETTLING))


def _tune(found: Found, name: str, reading: Reading, done: Filtered, step: float) -> None:
    """Move the white jerk of a phase to where the readings are likeliest."""
    begin, end = found.shape.span(name)
    if end <= begin:
        return
    state = done.at(begin - 1e-9)
    part = reading.between(state.time, end + (0.3 if name == "opening" else 0.0))
    if len(part.time) < 4:
        return

    def worth(shift: float) -> float:
        shake = float(found.shape.shakes[name] * np.exp(shift))
        shape = found.shape.shaken(name, shake)
        own = likelihood(shape.phases(), state, part, found.reference)
        return own + shake_prior(name, shake)

    shift = _uphill(worth, step)
    found.shape = found.shape.shaken(name, float(found.shape.shakes[name] * np.exp(shift)))


def shake_prior(name: str, shake: float) -> float:
    """Logarithm of how likely a white jerk is before the record says its own."""
    away = (log(shake) - log(SHAKES[name])) / SHAKE_PRIOR
    return -0.5 * away**2


def _tune_noise(found: Found, done: Filtered, step: float) -> None:
    """Move the noise in flight to where the readings are likeliest."""
    shape = found.shape
    state = done.at(shape.push_end)
    end = shape.until if shape.touchdown is None else shape.touchdown

    def worth(shift: float) -> float:
        before = found.louder
        found.louder = before * float(np.exp(shift))
        part = found.reading().between(state.time, end)
        away = log(found.louder) / NOISE_PRIOR
        value = likelihood(shape.phases(), state, part, found.reference) - 0.5 * away**2
        found.louder = before
        return value

    found.louder *= float(np.exp(_uphill(worth, step)))


def _uphill(worth: Callable[[float], float], step: float) -> float:
    """Climb to the best shift by parabolas through three points."""
    middle = 0.0
    values = {0.0: worth(0.0)}
    for _ in range(4):
        for shift in (middle - step, middle + step):
            if shift not in values:
                values[shift] = worth(shift)
        best = max(values, key=values.__getitem__)
        if best == middle:
            break
        middle = best
    low, mid, high = (values.get(middle + k * step) for k in (-1, 0, 1))
    if low is None or high is None or mid is None:
        return middle
    bend = low - 2.0 * mid + high
    return middle if bend >= 0.0 else middle + 0.5 * step * (low - high) / bend


def _smooth(found: Found) -> None:
    """Smooth, and again about where that led."""
    for _ in range(2):
        reading = found.reading()
        done = filtered(found.shape.phases(), found.start, reading, found.reference, FILL)
        found.path = smoothed(done, reading)
        found.reference = about_of(found.path)
