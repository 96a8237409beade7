"""Documents into numbers, in one place: rows of parameters and states that the kernel takes.

A value may be a float or an array ``(n,)``, one element a flight; only what is drawn is an array,
and everything else is computed once.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, pi, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.air import PadAir, air_at_pad
from loftwright.flight.carried import radial, riders
from loftwright.flight.descent import descent_drag_area
from loftwright.flight.flat import each, rows, smaller
from loftwright.flight.glider import extents, glider_rows, has_wing
from loftwright.flight.gusts import LEVEL, REFERENCE_HEIGHT, WAVES, Gusts
from loftwright.flight.kernel import slots, wing_slots
from loftwright.flight.kernel.fly import Body
from loftwright.flight.masses import (
    WATER_DENSITY,
    dry_masses,
    nozzle_from_nose,
    vessel_volume,
    water_column,
)
from loftwright.flight.shape import aerodynamics
from loftwright.flight.stages import as_vehicle, item_rows, start_rows
from loftwright.physics.atmosphere import R_AIR
from loftwright.physics.drag import rough_friction
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
UNMET = 1e9  # m
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


def _axis(values: Values, held: bool) -> Row:
    """The direction of the guide; the stand holds the vessel upright, whatever the pad does."""
    if held:
        return {"AXIS_UP": 1.0}
    elevation, azimuth = values["site.launch.elevation"], values["site.launch.azimuth"]
    return {
        "AXIS_EAST": np.cos(elevation) * np.sin(azimuth),
        "AXIS_NORTH": np.cos(elevation) * np.cos(azimuth),
        "AXIS_UP": np.sin(elevation),
    }


def _pad(values: Values, held: bool) -> Row:
    length = np.maximum(values["site.launch.guide_length"], SHORTEST_GUIDE)
    return {"GUIDE_LENGTH": length, "ON_GUIDE": 1.0, "HELD": 1.0 if held else 0.0}


def _mass(values: Values) -> Row:
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


def _boost(values: Values, words: Words) -> Row:
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


def _booster_set(values: Values, words: Words) -> Row:
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
        "BODY_ROUGH": each(rough_friction, aero.roughness / aero.body_length),
        "FIN_ROUGH": each(rough_friction, aero.roughness / aero.fin_chord),
        "BASE_RATIO": aero.base_diameter / np.sqrt(4.0 * area / np.pi),
        "REFERENCE_AREA": area,
        "MEASURED_DRAG": aero.measured_drag_area,
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


def _polar(values: Values, words: Words, root: str) -> tuple[Any, Any]:
    """Lift and drag area of a payload that flies as a point, coefficient times area [m2]."""
    if words[f"{root}.kind"] == "glider":
        lift = values[f"{root}.glide.wing_area"] * values[f"{root}.glide.lift_coefficient"]
        return lift, lift / values[f"{root}.glide.glide_ratio"]
    return 0.0, descent_drag_area(values, words, root)


def _item(values: Values, words: Words, root: str, number: int) -> Row:
    """One thing carried, by the names of slots with its number behind them."""
    row = item_rows(values, words, root) | {"ITEM_ATTACHED": 1.0, "ITEM_AT": NOT_YET}
    return {f"{name}.{number}": value for name, value in row.items()}


def _table(row: Row, flights: int, count: int) -> Floats:
    """Lay numbers, or arrays with one element a flight, into rows by their names in slots."""
    table = np.zeros((flights, count))
    for name, value in row.items():
        table[:, _place(name)] = value
    return table


def _place(name: str) -> int:
    """Column of a slot; ``STRIP_X.3`` is that of the third strip, or thing carried."""
    base, _, number = name.partition(".")
    if hasattr(slots, base):
        slot, stride = getattr(slots, base), slots.ITEM
    else:
        slot, stride = getattr(wing_slots, base), wing_slots.STRIP_STRIDE
    return int(slot + int(number or 0) * stride) // slots.LANES


def _attitudes(values: Values, flights: int) -> list[tuple[float, ...]]:
    elevation = np.broadcast_to(values["site.launch.elevation"], flights).tolist()
    azimuth = np.broadcast_to(values["site.launch.azimuth"], flights).tolist()
    pairs = list(zip(elevation, azimuth, strict=True))
    turned = {pair: quaternion_from_elevation_azimuth(*pair) for pair in set(pairs)}
    return [turned[pair] for pair in pairs]


def _fill(states: Floats, values: Values, row: Row, first: int) -> None:
    """Fill one set of vessels: water and compressed air, from the state ``first`` on."""
    temperature = values["vehicle.fill.temperature"]
    water = values["vehicle.fill.water_volume"]
    pressure = row["PAD_PRESSURE"] + values["vehicle.fill.gauge_pressure"]
    vapour = row["MOIST"] * each(saturation_vapour_pressure, temperature)
    volume = vessel_volume(values) - water
    column = first // slots.LANES
    states[:, column] = water * WATER_DENSITY
    states[:, column + 1] = (pressure - vapour) * volume / (R_AIR * temperature)
    states[:, column + 2] = temperature


def _states(values: Values, row: Row, flights: int) -> Floats:
    """State at first motion: on the pad, at rest, water and compressed air inside."""
    states = np.zeros((flights, slots.STATES))
    first = slots.Q0 // slots.LANES
    states[:, first : first + 4] = _attitudes(values, flights)
    _fill(states, values, row, slots.WATER)
    return states


class _Flight:
    """The bodies of one campaign's flights, in the order in which they can leave each other."""

    def __init__(self, values: Values, words: Words, flights: int, common: Row) -> None:
        self.values, self.words, self.flights, self.common = values, words, flights, common
        self.bodies: list[Body] = []

    def _vehicle(self, values: Values, words: Words, carried: list[str], more: Row) -> Body:
        """A body with vessels and fins; ``values`` and ``words`` call it the vehicle."""
        row = (
            self.common
            | _mass(values)
            | _boost(values, words)
            | _air_loads(values, words)
            | _canopy(values, words)
            | more
        )
        for number, root in enumerate(carried):
            row |= _item(self.values, self.words, root, number)
        count = slots.COMMON_COUNT + len(carried) * slots.ITEM_ROWS
        phase = slots.WATER_PHASE
        if "vehicle.launch_tube.length" in values and not row.get("HELD"):
            phase = slots.TUBE_PHASE
        parameters = _table(row, self.flights, count)
        return Body("vehicle", parameters, _states(values, row, self.flights), phase)

    def on_the_pad(self, held: bool) -> None:
        carried = [] if held else list(riders(self.words, "vehicle"))
        carried.sort(key=lambda root: root == "boosters")  # they come last
        boosted = "boosters" in carried
        more = _pad(self.values, held)
        more |= _booster_set(self.values, self.words) if boosted else {}
        body = self._vehicle(self.values, self.words, carried, more)
        if boosted:
            own = as_vehicle(self.values, "boosters")
            row = self.common | _boost(self.values, self.words)
            _fill(body.states, own, row, slots.BOOSTER_WATER)
            body = body._replace(phase=slots.BOOSTED_PHASE)
        self.bodies.append(body)
        self._leaving(0, carried)

    def _leaving(self, parent: int, carried: list[str]) -> None:
        for number, root in enumerate(carried):
            if root == "boosters":
                self._boosters(parent, number)
            elif root == "upper":
                self._upper(parent, number)
            else:
                self._payload(root, parent, number)

    def _boosters(self, parent: int, number: int) -> None:
        own, words = as_vehicle(self.values, "boosters"), as_vehicle(self.words, "boosters")
        out = self.values["boosters.attach.offset"]
        first, count = self.values["boosters.attach.around"], self.words["boosters.attach.count"]
        for k in range(int(count)):
            body = self._vehicle(own, words, [], _loose())
            to_y, to_z = radial(first + 2.0 * pi * k / int(count))
            beside = np.zeros((self.flights, 3))
            beside[:, 1], beside[:, 2] = out * to_y, out * to_z
            self.bodies.append(
                body._replace(
                    name=f"booster{k + 1}",
                    phase=slots.COAST_PHASE,
                    parents=((parent, number),),
                    beside=beside,
                    is_booster=True,
                )
            )

    def _upper(self, parent: int, number: int) -> None:
        own, words = as_vehicle(self.values, "upper"), as_vehicle(self.words, "upper")
        start = start_rows(self.values, self.words)
        kind = start.pop("START_KIND")
        after = start.pop("AFTER_PARTING")
        by_time = kind == slots.BY_TIME and after < 0.5
        carried = list(riders(self.words, "upper"))
        more = (
            _loose()
            | start
            | {
                "START_KIND": kind,
                "START_AFTER": after,
                "START_AT": start["START_TIME"] if by_time else NOT_YET,
            }
        )
        body = self._vehicle(own, words, carried, more)
        place = len(self.bodies)
        self.bodies.append(
            body._replace(name="upper", phase=slots.COAST_PHASE, parents=((parent, number),))
        )
        self._leaving(place, carried)

    def _payload(self, root: str, parent: int, number: int) -> None:
        """A payload on its own: a glider with its wing, or a point."""
        values, words = self.values, self.words
        row = self.common | _loose() | _left_behind(values, words, root) | _reach(values, root)
        row |= {"DRY_MASS": values[f"{root}.mass"], "MASS": values[f"{root}.mass"]}
        count, phase = slots.COMMON_COUNT, slots.POINT_PHASE
        if has_wing(values, root):
            row |= glider_rows(values, words, root)
            count, phase = wing_slots.GLIDER_PARAMETER_COUNT, slots.GLIDE_PHASE
        else:
            row["LIFT_AREA"], row["DRAG_AREA"] = _polar(values, words, root)
        parameters = _table(row, self.flights, count)
        states = np.zeros((self.flights, slots.STATES))
        self.bodies.append(Body(root, parameters, states, phase, ((parent, number),)))


def _loose() -> Row:
    """What is not on a guide, and has met nothing yet."""
    return {"LEAST_FINS": UNMET, "LEAST_BODY": UNMET}


def _reach(values: Values, root: str) -> Row:
    """How far a payload's ends lie from its balance, folded and open."""
    half_width = 0.5 * values[f"{root}.carried.width"]
    half_length = 0.5 * values[f"{root}.carried.length"]
    row: Row = {
        "REACH_FORE": half_length,
        "REACH_AFT": half_length,
        "REACH_SIDE": half_width,
        "REACH_FOLDED": half_width,
        "REACH_UP": 0.5 * values[f"{root}.carried.thickness"],
    }
    if has_wing(values, root):
        ends = extents(values, root)
        row |= {
            "REACH_FORE": ends.nose,
            "REACH_AFT": ends.tail,
            "REACH_SIDE": ends.half_span,
            "UNFOLDING": values[f"{root}.wing.unfold_time"],
        }
    return row


def _left_behind(values: Values, words: Words, root: str) -> Row:
    """Skin and fins of what a payload leaves; of several sets of fins the one that reaches most."""
    carrier = str(words.get(f"{root}.on", "vehicle"))
    radius = 0.5 * values[f"{carrier}.body.diameter"]
    row: Row = {"LEFT_RADIUS": radius, "LEFT_LENGTH": values[f"{carrier}.body.length"]}
    sets = list(zip(rows(values, f"{carrier}.fins"), rows(words, f"{carrier}.fins"), strict=True))
    if not sets:
        return row
    fins, named = max(sets, key=lambda each_set: float(np.max(each_set[0]["span"])))
    count = int(named["count"])
    first_y, first_z = radial(fins.get("around", 0.0))
    end = np.maximum(fins["root_chord"], fins["sweep"] + fins["tip_chord"])
    return row | {
        "LEFT_FIN_FORE": fins["from_nose"],
        "LEFT_FIN_AFT": fins["from_nose"] + end,
        "LEFT_FIN_TIP": radius + fins["span"],
        "LEFT_FIN_COUNT": float(count),
        "LEFT_FIN_COSINE": cos(2.0 * pi / count),
        "LEFT_FIN_SINE": sin(2.0 * pi / count),
        "LEFT_FIN_Y": first_y,
        "LEFT_FIN_Z": first_z,
    }


def prepare(
    values: Values,
    words: Words,
    *,
    flights: int = 1,
    gusts: Gusts | None = None,
    held: bool = False,
) -> list[Body]:
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
        True for a static firing, of the vehicle alone.

    Returns
    -------
    list of Body
        The vehicle on the pad, then all that can leave it: ``payload`` ..., ``upper``,
        ``booster1`` ...
    """
    common = _surroundings(values, air_at_pad(values)) | _gust_waves(gusts) | _axis(values, held)
    flight = _Flight(values, words, flights, common)
    flight.on_the_pad(held)
    return flight.bodies
