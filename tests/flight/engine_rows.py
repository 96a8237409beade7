"""Rows for the engine written by name, without documents, and what it made of them by name."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight import engine
from loftwright.flight.kernel import slots

Floats = NDArray[np.float64]

# So warm that pressure and density do not fall with height: air of one density.
EVEN_AIR = 1e12  # K
HALF = 0.5**0.5

# A thing that nothing acts on but weight, in even air, free from its guide.
PLAIN = {
    "GRAVITY": 9.80665,
    "PAD_PRESSURE": 101325.0,
    "PAD_TEMPERATURE": EVEN_AIR,
    "PAD_DENSITY": 1.225,
    "VISCOSITY": 1.8e-5,
    "ROUGHNESS": 0.03,
    "AXIS_UP": 1.0,
    "GUIDE_LENGTH": 0.01,
    "DRY_MASS": 0.15,
    "DRY_ACROSS": 0.01,
    "DRY_ALONG": 0.001,
    "COLUMN_AREA": 0.01,
    "PAYLOAD_MASS": 1.0,
    "VESSEL_VOLUME": 2e-3,
    "WATER_DENSITY": 1000.0,
    "GAS_CONSTANT": 287.05e9,  # a gas that weighs nothing
    "THROAT_AREA": 1e-4,
    "FLOW_COEFFICIENT": 1.0,
    "VELOCITY_COEFFICIENT": 1.0,
    "EXPONENT": 1.4,
    "BODY_LENGTH": 1.0,
    "FIN_CHORD": 0.1,
    "BASE_DIAMETER": 0.05,
    "REFERENCE_AREA": 0.01,
    "MEASURED_DRAG": 1e-300,  # above zero: counts, and is nothing
    "RELEASE_AT": 1e9,
    "CANOPY_AT": 1e9,
}


def table(count: int, named: dict[str, Any], width: int) -> Floats:
    """Lay numbers, or arrays with one element a flight, into rows by their names in slots."""
    rows = np.zeros((count, width))
    for name, value in named.items():
        rows[:, getattr(slots, name) // slots.LANES] = value
    return rows


def parameters(count: int = 1, **named: Any) -> Floats:
    """Rows of parameters; what is not named is as in `PLAIN`, or zero."""
    return table(count, {**PLAIN, **named}, slots.PARAMETER_COUNT)


def states(count: int = 1, **named: Any) -> Floats:
    """Rows of states; nose up and at rest unless said otherwise, and nothing inside."""
    upright = {"Q0": HALF, "Q2": -HALF, "GAS": 1e-12, "GAS_TEMPERATURE": 288.15}
    return table(count, {**upright, **named}, slots.STATES)


def set_slot(rows: Floats, name: str, value: Any) -> None:
    """Overwrite one parameter, or one state, of all rows."""
    rows[:, getattr(slots, name) // slots.LANES] = value


def coasting(count: int = 1, **named: Any) -> Floats:
    """State of a thing whose push has ended: water gone, gas at the pressure outside.

    It starts a hair above the ground, for what is on the ground has landed.
    """
    pressure = PLAIN["PAD_PRESSURE"]
    gas = pressure * PLAIN["VESSEL_VOLUME"] / (PLAIN["GAS_CONSTANT"] * 288.15)
    return states(count, **{"GAS": gas, "UP": 1e-9, **named})


def column(tape: Floats, name: str) -> Floats:
    """One state over a tape, by its name in slots."""
    return tape[:, slots.RECORD_STATE + getattr(slots, name) // slots.LANES]


def time_of(tape: Floats) -> Floats:
    """Times of a tape's samples [s]."""
    return tape[:, slots.RECORD_TIME]


def figure(raw: engine.Raw, name: str, flight: int = 0) -> float:
    """One figure of one flight, by its name in slots."""
    return float(raw.figures[flight, getattr(slots, name)])
