"""Writes down what a flight does: samples on a clock, and one at every event."""

from loftwright.flight.kernel.airloads import meet_air
from loftwright.flight.kernel.holding import hold_item
from loftwright.flight.kernel.loading import lane_load
from loftwright.flight.kernel.propulsion import gauge_pressure, travel
from loftwright.flight.kernel.rates import surroundings
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    BOOSTED_PHASE,
    BOOSTER_COUNT,
    BOOSTER_IMPULSE,
    CANOPY_PHASE,
    IMPULSE,
    ITEM,
    ITEM_USE,
    LANES,
    RECORD_ACCELERATION,
    RECORD_PHASE,
    RECORD_PRESSURE,
    RECORD_STATE,
    RECORD_THRUST,
    RECORD_TIME,
    RECORD_USE,
    STATES,
    TUBE_AREA,
    TUBE_PHASE,
    V_EAST,
)
from loftwright.flight.kernel.stepper import interpolate, slopes

__all__ = ["record_step", "restart_clock"]

STANDALONE = True  # too large to be copied into every caller


def _write_holds(phase, items, t, state, slope, p, lane, sample):
    """How much of its hold everything carried takes; loads in ``p`` become those of the sample."""
    if items == 0 or phase >= CANOPY_PHASE:
        return
    surroundings(t, state, p, lane)
    lane_load(phase, items, state, p, lane)
    meet_air(state, p, lane)
    for item in range(items):
        hold_item(item * ITEM, state, slope, p, lane)
        sample[RECORD_USE + item] = p[ITEM_USE + item * ITEM + lane]


def _write(phase, items, rows, share, t, h, y, p, k, lane, w, trial, slope, sample):
    at = t + share * h
    interpolate(rows, share, h, y, k, lane, w, trial)
    slopes(rows, share, k, lane, w, slope)
    sample[RECORD_TIME] = at
    sample[RECORD_PHASE] = phase
    for row in range(STATES):
        o = row * LANES + lane
        sample[RECORD_STATE + row] = trial[o] if row < rows else y[o]
    for axis in range(3):
        sample[RECORD_ACCELERATION + axis] = slope[V_EAST + axis * LANES + lane]
    # After the push the gas inside is at the pressure outside.
    sample[RECORD_THRUST] = 0.0
    sample[RECORD_PRESSURE] = 0.0
    if phase <= AIR_PHASE:
        thrust = slope[IMPULSE + lane]
        if phase == BOOSTED_PHASE:
            thrust += p[BOOSTER_COUNT + lane] * slope[BOOSTER_IMPULSE + lane]
        sample[RECORD_THRUST] = thrust
        freed = p[TUBE_AREA + lane] * travel(trial, p, lane) if phase == TUBE_PHASE else 0.0
        sample[RECORD_PRESSURE] = gauge_pressure(freed, trial, p, lane, 0, 0)
    _write_holds(phase, items, at, trial, slope, p, lane, sample)


def _interval(phase, count, capacity, intervals):
    """Seconds between samples; they grow as the tape fills, so that a long flight still fits."""
    interval = intervals[0] if phase <= AIR_PHASE else intervals[1]
    room = 1.0 - count / capacity
    return interval / (room * room * room)


def record_step(phase, items, rows, flight, share, t, h, y, p, k, lane, w, trial, slope, tape):
    """Write the samples that fall into a step, and one at its end if an event cut it short."""
    records, counts, clocks, intervals = tape
    capacity = records.shape[1]
    until = t + share * h
    while clocks[flight] < until and counts[flight] < capacity - 1:
        at = max((clocks[flight] - t) / h, 0.0)
        sample = records[flight, counts[flight]]
        _write(phase, items, rows, at, t, h, y, p, k, lane, w, trial, slope, sample)
        counts[flight] += 1
        clocks[flight] = max(clocks[flight], t) + _interval(
            phase, counts[flight], capacity, intervals
        )
    if share < 1.0 and counts[flight] < capacity:
        sample = records[flight, counts[flight]]
        _write(phase, items, rows, share, t, h, y, p, k, lane, w, trial, slope, sample)
        counts[flight] += 1


def restart_clock(flight, t, tape):
    """Sample again right after an event, when the rates have changed."""
    clocks = tape[2]
    if flight < clocks.shape[0]:
        clocks[flight] = t
