"""Tapes of the engine as tracks: named columns of one body."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel import slots
from loftwright.flight.results import Track

__all__ = ["events_of", "payload_track", "vehicle_track"]

Floats = NDArray[np.float64]

_VEHICLE_EVENTS = {
    "tube clear": slots.TUBE_CLEAR_TIME,
    "guide exit": slots.GUIDE_EXIT_TIME,
    "water out": slots.WATER_OUT_TIME,
    "air out": slots.AIR_OUT_TIME,
    "release": slots.RELEASED_TIME,
    "apogee": slots.APOGEE_TIME,
    "canopy open": slots.OPENED_TIME,
    "touchdown": slots.VEHICLE_DOWN_TIME,
}
_PAYLOAD_EVENTS = {
    "release": slots.RELEASED_TIME,
    "touchdown": slots.PAYLOAD_DOWN_TIME,
}


def events_of(figures: Floats, body: str) -> dict[str, float]:
    """Return the events that happened to a body, in order of time."""
    names = _VEHICLE_EVENTS if body == "vehicle" else _PAYLOAD_EVENTS
    events = {name: float(figures[slot]) for name, slot in names.items()}
    happened = {name: time for name, time in events.items() if np.isfinite(time)}
    if body == "vehicle":
        happened = {"liftoff": 0.0, **happened}
    return dict(sorted(happened.items(), key=lambda item: item[1]))


def _state(tape: Floats, slot: int, width: int = 1) -> Floats:
    first = slots.RECORD_STATE + slot // slots.LANES
    return tape[:, first] if width == 1 else tape[:, first : first + width]


def vehicle_track(tape: Floats, figures: Floats) -> Track:
    """Return the vehicle's track from its tape and its row of figures."""
    first = slots.RECORD_ACCELERATION
    return Track(
        body="vehicle",
        time=tape[:, slots.RECORD_TIME],
        position=_state(tape, slots.EAST, 3),
        velocity=_state(tape, slots.V_EAST, 3),
        acceleration=tape[:, first : first + 3],
        attitude=_state(tape, slots.Q0, 4),
        rates=_state(tape, slots.ROLL_RATE, 3),
        water_mass=_state(tape, slots.WATER),
        gas_mass=_state(tape, slots.GAS),
        gas_temperature=_state(tape, slots.GAS_TEMPERATURE),
        gauge_pressure=tape[:, slots.RECORD_PRESSURE],
        thrust=tape[:, slots.RECORD_THRUST],
        events=events_of(figures, "vehicle"),
    )


def payload_track(tape: Floats, figures: Floats) -> Track:
    """Return the payload's track; it is a point, so it has no attitude and holds nothing."""
    first = slots.RECORD_ACCELERATION
    none = np.full(len(tape), np.nan)
    return Track(
        body="payload",
        time=tape[:, slots.RECORD_TIME],
        position=_state(tape, slots.EAST, 3),
        velocity=_state(tape, slots.V_EAST, 3),
        acceleration=tape[:, first : first + 3],
        attitude=np.full((len(tape), 4), np.nan),
        rates=np.full((len(tape), 3), np.nan),
        water_mass=none,
        gas_mass=none,
        gas_temperature=none,
        gauge_pressure=none,
        thrust=none,
        events=events_of(figures, "payload"),
    )
