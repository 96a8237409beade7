"""Flies a batch: all flights of one phase side by side, a free lane takes the next flight.

Every number of a lane depends on that lane alone, so a flight comes out the same to the last bit
whatever flies beside it, and whatever thread it flies on.
"""

from math import exp, log, sqrt

from loftwright.flight.kernel.events import RELEASE, depart, happen, upcoming
from loftwright.flight.kernel.rates import canopy_force
from loftwright.flight.kernel.recorder import record_step, restart_clock
from loftwright.flight.kernel.slots import (
    CANOPY_FILLING,
    CANOPY_LOAD,
    CANOPY_PHASE,
    ENDED,
    IMPULSE,
    LANES,
    LOST,
    MAX_ACCELERATION,
    MAX_SPEED,
    OUT_OF_TIME,
    OUTCOME,
    PAYLOAD_PHASE,
    PEAK_THRUST,
    REJECTED,
    ROWS,
    STEPS,
    TOTAL_IMPULSE,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.flight.kernel.stepper import error_norms, interpolate, rates, stages

__all__ = ["fly_phase"]

STANDALONE = True  # too large to be copied into every caller

LONGEST = 3600.0  # s; a flight still up after this is reported as out of time
MOST_STEPS = 200_000
SMALLEST_STEP = 1e-9  # s
FIRST_STEP = (1e-3, 1e-3, 1e-3, 1e-2, 1e-2, 1e-2)
LONGEST_STEP = (1e-2, 1e-2, 1e-2, 0.5, 1.0, 1.0)


def _norm(east, north, up):
    return sqrt(east * east + north * north + up * up)


def _note_extremes(phase, t, y, p, k, lane, out):
    """Keep the largest speed, acceleration, thrust and canopy load met at step ends."""
    if phase == PAYLOAD_PHASE:
        return
    speed = _norm(y[V_EAST + lane], y[V_NORTH + lane], y[V_UP + lane])
    out[MAX_SPEED] = max(out[MAX_SPEED], speed)
    if phase == CANOPY_PHASE:
        out[CANOPY_LOAD] = max(out[CANOPY_LOAD], canopy_force(t, y, p, lane))
        return
    gained = _norm(k[V_EAST + lane], k[V_NORTH + lane], k[V_UP + lane])
    out[MAX_ACCELERATION] = max(out[MAX_ACCELERATION], gained)
    if ROWS[phase] > 13:
        out[PEAK_THRUST] = max(out[PEAK_THRUST], k[IMPULSE + lane])
        out[TOTAL_IMPULSE] = y[IMPULSE + lane]


def _settle(phase, t, y, p, lane, out, departure):
    """Carry out every event that has come at this very moment; return the phase that follows."""
    for _ in range(16):
        distance, which = upcoming(phase, t, y, p, lane)
        if distance > 0.0:
            return phase
        if which == RELEASE:
            depart(t, y, p, lane, departure)
        following = happen(which, phase, t, y, p, lane, out)
        if following != phase:
            return following
    out[OUTCOME] = LOST
    return ENDED


def _locate(phase, rows, t, h, y, p, k, lane, trial, before, after):
    """Share of the step at which the nearest event happens (Illinois on the interpolant).

    The share returned lies at or just after the root, so that the event reads as come.
    """
    low, high = 0.0, 1.0
    f_low, f_high = before, after
    side = 0
    for _ in range(60):
        if high - low < 1e-13:
            break
        share = (low * f_high - high * f_low) / (f_high - f_low)
        if not (low < share < high):
            share = 0.5 * (low + high)
        interpolate(rows, share, h, y, k, lane, trial)
        value, _which = upcoming(phase, t + share * h, trial, p, lane)
        if value > 0.0:
            low, f_low = share, value
            f_high = 0.5 * f_high if side == 1 else f_high
            side = 1
        else:
            high, f_high = share, value
            f_low = 0.5 * f_low if side == -1 else f_low
            side = -1
            if value == 0.0:
                break
    return high


def _load_lane(flight, lane, states, times, parameters, y, t, p):
    for row in range(states.shape[1]):
        y[row * LANES + lane] = states[flight, row]
    for row in range(parameters.shape[1]):
        p[row * LANES + lane] = parameters[flight, row]
    t[lane] = times[flight]


def _store_lane(flight, lane, states, times, parameters, y, t, p):
    for row in range(states.shape[1]):
        states[flight, row] = y[row * LANES + lane]
    for row in range(parameters.shape[1]):
        parameters[flight, row] = p[row * LANES + lane]
    times[flight] = t[lane]


def _step_factor(norm, previous):
    """Proportional-integral step control (Hairer, Norsett and Wanner I, section II.4)."""
    size = max(norm, 1e-10)
    factor = 0.9 * exp(-0.14 * log(size) + 0.08 * log(max(previous, 1e-4)))
    return min(max(factor, 0.2), 5.0)


def _first_step(phase, p, lane):
    if phase == CANOPY_PHASE and p[CANOPY_FILLING + lane] > 0.0:
        return min(FIRST_STEP[phase], 0.02 * p[CANOPY_FILLING + lane])
    return FIRST_STEP[phase]


def _longest_step(phase, p, lane):
    """Steps short enough to see the peak of a filling canopy's load."""
    if phase == CANOPY_PHASE and p[CANOPY_FILLING + lane] > 0.0:
        return 0.05 * p[CANOPY_FILLING + lane]
    return LONGEST_STEP[phase]


def _out_of_bounds(t, h, out):
    if t > LONGEST or out[STEPS] > MOST_STEPS:
        out[OUTCOME] = OUT_OF_TIME
        return True
    if not h > SMALLEST_STEP:
        out[OUTCOME] = LOST
        return True
    return False


def _take(phase, lane, flight, t, h, y, p, k, ts, ys, trial, distance, figures, departures, tape):
    """Accept a lane's step, up to the first event in it.

    Returns the phase that follows, and whether an event happened.
    """
    rows = ROWS[phase]
    out = figures[flight]
    out[STEPS] += 1.0
    after, _which = upcoming(phase, t[lane] + h[lane], ys, p, lane)
    share = 1.0
    if after <= 0.0:
        share = _locate(phase, rows, t[lane], h[lane], y, p, k, lane, trial, distance[lane], after)
    record_step(phase, rows, flight, share, t[lane], h[lane], y, k, lane, trial, tape)
    _note_extremes(phase, t[lane], y, p, k[0], lane, out)
    interpolate(rows, share, h[lane], y, k, lane, trial)
    for row in range(rows):
        o = row * LANES + lane
        y[o] = trial[o] if after <= 0.0 else ys[o]
    t[lane] = t[lane] + share * h[lane]
    if after > 0.0:
        distance[lane] = after
        return phase, False
    _note_extremes(phase, t[lane], y, p, k[0], lane, out)
    following = _settle(phase, t[lane], y, p, lane, out, departures[flight])
    restart_clock(phase, flight, t[lane], tape)
    distance[lane], _which = upcoming(following, t[lane], y, p, lane)
    return following, True


def _refuse(norm):
    """Factor on a step that was refused."""
    if norm < 1e9:
        return max(0.2, 0.9 * exp(-0.2 * log(norm)))
    return 0.1


def fly_phase(
    phase, queue, waiting, tolerance, states, times, parameters, phases, figures, departures,
    tape, work,
):  # fmt: skip
    """Fly every queued flight through ``phase``; leave each at the door of its next one."""
    rows = ROWS[phase]
    y, ys, trial, p, t, h, ts, norms, previous, distance, flights, k = work
    k1 = k[0]
    k7 = k[6]
    flights[:] = -1
    taken = 0
    flying = 0
    stale = False
    while True:
        for lane in range(LANES):
            while flights[lane] < 0 and taken < waiting:
                flight = queue[taken]
                taken += 1
                _load_lane(flight, lane, states, times, parameters, y, t, p)
                following = _settle(
                    phase, t[lane], y, p, lane, figures[flight], departures[flight]
                )
                if following != phase:
                    _store_lane(flight, lane, states, times, parameters, y, t, p)
                    phases[flight] = following
                    continue
                flights[lane] = flight
                flying += 1
                stale = True
                h[lane] = _first_step(phase, p, lane)
                previous[lane] = 1.0
                distance[lane], _which = upcoming(phase, t[lane], y, p, lane)
        if flying == 0:
            return
        if stale:
            rates(phase, t, y, p, k1)
            stale = False
        stages(phase, rows, t, h, y, p, k, ts, ys)
        error_norms(rows, tolerance, h, y, ys, k, norms)
        for lane in range(LANES):
            flight = flights[lane]
            if flight < 0:
                continue
            norm = norms[lane]
            following = phase
            if norm <= 1.0:
                following, changed = _take(
                    phase, lane, flight, t, h, y, p, k, ts, ys, trial, distance, figures,
                    departures, tape,
                )  # fmt: skip
                if changed:
                    stale = True
                    h[lane] = min(h[lane], _first_step(phase, p, lane))
                else:
                    for row in range(rows):
                        k1[row * LANES + lane] = k7[row * LANES + lane]
                    h[lane] *= _step_factor(norm, previous[lane])
                previous[lane] = norm
                h[lane] = min(h[lane], _longest_step(phase, p, lane))
            else:
                figures[flight, REJECTED] += 1.0
                h[lane] *= _refuse(norm)
            if _out_of_bounds(t[lane], h[lane], figures[flight]):
                following = ENDED
            if following != phase:
                _store_lane(flight, lane, states, times, parameters, y, t, p)
                phases[flight] = following
                flights[lane] = -1
                flying -= 1
