"""A vehicle as rows of the kernel: pad, masses, vessels and nozzle, air loads, canopy.

Its functions take values and words under which a vehicle is called ``vehicle``; a stage is given
that name by ``stages.as_vehicle``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from loftwright.flight.flat import each, smaller
from loftwright.flight.kernel import slots
from loftwright.flight.masses import (
    WATER_DENSITY,
    dry_masses,
    nozzle_from_nose,
    vessel_volume,
    water_column,
)
from loftwright.flight.shape import aerodynamics
from loftwright.flight.stages import as_vehicle
from loftwright.physics.atmosphere import R_AIR
from loftwright.physics.drag import rough_friction

__all__ = ["NOT_YET", "air_loads", "axis", "boost", "booster_set", "canopy", "mass", "pad"]

Values = Mapping[str, Any]
Words = Mapping[str, str | int]
Row = dict[str, Any]

SHORTEST_GUIDE = 0.01  # m; without any guide a vehicle still stands on something
NOT_YET = 1e9  # s
# Water that is all break-through must count as out at once, whatever rounding does.
JUST_OVER = 1.0 + 1e-12
KINDS = {
    "never": slots.NEVER,
    "climb": slots.BY_CLIMB,
    "apogee": slots.BY_APOGEE,
    "time": slots.BY_TIME,
}


def axis(values: Values, held: bool) -> Row:
    """The direction of the guide; the stand holds the vessel upright, whatever the pad does."""
    if held:
        return {"AXIS_UP": 1.0}
    elevation, azimuth = values["site.launch.elevation"], values["site.launch.azimuth"]
    return {
        "AXIS_EAST": np.cos(elevation) * np.sin(azimuth),
        "AXIS_NORTH": np.cos(elevation) * np.cos(azimuth),
        "AXIS_UP": np.sin(elevation),
    }


def pad(values: Values, held: bool) -> Row:
    """The guide, which holds the vehicle until its end; on the stand for good."""
    length = np.maximum(values["site.launch.guide_length"], SHORTEST_GUIDE)
    return {"GUIDE_LENGTH": length, "ON_GUIDE": 1.0, "HELD": 1.0 if held else 0.0}


def mass(values: Values) -> Row:
    """The dry vehicle."""
    dry = dry_masses(values)
    return {
        "DRY_MASS": dry.mass,
        "DRY_BALANCE": dry.balance_from_nose,
        "DRY_ACROSS": dry.inertia_across,
        "DRY_ALONG": dry.inertia_along,
    }


def _set(values: Values) -> Row:
    """One set of vessels with its nozzle, places from its own vehicle's nose."""
    throat = values["vehicle.nozzle.throat_diameter"]
    water = values["vehicle.fill.water_volume"]
    column = water_column(values)
    # A dish half a throat deep and two throats wide (judgement).
    dish = 0.5 * np.pi * throat**3
    left = values.get("vehicle.nozzle.breakthrough_volume", dish)
    return {
        "COLUMN_AREA": column.area,
        "COLUMN_AFT": column.aft_end_from_nose,
        "NOZZLE": nozzle_from_nose(values),
        "VESSEL_VOLUME": vessel_volume(values),
        "THROAT_AREA": 0.25 * np.pi * throat**2,
        "FLOW_COEFFICIENT": values["vehicle.nozzle.flow_coefficient"],
        "VELOCITY_COEFFICIENT": values["vehicle.nozzle.velocity_coefficient"],
        "DRY": np.equal(water, 0.0),
        "BREAKTHROUGH": smaller(left, water) * WATER_DENSITY * JUST_OVER,
    }


def boost(values: Values, words: Words) -> Row:
    """What pushes: gas, vessels, nozzle and launch tube."""
    gas = words["vehicle.fill.gas"]
    row: Row = _set(values) | {
        "WATER_DENSITY": WATER_DENSITY,
        "GAS_CONSTANT": R_AIR,
        "MOIST": 1.0 if gas == "moist" else 0.0,
        "EXPONENT": values["vehicle.fill.exponent"] if gas == "polytropic" else 1.4,
    }
    if "vehicle.launch_tube.length" in values:
        row["TUBE_AREA"] = 0.25 * np.pi * values["vehicle.launch_tube.outer_diameter"] ** 2
        row["TUBE_LENGTH"] = values["vehicle.launch_tube.length"]
    return row


def booster_set(values: Values, words: Words) -> Row:
    """Vessels and nozzles of side boosters, places from the carrier's nose."""
    if "boosters.attach.count" not in words:
        return {}
    own = _set(as_vehicle(values, "boosters"))
    front = values["boosters.attach.from_nose"]
    for place in ("COLUMN_AFT", "NOZZLE"):
        own[place] = own[place] + front
    return {f"BOOSTER_{name}": value for name, value in own.items()} | {
        "BOOSTER_COUNT": float(words["boosters.attach.count"]),
        "BOOSTER_OUT": values["boosters.attach.offset"],
        "BOOSTERS_PUSH": 1.0,
        "OWN_PUSH": 1.0,
    }


def air_loads(values: Values, words: Words) -> Row:
    """The shape, as the forces see it."""
    aero = aerodynamics(values, words)
    area = aero.reference_area
    return {
        "NOSE_SLOPE": aero.nose_slope * area,
        "NOSE_CENTRE": aero.nose_centre,
        "TAIL_SLOPE": aero.tail_slope * area,
        "TAIL_CENTRE": aero.tail_centre,
        "FIN_SLOPE": aero.fin_slope * area,
        "FIN_CENTRE": aero.fin_centre,
        "CROSS_AREA": aero.crossflow_area,
        "CROSS_CENTRE": aero.crossflow_centre,
        "CROSS_DAMPING": aero.crossflow_damping,
        "ROLL_FORCING": aero.roll_forcing,
        "ROLL_DAMPING": aero.roll_damping,
        "BODY_LENGTH": aero.body_length,
        "BODY_FRICTION": aero.body_friction_area,
        "FIN_CHORD": aero.fin_chord,
        "FIN_FRICTION": aero.fin_friction_area,
        "PRESSURE_DRAG": aero.pressure_drag_area,
        "BODY_ROUGH": each(rough_friction, aero.roughness / aero.body_length),
        "FIN_ROUGH": each(rough_friction, aero.roughness / aero.fin_chord),
        "BASE_RATIO": aero.base_diameter / np.sqrt(4.0 * area / np.pi),
        "REFERENCE_AREA": area,
        "MEASURED_DRAG": aero.measured_drag_area,
    }


def canopy(values: Values, words: Words) -> Row:
    """The canopy, and what opens it."""
    row: Row = {"CANOPY_KIND": slots.NEVER, "CANOPY_AT": NOT_YET}
    if "vehicle.canopy.diameter" not in values:
        return row
    diameter = values["vehicle.canopy.diameter"]
    return row | {
        "CANOPY_KIND": KINDS[str(words["vehicle.canopy.opens"])],
        "CANOPY_CLIMB": values.get("vehicle.canopy.climb", 0.0),
        "CANOPY_TIME": values.get("vehicle.canopy.time", 0.0),
        "CANOPY_DELAY": values["vehicle.canopy.delay"],
        "CANOPY_DRAG": values["vehicle.canopy.drag_coefficient"] * 0.25 * np.pi * diameter**2,
        "CANOPY_DIAMETER": diameter,
        "FILLING_CONSTANT": values["vehicle.canopy.filling_constant"],
    }
