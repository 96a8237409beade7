"""Gliders for tests, read as a person would write them."""

from __future__ import annotations

import tomllib
from math import pi
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from loftwright.documents.build import build
from loftwright.documents.flatten import leaves
from loftwright.documents.payload import Payload
from loftwright.documents.source import Source
from loftwright.flight.glider import glider_rows
from loftwright.flight.kernel import gliding, rates, slots, wing_slots
from loftwright.flight.steady import glider_table
from loftwright.physics.rotation import quaternion_from_elevation_azimuth
from loftwright.units import Quantity

LANES = slots.LANES
BODY = 13  # rows of the state that a rigid body moves

# Extruded foam, 25 g, a nose weight; nothing is bent on purpose.
FOAM = """
name = "Dunlin"
kind = "glider"
mass = "25 g"

[carried]
from_nose = "0.35 m"
length = "340 mm"
width = "60 mm"
thickness = "20 mm"

[wing]
from_nose = "85 mm"
span = "400 mm"
root_chord = "90 mm"
tip_chord = "70 mm"
sweep = "10 mm"
dihedral = "6 deg"
incidence = "2 deg"
thickness = "3 mm"
camber = 0.02

[tailplane]
from_nose = "285 mm"
span = "150 mm"
root_chord = "50 mm"
tip_chord = "40 mm"
sweep = "10 mm"
thickness = "3 mm"

[fin]
from_nose = "285 mm"
span = "60 mm"
root_chord = "50 mm"
tip_chord = "40 mm"
sweep = "10 mm"
thickness = "3 mm"

[fuselage]
length = "340 mm"
width = "10 mm"
depth = "15 mm"

[balance]
from_nose = "113 mm"

[release]
when = "apogee"
"""

Values = dict[str, Any]


def payload_of(text: str) -> Payload:
    """Read a payload's text."""
    payload = build(Payload, Source("payload.toml", data=tomllib.loads(text)))
    assert isinstance(payload, Payload)
    return payload


def values_of(text: str, root: str = "payload") -> Values:
    """Flatten a payload's text into values."""
    payload = payload_of(text)
    return {
        path: value.value for path, _, value in leaves(payload, root) if isinstance(value, Quantity)
    }


def foam(**changed: Any) -> Values:
    """Values of the foam glider; ``wing__span=0.3`` changes ``payload.wing.span``."""
    return values_of(FOAM) | {
        "payload." + name.replace("__", "."): value for name, value in changed.items()
    }


def without(values: Values, *tables: str) -> Values:
    """Take whole tables away."""
    gone = tuple(f"payload.{table}." for table in tables)
    return {path: value for path, value in values.items() if not path.startswith(gone)}


def plank(span: float, root: float, tip: float, sweep: float = 0.0, **changed: Any) -> Values:
    """A flat, straight wing alone, balanced at its root's leading edge."""
    shape = {
        "wing__from_nose": 0.0, "wing__span": span, "wing__root_chord": root,
        "wing__tip_chord": tip, "wing__sweep": sweep, "wing__dihedral": 0.0,
        "wing__incidence": 0.0, "wing__camber": 0.0, "balance__from_nose": 0.0,
    }  # fmt: skip
    return without(foam(**(shape | changed)), "tailplane", "fin", "fuselage")


def table_of(values: Values, density: float = 1.225) -> list[float]:
    """The kernel's table of one glider in lane 0."""
    return glider_table(glider_rows(values), values["payload.mass"], density)


def loads(
    table: list[float], velocity: tuple[float, float, float], spin: Any = (0.0, 0.0, 0.0)
) -> np.ndarray:
    """Force and moment, body axes, for a velocity through the air and turning rates."""
    y = [0.0] * slots.SIZE
    y[slots.ROLL_RATE], y[slots.PITCH_RATE], y[slots.YAW_RATE] = spin
    table[wing_slots.WING_OPEN] = 1.0
    gliding.meet_air(*velocity, table, 0)
    gliding.glider_loads(y, table, 0)
    first = slots.FORCE_X
    return np.array(table[first : first + 6 * LANES : LANES])


def start(
    velocity: tuple[float, float, float],
    elevation: float,
    height: float = 50.0,
    azimuth: float = 0.5 * pi,
) -> np.ndarray:
    """State of a rigid body; east, north, up."""
    attitude = quaternion_from_elevation_azimuth(elevation, azimuth)
    return np.array([0.0, 0.0, height, *velocity, *attitude, 0.0, 0.0, 0.0])


def fly(values: Values, state: np.ndarray, seconds: float, samples: int = 241) -> Any:
    """Fly uncompiled under SciPy; rows of the solution are the 13 states."""
    table = table_of(values)
    table[slots.LEFT_AT] = 0.0  # let go as the flight begins

    def change(t: float, row: np.ndarray) -> list[float]:
        y, dy = [0.0] * slots.SIZE, [0.0] * slots.SIZE
        y[: BODY * LANES : LANES] = row.tolist()
        rates.lane_rates(slots.GLIDE_PHASE, 0, t, y, table, dy, 0)
        return dy[: BODY * LANES : LANES]

    times = np.linspace(0.0, seconds, samples)
    run = solve_ivp(change, (0.0, seconds), state, rtol=1e-7, atol=1e-8, t_eval=times)
    assert run.success
    return run
