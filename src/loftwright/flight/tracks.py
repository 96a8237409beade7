"""Tapes of the engine as tracks: named columns of one body."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.engine import Raw
from loftwright.flight.kernel import slots
from loftwright.flight.results import Track

__all__ = ["events_of", "track_of"]

Floats = NDArray[np.float64]

_EVENTS = {
    "tube clear": slots.TUBE_CLEAR_TIME,
    "guide exit": slots.GUIDE_EXIT_TIME,
    "start": slots.STARTED_TIME,
    "water out": slots.WATER_OUT_TIME,
    "boosters out": slots.BOOSTERS_OUT_TIME,
    "air out": slots.AIR_OUT_TIME,
    "apogee": slots.APOGEE_TIME,
    "canopy open": slots.OPENED_TIME,
    "touchdown": slots.DOWN_TIME,
}


def events_of(raw: Raw, body: str, flight: int) -> dict[str, float]:
    """Return the events that happened to a body, in order of time.

    The first payload's leaving is the ``release``; that of other things carries their name.
    """
    figures = raw.bodies[body][flight]
    events = {name: float(figures[slot]) for name, slot in _EVENTS.items()}
    for root, carrier, item in raw.carried:
        if carrier == body:
            name = "release" if root == "payload" else f"release of {root}"
            events[name] = float(figures[slots.RELEASED_TIME + item * slots.ITEM_FIGURES])
    if body in {root for root, _, _ in raw.carried} or body.startswith("booster"):
        events["release"] = float(figures[slots.LET_GO_TIME])
    elif np.isfinite(figures[slots.OUTCOME]):
        events["liftoff"] = 0.0
    happened = {name: time for name, time in events.items() if np.isfinite(time)}
    return dict(sorted(happened.items(), key=lambda item: item[1]))


def _state(tape: Floats, slot: int, width: int = 1) -> Floats:
    first = slots.RECORD_STATE + slot // slots.LANES
    return tape[:, first] if width == 1 else tape[:, first : first + width]


def track_of(raw: Raw, body: str, flight: int) -> Track:
    """Return the track of one body of a recorded flight.

    A point has no attitude, and a payload holds nothing: NaN stands in those columns.
    """
    tape = raw.tapes[flight][body]
    phase = tape[:, slots.RECORD_PHASE]
    first = slots.RECORD_ACCELERATION
    turned = np.where(phase == slots.POINT_PHASE, np.nan, 1.0)
    filled = np.where(phase >= slots.POINT_PHASE, np.nan, 1.0)
    return Track(
        body=body,
        time=tape[:, slots.RECORD_TIME],
        position=_state(tape, slots.EAST, 3),
        velocity=_state(tape, slots.V_EAST, 3),
        acceleration=tape[:, first : first + 3],
        attitude=_state(tape, slots.Q0, 4) * turned[:, np.newaxis],
        rates=_state(tape, slots.ROLL_RATE, 3) * turned[:, np.newaxis],
        water_mass=_state(tape, slots.WATER) * filled,
        gas_mass=_state(tape, slots.GAS) * filled,
        gas_temperature=_state(tape, slots.GAS_TEMPERATURE) * filled,
        gauge_pressure=tape[:, slots.RECORD_PRESSURE] * filled,
        thrust=tape[:, slots.RECORD_THRUST] * filled,
        events=events_of(raw, body, flight),
        hold_use={
            root: tape[:, slots.RECORD_USE + item]
            for root, carrier, item in raw.carried
            if carrier == body
        },
    )
