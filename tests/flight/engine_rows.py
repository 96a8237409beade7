"""Rows for the engine written by name, without documents, and what it made of them by name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body

Floats = NDArray[np.float64]
Thing = dict[str, Any]

# So warm that pressure and density do not fall with height: air of one density.
EVEN_AIR = 1e12  # K
HALF = 0.5**0.5
FAR = 1e9  # s, m or N: not yet, not met, beyond any load

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
    "VESSEL_VOLUME": 2e-3,
    "WATER_DENSITY": 1000.0,
    "GAS_CONSTANT": 287.05e9,  # a gas that weighs nothing
    "THROAT_AREA": 1e-4,
    "FLOW_COEFFICIENT": 1.0,
    "VELOCITY_COEFFICIENT": 1.0,
    "EXPONENT": 1.4,
    "BODY_LENGTH": 1.0,
    "FIN_CHORD": 0.1,
    "BASE_RATIO": 0.45,
    "REFERENCE_AREA": 0.01,
    "MEASURED_DRAG": 1e-300,  # above zero: counts, and is nothing
    "CANOPY_AT": FAR,
    "LEAST_FINS": FAR,
    "LEAST_BODY": FAR,
}

# Something on the axis that is held for ever.
CARRIED = {
    "ATTACHED": 1.0,
    "AT": FAR,
    "MASS": 0.05,
    "ALONG": FAR,
    "ACROSS": FAR,
    "PEEL": FAR,
}


def place(name: str) -> int:
    """Column of a slot in a row; ``ITEM_MASS.1`` is the mass of the second thing carried."""
    base, _, number = name.partition(".")
    return int(getattr(slots, base) + int(number or 0) * slots.ITEM) // slots.LANES


def table(count: int, named: dict[str, Any], width: int) -> Floats:
    """Lay numbers, or arrays with one element a flight, into rows by their names in slots."""
    rows = np.zeros((count, width))
    for name, value in named.items():
        rows[:, place(name)] = value
    return rows


def thing(**named: Any) -> Thing:
    """Something carried, by the names of slots without ``ITEM_``; the rest as in `CARRIED`."""
    return {**CARRIED, **named}


def parameters(count: int = 1, *, items: Sequence[Thing] = (), **named: Any) -> Floats:
    """Rows of parameters; what is not named is as in `PLAIN`, or zero."""
    blocks = {
        f"ITEM_{name}.{number}": value
        for number, item in enumerate(items)
        for name, value in item.items()
    }
    width = slots.COMMON_COUNT + len(items) * slots.ITEM_ROWS
    return table(count, {**PLAIN, **blocks, **named}, width)


def states(count: int = 1, **named: Any) -> Floats:
    """Rows of states; nose up and at rest unless said otherwise, and nothing inside."""
    upright = {"Q0": HALF, "Q2": -HALF, "GAS": 1e-12, "GAS_TEMPERATURE": 288.15}
    return table(count, {**upright, **named}, slots.STATES)


def set_slot(rows: Floats, name: str, value: Any) -> None:
    """Overwrite one parameter, or one state, of all rows."""
    rows[:, place(name)] = value


def get_slot(rows: Floats, name: str, flight: int = 0) -> float:
    """One parameter, or one state, of one flight."""
    return float(rows[flight, place(name)])


def coasting(count: int = 1, **named: Any) -> Floats:
    """State of a thing whose push has ended: water gone, gas at the pressure outside.

    It starts a hair above the ground, for what is on the ground has landed.
    """
    pressure = PLAIN["PAD_PRESSURE"]
    gas = pressure * PLAIN["VESSEL_VOLUME"] / (PLAIN["GAS_CONSTANT"] * 288.15)
    return states(count, **{"GAS": gas, "UP": 1e-9, **named})


def vehicle(rows: Floats, start: Floats, phase: int | None = None) -> Body:
    """The body on the pad; it slides where it has a tube and is free to."""
    if phase is None:
        slides = get_slot(rows, "TUBE_LENGTH") > 0.0 and get_slot(rows, "HELD") < 0.5
        phase = slots.TUBE_PHASE if slides else slots.WATER_PHASE
    return Body("vehicle", rows, start, phase)


def point(count: int = 1, *, name: str = "payload", item: int = 0, **named: Any) -> Body:
    """Something carried once it has been let go: a point in the same air."""
    return Body(
        name,
        parameters(count, **named),
        np.zeros((count, slots.STATES)),
        slots.POINT_PHASE,
        ((0, item),),
    )


def fly(rows: Floats, start: Floats, *leaving: Body, **options: Any) -> engine.Raw:
    """Fly rows of a vehicle, and what leaves it."""
    return engine.fly_all([vehicle(rows, start), *leaving], **options)


def some(bodies: Sequence[Body], which: Any) -> list[Body]:
    """Some of the flights, in tables of their own."""
    return [
        body._replace(
            parameters=body.parameters[which].copy(),
            states=body.states[which].copy(),
            beside=None if body.beside is None else np.atleast_2d(body.beside)[which],
        )
        for body in bodies
    ]


def column(tape: Floats, name: str) -> Floats:
    """One state over a tape, by its name in slots."""
    return tape[:, slots.RECORD_STATE + getattr(slots, name) // slots.LANES]


def vector(tape: Floats, *names: str) -> Floats:
    """Some states over a tape, side by side."""
    return np.column_stack([column(tape, name) for name in names])


def position(tape: Floats) -> Floats:
    """Places over a tape [m]."""
    return vector(tape, "EAST", "NORTH", "UP")


def velocity(tape: Floats) -> Floats:
    """Velocities over a tape [m/s]."""
    return vector(tape, "V_EAST", "V_NORTH", "V_UP")


def time_of(tape: Floats) -> Floats:
    """Times of a tape's samples [s]."""
    return tape[:, slots.RECORD_TIME]


def to_ground(tape: Floats, body: Floats) -> Floats:
    """Turn vectors in body axes (n, 3) to the ground's, by the attitudes of a tape."""
    scalar = column(tape, "Q0")[:, np.newaxis]
    axis = vector(tape, "Q1", "Q2", "Q3")
    twice = 2.0 * np.cross(axis, body)
    turned: Floats = body + scalar * twice + np.cross(axis, twice)
    return turned


def legs(tape: Floats) -> list[Floats]:
    """Split a tape at its doubled times: between them everything is smooth."""
    cuts = np.flatnonzero(np.diff(time_of(tape)) < 1e-9) + 1
    return [leg for leg in np.split(tape, cuts) if len(leg) > 3]


def smooth(leg: Floats) -> Floats:
    """Leave out samples that all but coincide."""
    kept: Floats = leg[np.concatenate([[True], np.diff(time_of(leg)) > 1e-6])]
    return kept


def figure(
    raw: engine.Raw, name: str, flight: int = 0, *, body: str = "vehicle", item: int = 0
) -> float:
    """One figure of one flight, by its name in slots; ``item`` says of which thing carried."""
    slot = getattr(slots, name) + item * slots.ITEM_FIGURES
    return float(raw.bodies[body][flight, slot])


def same_bits(one: Floats, other: Floats) -> None:
    """Check that two tables are equal to the last bit."""
    assert one.shape == other.shape
    assert one.tobytes() == other.tobytes()


def equal_bodies(one: engine.Raw, other: engine.Raw, which: Any = slice(None)) -> None:
    """Check that all bodies of two batches came out the same; ``which`` flights of the latter."""
    assert list(one.bodies) == list(other.bodies)
    for name, figures in one.bodies.items():
        same_bits(figures, other.bodies[name][which])
