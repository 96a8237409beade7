"""A batch of flights from pad to ground: a table of parameters in, figures and tapes out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel.slots import (
    CANOPY_LOAD,
    ENDED,
    FIGURE_COUNT,
    HELD,
    HOLD_LOAD,
    IMPULSE,
    LANDED,
    LANES,
    MAX_ACCELERATION,
    MAX_SPEED,
    OUTCOME,
    PARAMETER_COUNT,
    PAYLOAD_PHASE,
    PEAK_THRUST,
    RECORD_COLUMNS,
    REJECTED,
    SIZE,
    SPAN_EAST,
    SPAN_NORTH,
    STATES,
    STEPS,
    STEPS_REFUSED,
    STEPS_TAKEN,
    TOP_ACCELERATION,
    TOP_HOLD,
    TOP_LOAD,
    TOP_SPEED,
    TOP_THRUST,
    TOTAL_IMPULSE,
    TUBE_LENGTH,
    TUBE_PHASE,
    WATER_PHASE,
)

__all__ = ["fly", "warm_up"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

DEPARTURE_COLUMNS = 9

_KEPT = {
    MAX_SPEED: TOP_SPEED,
    MAX_ACCELERATION: TOP_ACCELERATION,
    PEAK_THRUST: TOP_THRUST,
    CANOPY_LOAD: TOP_LOAD,
    HOLD_LOAD: TOP_HOLD,
    STEPS: STEPS_TAKEN,
    REJECTED: STEPS_REFUSED,
}


def _workspace(states: Floats, parameters: Floats) -> tuple[Any, ...]:
    """Tables of sixteen lanes; idle ones compute the first flight harmlessly."""
    y = np.repeat(states[0], LANES)
    p = np.repeat(parameters[0], LANES)
    t, h, ts, norms, previous, distance, after, accepted, reach = np.zeros((9, LANES))
    h[:] = 1e-6
    flights = np.full(LANES, -1)
    stages = np.zeros(7 * SIZE)
    weights = np.zeros(7)
    return (
        y, y.copy(), y.copy(), p, t, h, ts, norms, previous, distance, after, accepted, reach,
        flights, weights, stages,
    )  # fmt: skip


def _payloads_start(
    states: Floats, times: Floats, parameters: Floats, phases: Whole, departures: Floats
) -> None:
    """Put every payload that was let go at the start of its own flight."""
    gone = departures[:, 0] >= 0.0
    times[gone] = departures[gone, 0]
    states[gone, :6] = departures[gone, 1:7]
    parameters[gone, SPAN_EAST // LANES] = departures[gone, 7]
    parameters[gone, SPAN_NORTH // LANES] = departures[gone, 8]
    phases[gone] = PAYLOAD_PHASE


def _set_up(
    parameters: Floats, states: Floats, records: Floats, intervals: Floats
) -> tuple[tuple[Any, ...], tuple[Any, ...], tuple[Any, ...]]:
    """Tables of the flights, tape and workspace, as `driver.fly_phase` takes them."""
    n = len(parameters)
    figures = np.full((n, FIGURE_COUNT), np.nan)
    figures[:, OUTCOME] = LANDED
    # On the stand nothing slides: the stroke of a launch tube has no place there.
    held = parameters[:, HELD // LANES] > 0.5
    slides = (parameters[:, TUBE_LENGTH // LANES] > 0.0) & ~held
    phases = np.where(slides, TUBE_PHASE, WATER_PHASE).astype(np.int64)
    departures = np.full((n, DEPARTURE_COLUMNS), -1.0)
    counts = np.zeros(len(records), dtype=np.int64)
    return (
        (states, np.zeros(n), parameters, phases, figures, departures),
        (records, counts, np.zeros(len(records)), intervals),
        _workspace(states, parameters),
    )


def warm_up(fly_phase: Callable[..., None]) -> None:
    """Have ``fly_phase`` compiled, or loaded, by flying nobody."""
    records = np.zeros((0, 1, RECORD_COLUMNS))
    no_flight = np.zeros((1, PARAMETER_COUNT)), np.zeros((1, STATES))
    nobody = np.zeros(0, dtype=np.int64)
    fly_phase(TUBE_PHASE, nobody, 1e-6, *_set_up(*no_flight, records, np.ones(2)))


def fly(
    fly_phase: Callable[..., None],
    parameters: Floats,
    states: Floats,
    tolerance: float,
    records: Floats,
    intervals: Floats,
) -> tuple[Floats, Whole]:
    """Fly a batch from the pad, or fire it on the stand.

    Parameters
    ----------
    fly_phase : callable
        `driver.fly_phase`, compiled or as it stands.
    parameters : (n, PARAMETER_COUNT) array
        One row a flight, as ``slots`` names them. Changed in place: memory is part of it.
    states : (n, STATES) array
        States at first motion. Changed in place: the last state of each vehicle, or payload.
    tolerance : float
        Relative tolerance; absolute tolerance is the same share of ``slots.TYPICAL``.
    records : (2 m, capacity, RECORD_COLUMNS) array
        Room for the tracks of the first m flights: vehicles, then payloads.
    intervals : (2,) array
        Seconds between samples while pushed, and after.

    Returns
    -------
    figures : (n, FIGURE_COUNT) array
        Figures as ``slots`` names them, NaN for what did not happen.
    counts : (2 m,) array of int
        Samples written of each track.
    """
    tables, tape, work = _set_up(parameters, states, records, intervals)
    _, times, _, phases, figures, departures = tables
    for phase in range(ENDED):
        if phase == PAYLOAD_PHASE:
            # What the vehicle has delivered; a payload's own state takes its place.
            figures[:, TOTAL_IMPULSE] = states[:, IMPULSE // LANES]
            _payloads_start(states, times, parameters, phases, departures)
        queue = np.flatnonzero(phases == phase)
        if len(queue):
            fly_phase(phase, queue, tolerance, tables, tape, work)
    for figure, slot in _KEPT.items():
        figures[:, figure] = parameters[:, slot // LANES]
    return figures, tape[1]
