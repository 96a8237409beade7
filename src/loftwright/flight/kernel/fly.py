"""The entry to the compiled engine: a table of parameters in, figures and tracks out."""

import numpy as np

from loftwright.flight.kernel.driver import fly_phase
from loftwright.flight.kernel.slots import (
    CANOPY_LOAD,
    ENDED,
    FIGURE_COUNT,
    IMPULSE,
    LANDED,
    LANES,
    MAX_ACCELERATION,
    MAX_SPEED,
    OUTCOME,
    PARAMETER_COUNT,
    PAYLOAD_PHASE,
    PEAK_THRUST,
    REJECTED,
    SIZE,
    SPAN_EAST,
    SPAN_NORTH,
    STATES,
    STEPS,
    STEPS_REFUSED,
    STEPS_TAKEN,
    TOP_ACCELERATION,
    TOP_LOAD,
    TOP_SPEED,
    TOP_THRUST,
    TOTAL_IMPULSE,
    TUBE_LENGTH,
    TUBE_PHASE,
    WATER_PHASE,
)

__all__ = ["DEPARTURE_COLUMNS", "fly"]

STANDALONE = True  # too large to be copied into every caller

DEPARTURE_COLUMNS = 9


def _workspace():
    return (
        np.zeros(SIZE),
        np.zeros(SIZE),
        np.zeros(SIZE),
        np.zeros(PARAMETER_COUNT * LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES),
        np.zeros(LANES, dtype=np.int64),
        np.zeros(7 * SIZE),
    )


def _idle_lanes(work, states, parameters):
    """Fill all lanes with the first flight, so that lanes without one compute harmlessly."""
    y, p, t, h = work[0], work[3], work[4], work[5]
    for lane in range(LANES):
        for row in range(STATES):
            y[row * LANES + lane] = states[0, row]
        for row in range(PARAMETER_COUNT):
            p[row * LANES + lane] = parameters[0, row]
        t[lane] = 0.0
        h[lane] = 1e-6


def _queue(phases, phase, queue):
    waiting = 0
    for flight in range(phases.shape[0]):
        if phases[flight] == phase:
            queue[waiting] = flight
            waiting += 1
    return waiting


def _payloads_start(states, times, parameters, phases, departures):
    """Put every payload that was let go at the start of its own flight."""
    for flight in range(phases.shape[0]):
        if departures[flight, 0] < 0.0:
            continue
        times[flight] = departures[flight, 0]
        for row in range(6):
            states[flight, row] = departures[flight, 1 + row]
        parameters[flight, SPAN_EAST // LANES] = departures[flight, 7]
        parameters[flight, SPAN_NORTH // LANES] = departures[flight, 8]
        phases[flight] = PAYLOAD_PHASE


def fly(parameters, states, tolerance, records, intervals):
    """Fly a batch from the pad, or fire it on the stand.

    Parameters
    ----------
    parameters : (n, PARAMETER_COUNT) float64
        One row a flight, as ``slots`` names them. Changed in place: memory is part of it.
    states : (n, STATES) float64
        States at first motion. Changed in place: the last state of each vehicle, or payload.
    tolerance : float
        Relative tolerance; absolute tolerance is the same share of ``slots.TYPICAL``.
    records : (2 m, capacity, RECORD_COLUMNS) float64
        Room for the tracks of the first m flights: vehicles, then payloads.
    intervals : (2,) float64
        Seconds between samples while pushed, and after.

    Returns
    -------
    figures : (n, FIGURE_COUNT) float64
        Figures as ``slots`` names them, NaN for what did not happen.
    counts : (2 m,) int64
        Samples written of each track.
    """
    n = parameters.shape[0]
    figures = np.full((n, FIGURE_COUNT), np.nan)
    figures[:, OUTCOME] = LANDED
    times = np.zeros(n)
    phases = np.zeros(n, dtype=np.int64)
    departures = np.full((n, DEPARTURE_COLUMNS), -1.0)
    counts = np.zeros(records.shape[0], dtype=np.int64)
    tape = (records, counts, np.zeros(records.shape[0]), intervals)
    queue = np.zeros(n, dtype=np.int64)
    work = _workspace()
    _idle_lanes(work, states, parameters)
    for flight in range(n):
        tube = parameters[flight, TUBE_LENGTH // LANES] > 0.0
        phases[flight] = TUBE_PHASE if tube else WATER_PHASE
    for phase in range(ENDED):
        if phase == PAYLOAD_PHASE:
            # What the vehicle has delivered; a payload's own state takes its place.
            figures[:, TOTAL_IMPULSE] = states[:, IMPULSE // LANES]
            _payloads_start(states, times, parameters, phases, departures)
        fly_phase(
            phase, queue, _queue(phases, phase, queue), tolerance, states, times, parameters,
            phases, figures, departures, tape, work,
        )  # fmt: skip
    figures[:, MAX_SPEED] = parameters[:, TOP_SPEED // LANES]
    figures[:, MAX_ACCELERATION] = parameters[:, TOP_ACCELERATION // LANES]
    figures[:, PEAK_THRUST] = parameters[:, TOP_THRUST // LANES]
    figures[:, CANOPY_LOAD] = parameters[:, TOP_LOAD // LANES]
    figures[:, STEPS] = parameters[:, STEPS_TAKEN // LANES]
    figures[:, REJECTED] = parameters[:, STEPS_REFUSED // LANES]
    return figures, counts
