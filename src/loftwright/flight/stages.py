"""Boosters and upper stage, as things that the vehicle carries, and as vehicles themselves."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from loftwright.flight.air import air_at_pad
from loftwright.flight.carried import (
    KINEMATIC_VISCOSITY,
    MIDDLING_SPEED,
    RELEASES,
    UNKNOWN_STRENGTH,
    Row,
    Values,
    Words,
    gathered,
    radial,
    riders,
)
from loftwright.flight.carried import item_rows as payload_rows
from loftwright.flight.flat import each, smaller
from loftwright.flight.kernel import slots
from loftwright.flight.masses import (
    MassState,
    assembled,
    dry_masses,
    vessel_volume,
    water_column,
    water_mass,
)
from loftwright.flight.shape import Aerodynamics, aerodynamic_centre, aerodynamics
from loftwright.physics.atmosphere import R_AIR
from loftwright.physics.drag import drag_area

__all__ = [
    "alone",
    "as_vehicle",
    "item_rows",
    "own_drag_area",
    "standing",
    "start_rows",
]

T = TypeVar("T")

PI = 3.141592653589793
STARTS = {
    "never": slots.NEVER,
    "parting": slots.BY_TIME,
    "climb": slots.BY_CLIMB,
    "time": slots.BY_TIME,
}


def as_vehicle(values: Mapping[str, T], root: str) -> dict[str, T]:
    """Return the fields of the stage at ``root`` as those of a vehicle, with the site's.

    Works on values and on words; what reckons with the vehicle then reckons with the stage.
    """
    own, site = f"{root}.", "site."
    return {
        path if path.startswith(site) else f"vehicle.{path[len(own) :]}": value
        for path, value in values.items()
        if path.startswith((own, site))
    }


def alone(values: Mapping[str, T], words: Words, root: str) -> tuple[dict[str, T], dict[str, Any]]:
    """Return values and words of the stage at ``root`` as a vehicle, with what rides on it."""
    on = tuple(f"{each}." for each in riders(words, root))
    cargo = {path: value for path, value in values.items() if path.startswith(on)}
    named = {path: word for path, word in words.items() if path.startswith(on)}
    named |= {path: "vehicle" for path in named if path.endswith(".on")}
    return as_vehicle(values, root) | cargo, as_vehicle(words, root) | named


def item_rows(values: Values, words: Words, root: str, *, filled: bool = False) -> Row:
    """Return what the flight needs of anything carried: a payload, the boosters, the upper stage.

    Boosters count together, dry unless ``filled``, since their water leaves while they are on; the
    upper stage counts as it stands on the pad, with what rides on it. Names as in `carried`.
    """
    if root == "boosters":
        return _boosters(values, words, filled=filled)
    if root == "upper":
        return _upper(values, words)
    return payload_rows(values, words, root)


def standing(values: Values) -> tuple[MassState, Any]:
    """Return a vehicle with its water and compressed air, without payload, and that air's mass."""
    pressure = air_at_pad(values).pressure + values["vehicle.fill.gauge_pressure"]
    volume = vessel_volume(values) - values["vehicle.fill.water_volume"]
    gas = pressure * volume / (R_AIR * values["vehicle.fill.temperature"])
    full = assembled(dry_masses(values), water_column(values), None, water_mass(values), gas)
    return full, gas


def own_drag_area(values: Values, aero: Aerodynamics, base_open: float) -> Any:
    """Return a vehicle's own drag area at a middling speed, measured or built up, m2."""
    if "vehicle.drag.coefficient" in values:
        return aero.measured_drag_area
    return each(
        drag_area,
        MIDDLING_SPEED,
        KINEMATIC_VISCOSITY,
        aero.body_length,
        aero.body_friction_area,
        aero.fin_chord,
        aero.fin_friction_area,
        aero.pressure_drag_area,
        aero.base_diameter,
        aero.reference_area,
        aero.roughness,
        base_open,
    )


def _air(values: Values, aero: Aerodynamics, from_nose: Any, count: int, base_open: float) -> Row:
    """Return the air loads of ``count`` equal stages whose nose tips lie at ``from_nose``."""
    slope = aero.nose_slope + aero.tail_slope + aero.fin_slope
    return {
        "ITEM_DRAG": count * own_drag_area(values, aero, base_open),
        "ITEM_SIDE": count * aero.crossflow_area,
        "ITEM_SLOPE": count * slope * aero.reference_area,
        "ITEM_CENTRE": from_nose + aerodynamic_centre(aero),
        "ITEM_PUSH": 0.0,
    }


def _bolted() -> Row:
    """Return the hold of a stage: nobody says what its joint bears, so nothing is judged by it."""
    ways = dict.fromkeys(("ITEM_ALONG", "ITEM_ACROSS", "ITEM_PEEL"), UNKNOWN_STRENGTH)
    return ways | {"ITEM_GRIP": 0.0, "ITEM_TIP": 0.0}


def _boosters(values: Values, words: Words, *, filled: bool) -> Row:
    own = as_vehicle(values, "boosters")
    dry = dry_masses(own)
    mass, balance, across, along = dry
    if filled:
        full, _ = standing(own)
        mass, balance, across = full.mass, full.balance_from_nose, full.inertia_across
    count, out = int(words["boosters.attach.count"]), values["boosters.attach.offset"]
    front = values["boosters.attach.from_nose"]
    first = values["boosters.attach.around"]
    ways = [radial(first + 2 * PI * k / count) for k in range(count)]
    off = mass * out * out
    return {
        "ITEM_MASS": count * mass,
        "ITEM_FROM_NOSE": front + balance,
        "ITEM_Y": 0.0,
        "ITEM_Z": 0.0,
        "ITEM_IXX": count * (along + off),
        "ITEM_IYY": count * across + off * sum(z * z for _, z in ways),
        "ITEM_IZZ": count * across + off * sum(y * y for y, _ in ways),
        "ITEM_IYZ": -off * sum(y * z for y, z in ways),
        **_air(own, aerodynamics(own, as_vehicle(words, "boosters")), front, count, 1.0),
        "ITEM_SHIELD": 0.0,
        **_bolted(),
        "ITEM_WHEN": RELEASES[str(words["boosters.attach.part_when"])],
        "ITEM_CLIMB": 0.0,
        "ITEM_TIME": values.get("boosters.attach.time", 0.0),
        "ITEM_DELAY": values["boosters.attach.delay"],
        "ITEM_TOSS": 0.0,
    }


def _upper(values: Values, words: Words) -> Row:
    own = as_vehicle(values, "upper")
    front = values["upper.stack.from_nose"]
    full, _ = standing(own)
    along = dry_masses(own).inertia_along
    body = {
        "ITEM_MASS": full.mass,
        "ITEM_FROM_NOSE": full.balance_from_nose,
        "ITEM_Y": 0.0,
        "ITEM_Z": 0.0,
        "ITEM_IXX": along,
        "ITEM_IYY": full.inertia_across,
        "ITEM_IZZ": full.inertia_across,
        "ITEM_IYZ": 0.0,
    }
    cargo = [payload_rows(values, words, root) for root in riders(words, "upper")]
    together = gathered([body, *cargo])
    air = _air(own, aerodynamics(own, as_vehicle(words, "upper")), front, 1, 0.0)
    carried_drag = sum(item["ITEM_DRAG"] for item in cargo)
    return {
        "ITEM_MASS": together.mass,
        "ITEM_FROM_NOSE": front + together.from_nose,
        "ITEM_Y": sum(item["ITEM_MASS"] * item["ITEM_Y"] for item in cargo) / together.mass,
        "ITEM_Z": sum(item["ITEM_MASS"] * item["ITEM_Z"] for item in cargo) / together.mass,
        "ITEM_IXX": together.inertia_along,
        "ITEM_IYY": together.inertia_across,
        "ITEM_IZZ": together.inertia_across,
        "ITEM_IYZ": 0.0,
        **air,
        "ITEM_DRAG": air["ITEM_DRAG"] + carried_drag,
        "ITEM_SHIELD": _shield(values),
        **_bolted(),
        "ITEM_WHEN": RELEASES[str(words["upper.stack.part_when"])],
        "ITEM_CLIMB": values.get("upper.stack.climb", 0.0),
        "ITEM_TIME": values.get("upper.stack.time", 0.0),
        "ITEM_DELAY": values["upper.stack.delay"],
        "ITEM_TOSS": 0.0,
    }


def _shield(values: Values) -> Any:
    """Return the share of the vehicle's own nose that lies behind the upper stage.

    Slender bodies gain normal force with their cross-section; what the upper stage has gained
    already, the nose behind it does not gain again.
    """
    share = (values["upper.body.diameter"] / values["vehicle.body.diameter"]) ** 2
    return smaller(share, 1.0)


def start_rows(values: Values, words: Words) -> Row:
    """Return what opens the upper stage's nozzle in the air.

    ``AFTER_PARTING`` is 1 where the delay runs from its parting rather than from a time.
    """
    fires = str(words["upper.stack.fires"])
    return {
        "START_KIND": STARTS[fires],
        "START_CLIMB": values.get("upper.stack.fires_climb", 0.0),
        "START_TIME": values.get("upper.stack.fires_time", 0.0),
        "START_DELAY": values["upper.stack.fires_delay"],
        "AFTER_PARTING": 1.0 if fires == "parting" else 0.0,
    }
