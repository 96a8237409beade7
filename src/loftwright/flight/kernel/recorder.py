"""Writes down what a flight does: samples on a clock, and one at every event."""

from loftwright.flight.kernel.propulsion import gauge_pressure, travel
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    IMPULSE,
    LANES,
    PAYLOAD_PHASE,
    RECORD_ACCELERATION,
    RECORD_PHASE,
    RECORD_PRESSURE,
    RECORD_STATE,
    RECORD_THRUST,
    RECORD_TIME,
    STATES,
    TUBE_AREA,
    TUBE_PHASE,
    V_EAST,
)
from loftwright.flight.kernel.stepper import interpolate, slope_weights, weighted

__all__ = ["record_step", "restart_clock"]

STANDALONE = True  # too large to be copied into every caller


def _track(phase, flight, clocks):
    """Row of the tape that this body of this flight is written to, or -1.

    The first half of the tape belongs to vehicles, the second to payloads.
    """
    half = clocks.shape[0] // 2
    if flight >= half:
        return -1
    return flight + half if phase == PAYLOAD_PHASE else flight


def _write(phase, rows, track, share, t, h, y, p, k, lane, w, trial, records, counts):
    count = counts[track]
    if count >= records.shape[1]:
        return
    interpolate(rows, share, h, y, k, lane, w, trial)
    sample = records[track, count]
    sample[RECORD_TIME] = t + share * h
    sample[RECORD_PHASE] = phase
    for row in range(STATES):
        o = row * LANES + lane
        sample[RECORD_STATE + row] = trial[o] if row < rows else y[o]
    slope_weights(share, w)
    for axis in range(3):
        o = V_EAST + axis * LANES + lane
        sample[RECORD_ACCELERATION + axis] = weighted(o, w, k)
    # After the push the gas inside is at the pressure outside.
    sample[RECORD_THRUST] = 0.0
    sample[RECORD_PRESSURE] = 0.0
    if phase <= AIR_PHASE:
        sample[RECORD_THRUST] = weighted(IMPULSE + lane, w, k)
        freed = p[TUBE_AREA + lane] * travel(trial, p, lane) if phase == TUBE_PHASE else 0.0
        sample[RECORD_PRESSURE] = gauge_pressure(freed, trial, p, lane)
    counts[track] = count + 1


def _interval(phase, count, capacity, intervals):
    """Seconds between samples; they grow as the tape fills, so that a long flight still fits."""
    interval = intervals[0] if phase <= AIR_PHASE else intervals[1]
    room = 1.0 - count / capacity
    return interval / (room * room * room)


def record_step(phase, rows, flight, share, t, h, y, p, k, lane, w, trial, tape):
    """Write the samples that fall into a step, and one at its end if an event cut it short."""
    records, counts, clocks, intervals = tape
    track = _track(phase, flight, clocks)
    if track < 0:
        return
    until = t + share * h
    while clocks[track] < until and counts[track] < records.shape[1] - 1:
        at = max((clocks[track] - t) / h, 0.0)
        _write(phase, rows, track, at, t, h, y, p, k, lane, w, trial, records, counts)
        clocks[track] = max(clocks[track], t) + _interval(
            phase, counts[track], records.shape[1], intervals
        )
    if share < 1.0:
        _write(phase, rows, track, share, t, h, y, p, k, lane, w, trial, records, counts)


def restart_clock(phase, flight, t, tape):
    """Sample again right after an event, when the rates have changed."""
    clocks = tape[2]
    track = _track(phase, flight, clocks)
    if track >= 0:
        clocks[track] = t
