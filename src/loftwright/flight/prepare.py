"""Documents into numbers, in one place: rows of parameters and states that the kernel takes.

A value may be a float or an array ``(n,)``, one element a flight; only what is drawn is an array,
and everything else is computed once.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.air import PadAir, air_at_pad
from loftwright.flight.descent import descent_drag_area
from loftwright.flight.flat import each, smaller
from loftwright.flight.gusts import LEVEL, REFERENCE_HEIGHT, WAVES, Gusts
from loftwright.flight.kernel import slots
from loftwright.flight.masses import (
    WATER_DENSITY,
    dry_masses,
    nozzle_from_nose,
    payload_masses,
    vessel_volume,
    water_column,
)
from loftwright.flight.shape import aerodynamics
from loftwright.physics.atmosphere import R_AIR
from loftwright.physics.gas import saturation_vapour_pressure
from loftwright.physics.rotation import quaternion_from_elevation_azimuth

__all__ = ["Values", "Words", "carrying_wind", "gust_deviation", "prepare", "wind_scale"]

Values = Mapping[str, Any]
Words = Mapping[str, str | int]
Row = dict[str, Any]
Floats = NDArray[np.float64]

GRAVITY = 9.80665  # m/s2, standard; real gravity differs by 0.3 % at most
SHORTEST_GUIDE = 0.01  # m; without any guide a vehicle still stands on something
NOT_YET = 1e9  # s
# Water that is all break-through must count as out at once, whatever rounding does.
JUST_OVER = 1.0 + 1e-12
PEAK_FACTOR = 3.0  # a reported gust stands this many deviations above the mean (common practice)
KINDS = {
    "never": slots.NEVER,
    "climb": slots.BY_CLIMB,
    "apogee": slots.BY_APOGEE,
    "time": slots.BY_TIME,
}


def wind_scale(values: Values) -> Any:
    """Wind speed per unit of ln(height over roughness), friction velocity over 0.4 [m/s]."""
    height, roughness = values["site.wind.at_height"], values["site.wind.roughness"]
    return values["site.wind.speed"] / np.maximum(np.log(height / roughness), 1.0)


def carrying_wind(values: Values) -> Any:
    """Mean wind where gusts are carried along, at their reference height [m/s]."""
    growth = np.log(REFERENCE_HEIGHT / values["site.wind.roughness"])
    return wind_scale(values) * np.maximum(growth, 1.0)


def gust_deviation(values: Values) -> Any:
    """Standard deviation of the wind about its mean [m/s].

    A third of what the reported gust stands above the mean; without a report 2.5 friction
    velocities, the neutral surface layer (Panofsky and Dutton, Atmospheric Turbulence, 1984,
    table 7.1, 2.4, from memory), which equals ``wind_scale``.
    """
    if "site.wind.gust" in values:
        above = values["site.wind.gust"] - values["site.wind.speed"]
        return np.maximum(above, 0.0) / PEAK_FACTOR
    return wind_scale(values)


def _surroundings(values: Values, air: PadAir) -> Row:
    scale = wind_scale(values)
    coming_from = values["site.wind.from"]
    return {
        "GRAVITY": GRAVITY,
        "PAD_PRESSURE": air.pressure,
        "PAD_TEMPERATURE": air.temperature,
        "PAD_DENSITY": air.density,
        "VISCOSITY": air.viscosity,
        "WIND_EAST": -scale * np.sin(coming_from),
        "WIND_NORTH": -scale * np.cos(coming_from),
        "ROUGHNESS": values["site.wind.roughness"],
    }


def _gust_waves(gusts: Gusts | None) -> Row:
    if gusts is None:
        return {}
    row: Row = {"GUST_UPRIGHT": gusts.upright}
    for k in range(WAVES):
        row[f"GUST_{k}_EAST"] = gusts.east[:, k]
        row[f"GUST_{k}_NORTH"] = gusts.north[:, k]
        row[f"GUST_{k}_UP"] = gusts.up[:, k]
        row[f"GUST_{k}_RATE"] = gusts.rate[:, k]
        row[f"GUST_{k}_PHASE"] = gusts.phase[:, k]
    for pair in range(LEVEL // 2):
        row[f"GUST_ALONG_{pair}"] = gusts.along[:, pair]
        row[f"GUST_ACROSS_{pair}"] = gusts.across[:, pair]
    return row


def _pad(values: Values, held: bool) -> Row:
    elevation, azimuth = values["site.launch.elevation"], values["site.launch.azimuth"]
    row: Row = {
        "AXIS_EAST": np.cos(elevation) * np.sin(azimuth),
        "AXIS_NORTH": np.cos(elevation) * np.cos(azimuth),
        "AXIS_UP": np.sin(elevation),
        "GUIDE_LENGTH": np.maximum(values["site.launch.guide_length"], SHORTEST_GUIDE),
        "ON_GUIDE": 1.0,
    }
    if held:
        # The stand holds the vessel upright, nozzle down, whatever the pad looks like.
        row |= {"AXIS_EAST": 0.0, "AXIS_NORTH": 0.0, "AXIS_UP": 1.0, "HELD": 1.0}
    return row


def _mass(values: Values) -> Row:
    dry = dry_masses(values)
    column = water_column(values)
    row: Row = {
        "DRY_MASS": dry.mass,
        "DRY_BALANCE": dry.balance_from_nose,
        "DRY_ACROSS": dry.inertia_across,
        "DRY_ALONG": dry.inertia_along,
        "COLUMN_AREA": column.area,
        "COLUMN_AFT": column.aft_end_from_nose,
        "NOZZLE": nozzle_from_nose(values),
        "PAYLOAD_MASS": 1.0,  # a point without mass could not fly; it is not attached
    }
    payload = payload_masses(values)
    if payload is None:
        return row
    around = values["payload.carried.around"]
    return row | {
        "PAYLOAD_MASS": payload.mass,
        "PAYLOAD_FROM_NOSE": payload.from_nose,
        "PAYLOAD_Y": payload.offset * np.sin(around),
        "PAYLOAD_Z": -payload.offset * np.cos(around),
        "PAYLOAD_ACROSS": payload.inertia_across,
        "PAYLOAD_ALONG": payload.inertia_along,
        "ATTACHED": 1.0,
    }


def _boost(values: Values, words: Words) -> Row:
    throat = values["vehicle.nozzle.throat_diameter"]
    water = values["vehicle.fill.water_volume"]
    gas = words["vehicle.fill.gas"]
    # A dish half a throat deep and two throats wide (judgement).
    dish = 0.5 * np.pi * throat**3
    left = values.get("vehicle.nozzle.breakthrough_volume", dish)
    row: Row = {
        "VESSEL_VOLUME": vessel_volume(values),
        "WATER_DENSITY": WATER_DENSITY,
        "GAS_CONSTANT": R_AIR,
        "THROAT_AREA": 0.25 * np.pi * throat**2,
        "FLOW_COEFFICIENT": values["vehicle.nozzle.flow_coefficient"],
        "VELOCITY_COEFFICIENT": values["vehicle.nozzle.velocity_coefficient"],
        "MOIST": 1.0 if gas == "moist" else 0.0,
        "EXPONENT": values["vehicle.fill.exponent"] if gas == "polytropic" else 1.4,
        "DRY": np.equal(water, 0.0),
        "BREAKTHROUGH": smaller(left, water) * WATER_DENSITY * JUST_OVER,
    }
    if "vehicle.launch_tube.length" in values:
        row["TUBE_AREA"] = 0.25 * np.pi * values["vehicle.launch_tube.outer_diameter"] ** 2
        row["TUBE_LENGTH"] = values["vehicle.launch_tube.length"]
    return row


def _air_loads(values: Values, words: Words) -> Row:
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
        "BASE_DIAMETER": aero.base_diameter,
        "REFERENCE_AREA": area,
        "SURFACE_ROUGHNESS": aero.roughness,
        "MEASURED_DRAG": aero.measured_drag_area,
        "PAYLOAD_DRAG": aero.payload_drag_area,
    }


def _canopy(values: Values, words: Words) -> Row:
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


def _polar(values: Values, words: Words) -> tuple[Any, Any]:
    """Lift and drag area of the payload alone, coefficient times area [m2]."""
    if words["payload.kind"] == "glider":
        lift = values["payload.glide.wing_area"] * values["payload.glide.lift_coefficient"]
        return lift, lift / values["payload.glide.glide_ratio"]
    return 0.0, descent_drag_area(values, words)


def _release(values: Values, words: Words) -> Row:
    row: Row = {"RELEASE_KIND": slots.NEVER, "RELEASE_AT": NOT_YET}
    if "payload.mass" not in values:
        return row
    lift, drag = _polar(values, words)
    return row | {
        "RELEASE_KIND": KINDS[str(words["payload.release.when"])],
        "RELEASE_CLIMB": values.get("payload.release.climb", 0.0),
        "RELEASE_TIME": values.get("payload.release.time", 0.0),
        "RELEASE_DELAY": values["payload.release.delay"],
        "TOSS_SPEED": values.get("payload.toss.speed", 0.0),
        "LIFT_AREA": lift,
        "DRAG_AREA": drag,
    }


def _states(values: Values, row: Row, flights: int) -> Floats:
    """State at first motion: on the pad, at rest, water and compressed air inside."""
    states = np.zeros((flights, slots.STATES))
    elevation = np.broadcast_to(values["site.launch.elevation"], flights)
    azimuth = np.broadcast_to(values["site.launch.azimuth"], flights)
    temperature = values["vehicle.fill.temperature"]
    water = values["vehicle.fill.water_volume"]
    pressure = row["PAD_PRESSURE"] + values["vehicle.fill.gauge_pressure"]
    vapour = row["MOIST"] * each(saturation_vapour_pressure, temperature)
    volume = row["VESSEL_VOLUME"] - water
    attitudes = {
        pair: quaternion_from_elevation_azimuth(*pair)
        for pair in set(zip(elevation.tolist(), azimuth.tolist(), strict=True))
    }
    first = slots.Q0 // slots.LANES
    states[:, first : first + 4] = [
        attitudes[pair] for pair in zip(elevation.tolist(), azimuth.tolist(), strict=True)
    ]
    states[:, slots.WATER // slots.LANES] = water * WATER_DENSITY
    states[:, slots.GAS // slots.LANES] = (pressure - vapour) * volume / (R_AIR * temperature)
    states[:, slots.GAS_TEMPERATURE // slots.LANES] = temperature
    return states


def prepare(
    values: Values,
    words: Words,
    *,
    flights: int = 1,
    gusts: Gusts | None = None,
    held: bool = False,
) -> tuple[Floats, Floats]:
    """Turn a campaign's values into the kernel's rows.

    Parameters
    ----------
    values, words : mapping
        As ``documents.flatten`` gives them; a value may be an array ``(flights,)``.
    flights : int
        Number of rows, n.
    gusts : Gusts, optional
        Gust waves of each flight; still air about the mean wind without them.
    held : bool
        True for a static firing.

    Returns
    -------
    parameters : (n, slots.PARAMETER_COUNT) array
    states : (n, slots.STATES) array
    """
    row = (
        _surroundings(values, air_at_pad(values))
        | _gust_waves(gusts)
        | _pad(values, held)
        | _mass(values)
        | _boost(values, words)
        | _air_loads(values, words)
        | _canopy(values, words)
        | _release(values, words)
    )
    parameters = np.zeros((flights, slots.PARAMETER_COUNT))
    for name, value in row.items():
        parameters[:, getattr(slots, name) // slots.LANES] = value
    return parameters, _states(values, row, flights)
