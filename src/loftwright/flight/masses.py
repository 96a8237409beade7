"""Mass, balance and inertia of the vehicle as it loses its water.

Lengths run aft from the nose tip, SI throughout. Every number may also be an array ``(n,)``, one
element a flight (see `flat`). Measured values win over the sum of the parts.

The vehicle is treated as symmetric about its axis: one moment of inertia across, one along. A
payload on the side shifts the balance sideways (``offset``) and adds to both moments; the product
of inertia that it brings is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import reduce
from typing import NamedTuple

from loftwright.flight.flat import larger, rows, smaller
from loftwright.physics.assembly import loaded

__all__ = [
    "WATER_DENSITY",
    "DryMasses",
    "MassState",
    "PayloadMass",
    "WaterColumn",
    "assembled",
    "dry_masses",
    "nozzle_from_nose",
    "payload_masses",
    "vessel_volume",
    "water_column",
    "water_mass",
]

WATER_DENSITY = 1000.0  # kg/m^3; fresh water from 0 to 25 degC lies within 0.3 % of this


class DryMasses(NamedTuple):
    """The vehicle without water, pressurised gas and payload."""

    mass: float  # kg
    balance_from_nose: float  # m
    inertia_across: float  # kg m^2, about the balance point, across the axis
    inertia_along: float  # kg m^2, about the long axis


class WaterColumn(NamedTuple):
    """All vessels as one straight column of the same volume and the same span."""

    area: float  # m^2
    length: float  # m
    aft_end_from_nose: float  # m


class PayloadMass(NamedTuple):
    """The payload as carried."""

    mass: float  # kg
    from_nose: float  # m
    offset: float  # m, sideways from the vehicle's axis
    inertia_across: float  # kg m^2, about its own balance, across the vehicle's axis
    inertia_along: float  # kg m^2, about its own balance, along the vehicle's axis


class MassState(NamedTuple):
    """The vehicle at one moment, everything on board included."""

    mass: float  # kg
    balance_from_nose: float  # m
    inertia_across: float  # kg m^2, about the balance point
    inertia_along: float  # kg m^2
    offset: float  # m, balance point sideways from the axis, towards the payload


def _summed_parts(parts: list[dict[str, float]], radius: float) -> DryMasses:
    """Sum parts as thin-walled tubes of the body's radius, their mass even over their length.

    Thin cylindrical shell about its centre: across ``m (L^2/12 + r^2/2)``, along ``m r^2``
    (any table of moments of inertia), moved to the common balance by the parallel-axis rule.
    """
    mass = sum(part["mass"] for part in parts)
    centres = [part["from_nose"] + part["length"] / 2 for part in parts]
    moment = sum(part["mass"] * x for part, x in zip(parts, centres, strict=True))
    balance = moment / mass
    across = sum(
        part["mass"] * (part["length"] ** 2 / 12 + radius**2 / 2 + (x - balance) ** 2)
        for part, x in zip(parts, centres, strict=True)
    )
    return DryMasses(mass, balance, across, mass * radius**2)


def _uniform_shell(mass: float, balance: float, length: float, radius: float) -> DryMasses:
    """Take a vehicle with only mass and balance known as one even tube of the body's size.

    A rough estimate: real vehicles gather mass at nose and tail, which makes the inertia across
    larger by up to a half. Measure it, or list the parts, where the turning rate matters.
    """
    across = mass * (length**2 / 12 + radius**2 / 2)
    return DryMasses(mass, balance, across, mass * radius**2)


def _modelled(values: Mapping[str, float]) -> DryMasses:
    radius = values["vehicle.body.diameter"] / 2
    parts = rows(values, "vehicle.part")
    if parts:
        return _summed_parts(parts, radius)
    missing = {"vehicle.mass.dry", "vehicle.mass.balance_from_nose"} - values.keys()
    if missing:
        raise ValueError(f"neither parts nor a measured {' and '.join(sorted(missing))}")
    return _uniform_shell(
        values["vehicle.mass.dry"],
        values["vehicle.mass.balance_from_nose"],
        values["vehicle.body.length"],
        radius,
    )


def _with_ballast(values: Mapping[str, float], dry: DryMasses) -> DryMasses:
    """Add the ballast, a point on the axis, by the parallel-axis rule; none leaves all as it is."""
    if "vehicle.ballast.mass" not in values:
        return dry
    added, where = values["vehicle.ballast.mass"], values["vehicle.ballast.from_nose"]
    mass = dry.mass + added
    balance = (dry.mass * dry.balance_from_nose + added * where) / mass
    across = (
        dry.inertia_across
        + dry.mass * (dry.balance_from_nose - balance) ** 2
        + added * (where - balance) ** 2
    )
    return DryMasses(mass, balance, across, dry.inertia_along)


def dry_masses(values: Mapping[str, float]) -> DryMasses:
    """Find the mass properties of the dry vehicle; each measured value replaces the modelled one.

    With parts and a measured mass, the parts tell how the mass is spread and the measured mass
    how much it is: the parts' inertia is scaled by measured over summed mass. Ballast comes on
    top of all that.

    Raises
    ------
    ValueError
        Without parts, when mass or balance is not measured.
    """
    model = _modelled(values)
    mass = values.get("vehicle.mass.dry", model.mass)
    scale = mass / model.mass
    weighed = DryMasses(
        mass,
        values.get("vehicle.mass.balance_from_nose", model.balance_from_nose),
        values.get("vehicle.mass.inertia_across", model.inertia_across * scale),
        values.get("vehicle.mass.inertia_along", model.inertia_along * scale),
    )
    return _with_ballast(values, weighed)


def vessel_volume(values: Mapping[str, float]) -> float:
    """Return the inner volume of all vessels together, m^3."""
    return sum(vessel["volume"] for vessel in rows(values, "vehicle.vessel"))


def water_mass(values: Mapping[str, float]) -> float:
    """Return the mass of the water filled in, kg."""
    return WATER_DENSITY * values["vehicle.fill.water_volume"]


def water_column(values: Mapping[str, float]) -> WaterColumn:
    """Take the vessels as one column: area = total volume / span from first front to last end.

    Vessels stacked in line and joined by openings empty as one; shoulders, necks and gaps are
    smeared over the span, so the water's centre is right for a full vessel and within a few
    centimetres in between.
    """
    vessels = rows(values, "vehicle.vessel")
    front = reduce(smaller, (vessel["from_nose"] for vessel in vessels))
    aft = reduce(larger, (vessel["from_nose"] + vessel["length"] for vessel in vessels))
    return WaterColumn(vessel_volume(values) / (aft - front), aft - front, aft)


def nozzle_from_nose(values: Mapping[str, float]) -> float:
    """Return the exit plane of the nozzle, m aft of the nose tip, by default the vessels' end."""
    given = values.get("vehicle.nozzle.from_nose")
    return water_column(values).aft_end_from_nose if given is None else given


def payload_masses(values: Mapping[str, float]) -> PayloadMass | None:
    """Take the payload as a solid block of its carried size; None when nothing is carried.

    Solid block about its centre: ``m (a^2 + b^2) / 12`` for the two sides at right angles to the
    axis; across the vehicle's axis the mean of the two directions is taken.
    """
    if "payload.mass" not in values:
        return None
    mass = values["payload.mass"]
    section = values["payload.carried.width"] ** 2 + values["payload.carried.thickness"] ** 2
    across = mass * (values["payload.carried.length"] ** 2 / 12 + section / 24)
    return PayloadMass(
        mass,
        values["payload.carried.from_nose"],
        values["payload.carried.offset"],
        across,
        mass * section / 12,
    )


def assembled(
    dry: DryMasses,
    column: WaterColumn,
    payload: PayloadMass | None,
    water_mass: float,
    gas_mass: float = 0.0,
) -> MassState:
    """Load the dry vehicle with water, gas (both kg) and a payload or none; see `loaded`."""
    cargo = PayloadMass(0.0, 0.0, 0.0, 0.0, 0.0) if payload is None else payload
    return MassState(*loaded(dry, column, cargo, water_mass, gas_mass, WATER_DENSITY))
