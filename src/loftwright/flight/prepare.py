"""Documents into numbers, in one place: rows of parameters and states that the kernel takes.

A value may be a float or an array ``(n,)``, one element a flight; only what is drawn is an array,
and everything else is computed once.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from math import cos, pi, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.air import air_at_pad
from loftwright.flight.carried import radial, riders
from loftwright.flight.descent import descent_drag_area
from loftwright.flight.flat import each, rows
from loftwright.flight.glider import extents, glider_rows, has_wing
from loftwright.flight.gusts import Gusts
from loftwright.flight.kernel import slots, wing_slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.masses import WATER_DENSITY, vessel_volume
from loftwright.flight.stages import as_vehicle, item_rows, start_rows
from loftwright.flight.vehicle_rows import (
    NOT_YET,
    air_loads,
    axis,
    boost,
    booster_set,
    canopy,
    mass,
    pad,
)
from loftwright.flight.weather_rows import (
    carrying_wind,
    gust_deviation,
    gust_waves,
    surroundings,
    wind_scale,
)
from loftwright.physics.atmosphere import GRAVITY, R_AIR
from loftwright.physics.gas import saturation_vapour_pressure
from loftwright.physics.rotation import quaternion_from_elevation_azimuth

__all__ = ["GRAVITY", "Values", "Words", "carrying_wind", "gust_deviation", "prepare", "wind_scale"]

Values = Mapping[str, Any]
Words = Mapping[str, str | int]
Row = dict[str, Any]
Floats = NDArray[np.float64]

UNMET = 1e9  # m


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


@cache
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
            | mass(values)
            | boost(values, words)
            | air_loads(values, words)
            | canopy(values, words)
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

    def on_the_pad(self, held: bool, alone: bool = False) -> None:
        carried = [] if held else list(riders(self.words, "vehicle"))
        carried.sort(key=lambda root: root == "boosters")  # they come last
        boosted = "boosters" in carried
        more = pad(self.values, held)
        more |= booster_set(self.values, self.words) if boosted else {}
        body = self._vehicle(self.values, self.words, carried, more)
        if boosted:
            own = as_vehicle(self.values, "boosters")
            row = self.common | boost(self.values, self.words)
            _fill(body.states, own, row, slots.BOOSTER_WATER)
            body = body._replace(phase=slots.BOOSTED_PHASE)
        self.bodies.append(body)
        if not alone:
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
            row |= glider_rows(values, root)
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
    alone: bool = False,
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
    alone : bool
        True for the body on the pad only, with all that it carries; not what leaves it.

    Returns
    -------
    list of Body
        The vehicle on the pad, then all that can leave it: ``payload`` ..., ``upper``,
        ``booster1`` ...
    """
    common = surroundings(values, air_at_pad(values)) | gust_waves(gusts) | axis(values, held)
    flight = _Flight(values, words, flights, common)
    flight.on_the_pad(held, alone)
    return flight.bodies
