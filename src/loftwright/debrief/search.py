"""Finds a flight's phases in its readings: each moment where the readings are likeliest."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import exp, hypot, log, pi

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.first_look import bursts, ends_about, top_about
from loftwright.debrief.instrument import Instrument
from loftwright.debrief.readings import Readings
from loftwright.debrief.shape import NEVER, SHAKES, Moment, Shape, moment_of
from loftwright.debrief.smoother import (
    About,
    Filtered,
    Phase,
    Reading,
    Smoothed,
    State,
    filtered,
    likelihood,
    smoothed,
)
from loftwright.physics.atmosphere import GRAVITY, R_AIR

__all__ = ["FILL", "Found", "about_of", "find_flight", "settled", "shake_prior"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

BEFORE = 1.0  # s of pad in the curve
ROUNDS = 3
FILL = 0.05  # s, at most between two moments of the curve
OUTLIER, WILD = 3.0, 7.0  # standard deviations
COMPANY = 2  # readings
TILT = 0.08  # of the push: what leaning and shaking take from it (judgement)
PUSH_FLOOR = (
    0.5  # m/s2, what the push along the axis differs by from that of the motion (judgement)
)
STEEP = 10.0  # m/s of climb: slower than that it may lean any way (judgement)
DRIFTS_AFTER = 1.0  # s
SIDEWAYS = 40.0  # m2/s2: wind and drift of some 6 m/s (judgement)
SATURATED = 0.98  # of the accelerometer's range
SHAKE_PRIOR = 2.0  # standard deviation of the logarithm of a phase's white jerk
NOISE_PRIOR = 0.3  # and of that of the noise in flight over that at rest
STEPS = (2.0, 0.7, 0.25)  # in logarithms, of the search for either
FASTEST_SETTLING = 8.0  # 1/s
LONGEST_PUSH = 3.0  # s
TERMINAL = 40.0  # m/s at which drag is as much as gravity, before the record says it (judgement)


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
        until = self.shape.until if self.shape.opening is None else self.shape.opening
        begun = np.clip((time - self.shape.liftoff) / DRIFTS_AFTER, 0.0, 1.0)
        return np.where(time < until, SIDEWAYS * begun, 0.0)

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


def find_flight(readings: Readings, instrument: Instrument, liftoff: float, begins: float) -> Found:
    """Find the phases of a flight and its path.

    Parameters
    ----------
    readings : what counts of the log
    instrument : what wrote it
    liftoff : where about it begins, s by the log's clock
    begins : time of the log's first row, s
    """
    found = _first(readings, instrument, liftoff, begins)
    for number in range(ROUNDS):
        _refine(found, number)
        _smooth(found)
        _weigh(found)
    _smooth(found)
    return found


# ---------------------------------------------------------------- the first look


def _first(readings: Readings, instrument: Instrument, liftoff: float, begins: float) -> Found:
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
    bay, bay_sd = _bay(instrument, readings)
    start = _start(readings, instrument, liftoff, creeps, bay_sd)
    found = Found(
        readings, instrument, creeps, shape, start, (time > start.time) & ~burst,
        np.ones(len(time)), 1.0, _ballistic(time, liftoff, top, instrument), bay, burst,
    )  # fmt: skip
    _rough_boost(found, top)
    _rough_opening(found, top)
    return found


def _ballistic(time: Floats, liftoff: float, top: float, instrument: Instrument) -> About:
    """Climb of a body that gravity alone stops at the top: where the search begins."""
    climb = np.clip(GRAVITY * (top - time), 0.0, None)
    climb *= np.clip((time - liftoff) / 0.2, 0.0, 1.0)
    drag = -GRAVITY * (climb / TERMINAL) ** 2
    return About(time, climb, drag, instrument.port_coefficient.value)


def _bay(instrument: Instrument, readings: Readings) -> tuple[float, float]:
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
    del readings
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
    until = min(top - 0.2 * (top - shape.liftoff), shape.liftoff + LONGEST_PUSH - 1.0)
    begin = found.start
    part = found.reading().between(begin.time, until)
    best = -np.inf
    longest = max(until - shape.liftoff - 0.3, 0.2)
    for lasts in np.geomspace(0.08, min(longest, 1.6), 7).tolist():
        for liftoff in np.linspace(first, last, 10).tolist():
            tried = replace(shape, liftoff=liftoff, push_end=liftoff + lasts, until=until)
            found.reference = _ballistic(part.time, liftoff, top, found.instrument)
            path = settled(found, tried.phases(), begin, part, 6)
            about = about_of(path)
            value = likelihood(tried.phases(), begin, part, about)
            if value > best:
                best = value
                found.shape = replace(shape, liftoff=liftoff, push_end=liftoff + lasts)
                chosen = about
    found.reference = _onwards(chosen, until, top)


def about_of(path: Smoothed) -> About:
    """Return a path as one to take laws straight about."""
    return About(path.time, path.mean[:, 1], path.mean[:, 2], float(path.mean[0, 3]))


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
    boost = [each for each in shape.phases() if each.name in ("pad", "push", "tail")]
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
    fall = (path.time > free + 0.1) & (path.time < down)
    opening = _opening_about(path.time[fall], climb[fall], gain[fall])
    found.shape = replace(shape, opening=opening)


def settled(
    found: Found, phases: list[Phase], start: State, reading: Reading, rounds: int
) -> Smoothed:
    """Smooth, each time about the last path and half way to it, until that hardly moves.

    What the motion adds at the port goes with the square of the climb: a step all the way may
    overshoot where that is much of what is read.
    """
    about = found.reference
    for number in range(rounds):
        path = smoothed(filtered(phases, start, reading, about, 0.0), reading)
        about = _towards(about, about_of(path), 0.5 if number < rounds // 2 else 1.0)
    return path


def _towards(old: About, new: About, share: float) -> About:
    def between(name: str) -> Floats:
        before = np.interp(new.time, old.time, getattr(old, name))
        after: Floats = before + share * (getattr(new, name) - before)
        return after

    port = old.port + share * (new.port - old.port)
    return About(new.time, between("climb"), between("extra"), port)


def _opening_about(time: Floats, climb: Floats, gain: Floats) -> float | None:
    """Where free fall ends: the acceleration stays above half of gravity's fall."""
    free = gain < -0.5 * GRAVITY
    for k in range(len(time)):
        later = (time >= time[k]) & (time < time[k] + 0.3)
        if not free[later].any() and climb[k] < 3.0:
            return float(time[k])
    return None


# ---------------------------------------------------------------- round by round


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


BOOST = ("liftoff", "push_end")
_REACH = {"liftoff": 0.25, "push_end": 0.4, "opening": 1.0, "touchdown": 2.0}
_AFTER = {"liftoff": 1.0, "push_end": 1.0, "opening": 1.5, "touchdown": 3.0}


def _place(found: Found, name: str, reading: Reading, done: Filtered, wide: bool) -> None:
    """Move one moment to where the readings are likeliest, and note how surely."""
    shape, every = found.shape, found.readings.every
    middle = getattr(shape, name)
    reach = max(_REACH[name], 3.0 * every) if wide else None
    moment = found.moments.get(name)
    if reach is None:
        assert moment is not None
        reach = min(max(6.0 * moment.sd, 0.5 * every, 0.01), 2.0 * max(_REACH[name], 3.0 * every))
    for _ in range(2 if wide else 1):
        times = np.linspace(middle - reach, middle + reach, 25)
        times = _allowed(shape, name, times)
        values = _likelihoods(found, name, times, reading, done)
        moment = moment_of(times.tolist(), values)
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
    part = reading.between(begin.time, float(times[-1]) + _AFTER[name])
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


def _uphill(worth, step: float) -> float:  # type: ignore[no-untyped-def]
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


# ---------------------------------------------------------------- path and weights


def _smooth(found: Found) -> None:
    """Smooth, and again about where that led."""
    for _ in range(2):
        reading = found.reading()
        done = filtered(found.shape.phases(), found.start, reading, found.reference, FILL)
        found.path = smoothed(done, reading)
        found.reference = about_of(found.path)


def _weigh(found: Found) -> None:
    """Let readings that stray weigh less, and those that are wild not at all."""
    path = found.path
    assert path is not None
    each = found.readings
    place = np.clip(np.searchsorted(path.time, each.time), 0, len(path.time) - 1)
    after = each.time > found.start.time
    climb = path.mean[place, 1]
    port = path.mean[place, 3]
    row = np.zeros((len(place), 7))
    row[:, 0], row[:, 4], row[:, 5] = 1.0, 1.0, found.creeps
    row[:, 1], row[:, 3] = -port * climb / GRAVITY, -climb * climb / (2.0 * GRAVITY)
    late = found.bay * climb * np.abs(climb) / (2.0 * GRAVITY)
    late += found.reference.port * found.sideways(each.time) / (2.0 * GRAVITY)
    says = path.mean[place, 0] - port * climb**2 / (2.0 * GRAVITY) + path.mean[place, 4]
    says += path.mean[place, 5] * found.creeps - late
    known = np.einsum("ni,nij,nj->n", row, path.covariance[place], row)
    jitter = (found.instrument.jitter * climb) ** 2
    variance = each.variance * found.louder**2 + each.steps + jitter
    counted = found.keep & after
    used = variance * found.inflation
    # Of what a reading leaves, its own pull on the path taken out of it.
    spread = np.where(counted, np.maximum(used - known, 0.05 * used), variance + known)
    off = np.where(counted, used / spread, 1.0) * (each.height - says)
    away = np.abs(off) / np.sqrt(variance + np.where(counted, known * used / spread, known))
    # One or two that stray are the sensor's; where many in a row do, the path is what is wrong.
    stray = after & ~found.burst & (away > OUTLIER)
    alone = stray & ~_in_company(stray)
    found.keep = after & ~found.burst & ~(alone & (away > WILD))
    found.inflation = np.where(alone, np.maximum(1.0, (away / OUTLIER) ** 2), 1.0)


def _in_company(stray: Flags) -> Flags:
    """Tell which stand in a row of more than COMPANY that stray."""
    number = np.concatenate([[0], np.cumsum(np.diff(stray.astype(int)) != 0)])
    lengths = np.bincount(number)[number]
    return np.asarray(stray & (lengths > COMPANY))
