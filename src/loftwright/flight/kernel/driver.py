"""Flies a batch through one phase, side by side; a free lane takes the next flight.

Every number of a lane depends on that lane alone, so a flight comes out the same to the last bit
whatever flies beside it, and whatever thread it flies on.
"""

from math import exp, log, sqrt

from loftwright.flight.kernel.events import RELEASE, depart, happen, upcoming
from loftwright.flight.kernel.rates import canopy_force
from loftwright.flight.kernel.recorder import record_step, restart_clock
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    CANOPY_FILLING,
    CANOPY_PHASE,
    ENDED,
    IMPULSE,
    LANES,
    LOST,
    OUT_OF_TIME,
    OUTCOME,
    PAYLOAD_PHASE,
    ROWS,
    SIZE,
    STEPS_REFUSED,
    STEPS_TAKEN,
    TOP_ACCELERATION,
    TOP_LOAD,
    TOP_SPEED,
    TOP_THRUST,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.flight.kernel.stepper import K7, error_norms, interpolate, rates, stages

__all__ = ["fly_phase"]

STANDALONE = True  # too large to be copied into every caller

LONGEST = 3600.0  # s; a flight still up after this is reported as out of time
MOST_STEPS = 200_000
SMALLEST_STEP = 1e-9  # s
FIRST_STEP = (1e-3, 1e-3, 1e-3, 1e-2, 1e-2, 1e-2)
LONGEST_STEP = (1e-2, 1e-2, 1e-2, 0.5, 1.0, 1.0)


def _watch(phase, t, h, ys, p, after):
    """How far the nearest event is from the end of each lane's step."""
    for lane in range(LANES):
        after[lane], _which = upcoming(phase, t[lane] + h[lane], ys, p, lane)


def _note_extremes(phase, t, y, p, k, accepted):
    """Keep the largest speed, acceleration, thrust and canopy load met at the start of steps."""
    if phase == PAYLOAD_PHASE:
        return
    for i in range(LANES):
        east = y[V_EAST + i]
        north = y[V_NORTH + i]
        up = y[V_UP + i]
        speed = sqrt(east * east + north * north + up * up) * accepted[i]
        p[TOP_SPEED + i] = max(p[TOP_SPEED + i], speed)
    if phase == CANOPY_PHASE:
        for i in range(LANES):
            load = canopy_force(t[i], y, p, i) * accepted[i]
            p[TOP_LOAD + i] = max(p[TOP_LOAD + i], load)
        return
    for i in range(LANES):
        east = k[V_EAST + i]
        north = k[V_NORTH + i]
        up = k[V_UP + i]
        gained = sqrt(east * east + north * north + up * up) * accepted[i]
        p[TOP_ACCELERATION + i] = max(p[TOP_ACCELERATION + i], gained)
    if phase <= AIR_PHASE:
        for i in range(LANES):
            thrust = k[IMPULSE + i] * accepted[i]
            p[TOP_THRUST + i] = max(p[TOP_THRUST + i], thrust)


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


def _locate(phase, rows, t, h, y, p, k, lane, w, trial, before, after):
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
        interpolate(rows, share, h, y, k, lane, w, trial)
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


def _first_step(phase, p, lane):
    if phase == CANOPY_PHASE and p[CANOPY_FILLING + lane] > 0.0:
        return min(FIRST_STEP[phase], 0.02 * p[CANOPY_FILLING + lane])
    return FIRST_STEP[phase]


def _longest_step(phase, p, lane):
    """Steps short enough to see the peak of a filling canopy's load."""
    if phase == CANOPY_PHASE and p[CANOPY_FILLING + lane] > 0.0:
        return 0.05 * p[CANOPY_FILLING + lane]
    return LONGEST_STEP[phase]


def _judge(norms, flights, accepted):
    """1 for lanes whose step is good, 0 for those to be tried again and for idle lanes."""
    for i in range(LANES):
        accepted[i] = 1.0 if norms[i] <= 1.0 and flights[i] >= 0 else 0.0


def _advance(rows, t, h, y, ys, k, accepted):
    """Move accepted lanes to the end of their step; its last stage is the next one's first."""
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            y[o + i] = ys[o + i] if accepted[i] > 0.5 else y[o + i]
            k[o + i] = k[o + i + K7] if accepted[i] > 0.5 else k[o + i]
    for i in range(LANES):
        t[i] = t[i] + h[i] * accepted[i]


def _control(phase, h, p, norms, previous, accepted):
    """Proportional-integral step control (Hairer, Norsett and Wanner I, section II.4)."""
    for i in range(LANES):
        # A step into nonsense (not a number) counts as far off: refused, and shortened.
        size = max(norms[i], 1e-10) if norms[i] < 1e10 else 1e10
        log_size = log(size)
        grow = 0.9 * exp(-0.14 * log_size + 0.08 * log(max(previous[i], 1e-4)))
        shrink = 0.9 * exp(-0.2 * log_size)
        good = accepted[i] > 0.5
        factor = min(max(grow, 0.2), 5.0) if good else min(max(shrink, 0.1), 0.9)
        h[i] = min(h[i] * factor, _longest_step(phase, p, i))
        previous[i] = size if good else previous[i]
        p[STEPS_TAKEN + i] += accepted[i]
        p[STEPS_REFUSED + i] += 1.0 - accepted[i]


def _out_of_bounds(t, h, steps, out):
    if t > LONGEST or steps > MOST_STEPS:
        out[OUTCOME] = OUT_OF_TIME
        return True
    if not h > SMALLEST_STEP:
        out[OUTCOME] = LOST
        return True
    return False


def _cut_short(phase, lane, t, h, y, ys, p, k, w, trial, before, after):
    """End a lane's step at the first event in it; return the share of it that was taken."""
    rows = ROWS[phase]
    share = _locate(phase, rows, t[lane], h[lane], y, p, k, lane, w, trial, before, after)
    interpolate(rows, share, h[lane], y, k, lane, w, trial)
    for row in range(rows):
        ys[row * LANES + lane] = trial[row * LANES + lane]
    return share


def fly_phase(
    phase, queue, tolerance, states, times, parameters, phases, figures, departures,
    tape, work,
):  # fmt: skip
    """Fly every queued flight through ``phase``; leave each at the door of its next one."""
    rows = ROWS[phase]
    y, ys, trial, p, t, h, ts, norms, previous, distance, after, accepted, flights, w, k = work
    recorded = tape[2].shape[0] // 2
    for lane in range(LANES):
        flights[lane] = -1
    waiting = queue.shape[0]
    taken = 0
    flying = 0
    while True:
        stale = False
        for lane in range(LANES):
            while flights[lane] < 0 and taken < waiting:
                flight = queue[taken]
                taken += 1
                _load_lane(flight, lane, states, times, parameters, y, t, p)
                following = _settle(phase, t[lane], y, p, lane, figures[flight], departures[flight])
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
            rates(phase, t, y, p, k[:SIZE])
        refill = False
        while not refill:
            stages(phase, rows, t, h, y, p, k, ts, ys)
            error_norms(rows, tolerance, h, y, ys, k, norms)
            _judge(norms, flights, accepted)
            _watch(phase, t, h, ys, p, after)
            _note_extremes(phase, t, y, p, k, accepted)
            stale = False
            for lane in range(LANES):
                if accepted[lane] < 0.5:
                    continue
                share = 1.0
                if after[lane] <= 0.0:
                    share = _cut_short(
                        phase, lane, t, h, y, ys, p, k, w, trial, distance[lane], after[lane]
                    )
                if flights[lane] < recorded:
                    record_step(
                        phase, rows, flights[lane], share, t[lane], h[lane], y, p, k, lane, w,
                        trial, tape,
                    )  # fmt: skip
                distance[lane] = after[lane]
                if after[lane] <= 0.0:
                    # The rest of the step, and its size, belong to what comes after the event.
                    h[lane] *= share
                    stale = True
            _advance(rows, t, h, y, ys, k, accepted)
            _control(phase, h, p, norms, previous, accepted)
            for lane in range(LANES):
                flight = flights[lane]
                if flight < 0:
                    continue
                following = phase
                if accepted[lane] > 0.5 and after[lane] <= 0.0:
                    following = _settle(
                        phase, t[lane], y, p, lane, figures[flight], departures[flight]
                    )
                    restart_clock(phase, flight, t[lane], tape)
                    distance[lane], _which = upcoming(phase, t[lane], y, p, lane)
                    h[lane] = min(_first_step(phase, p, lane), _longest_step(phase, p, lane))
                if _out_of_bounds(t[lane], h[lane], p[STEPS_TAKEN + lane], figures[flight]):
                    following = ENDED
                if following != phase:
                    _store_lane(flight, lane, states, times, parameters, y, t, p)
                    phases[flight] = following
                    flights[lane] = -1
                    h[lane] = SMALLEST_STEP
                    flying -= 1
                    refill = True
            if stale and not refill:
                rates(phase, t, y, p, k[:SIZE])
