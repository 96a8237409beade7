"""What the vehicle weighs at this moment, and how its mass is spread."""

from math import sqrt

from loftwright.flight.kernel.slots import (
    ATTACHED,
    COLUMN_AFT,
    COLUMN_AREA,
    DRY_ACROSS,
    DRY_ALONG,
    DRY_BALANCE,
    DRY_MASS,
    GAS,
    NOZZLE,
    PAYLOAD_ACROSS,
    PAYLOAD_ALONG,
    PAYLOAD_FROM_NOSE,
    PAYLOAD_MASS,
    PAYLOAD_Y,
    PAYLOAD_Z,
    VESSEL_VOLUME,
    WATER,
    WATER_DENSITY,
)

__all__ = ["column_height", "jet_damping", "load", "loaded"]

PI = 3.141592653589793


def column_height(y, p, l):
    """Height of the water as a straight column of the vessels' mean cross-section [m]."""
    return max(y[WATER + l], 0.0) / (p[WATER_DENSITY + l] * p[COLUMN_AREA + l])


def loaded(dry, column, payload, water, gas, water_density):
    """Put water, gas and a payload into the dry vehicle.

    Parameters
    ----------
    dry : tuple of float
        Mass [kg], balance from nose [m], inertia across and along about it [kg m2].
    column : tuple of float
        Cross-section [m2], length [m] and aft end from nose [m] of the vessels as one column.
    payload : tuple of float
        Mass [kg], place from nose [m], sideways place [m], own inertia across and along [kg m2].
    water, gas : float
        Masses inside [kg].
    water_density : float
        Density of water [kg/m3].

    Returns
    -------
    tuple of float
        Mass [kg], balance from nose [m], inertia across and along about it [kg m2], sideways
        place of the balance, towards the payload [m].

    Notes
    -----
    Water stands as a solid cylinder at the aft end, gas fills the rest; neither takes part in
    roll. The vehicle stays symmetric: a payload on the side adds to both moments of inertia, its
    products of inertia are left out.
    """
    dry_mass, dry_balance, dry_across, dry_along = dry
    area, length, aft = column
    cargo, cargo_at, cargo_side, cargo_across, cargo_along = payload
    depth = water / (water_density * area)
    water_at = aft - 0.5 * depth
    gas_at = aft - 0.5 * (depth + length)
    mass = dry_mass + water + gas + cargo
    balance = (dry_mass * dry_balance + water * water_at + gas * gas_at + cargo * cargo_at) / mass
    round_term = area / (4.0 * PI)
    # Two masses side by side count, about their common balance, as one reduced mass.
    sideways = cargo * (mass - cargo) / mass * cargo_side * cargo_side
    dry_arm = dry_balance - balance
    water_arm = water_at - balance
    gas_arm = gas_at - balance
    cargo_arm = cargo_at - balance
    across = (
        dry_across
        + dry_mass * dry_arm * dry_arm
        + water * (depth * depth / 12.0 + round_term + water_arm * water_arm)
        + gas * ((length - depth) * (length - depth) / 12.0 + round_term + gas_arm * gas_arm)
        + cargo_across
        + cargo * cargo_arm * cargo_arm
        + 0.5 * sideways
    )
    return mass, balance, across, dry_along + cargo_along + sideways, cargo * cargo_side / mass


def load(y, p, l):
    """Mass, balance, inertia across and along, and the balance's sideways place.

    Returns
    -------
    tuple of float
        mass [kg], balance from nose [m], inertia across and along about it [kg m2], sideways
        place of the balance on the body's y and z axes [m].
    """
    area = p[COLUMN_AREA + l]
    attached = p[ATTACHED + l]
    side_y = p[PAYLOAD_Y + l]
    side_z = p[PAYLOAD_Z + l]
    mass, balance, across, along, _ = loaded(
        (p[DRY_MASS + l], p[DRY_BALANCE + l], p[DRY_ACROSS + l], p[DRY_ALONG + l]),
        (area, p[VESSEL_VOLUME + l] / area, p[COLUMN_AFT + l]),
        (
            p[PAYLOAD_MASS + l] * attached,
            p[PAYLOAD_FROM_NOSE + l],
            sqrt(side_y * side_y + side_z * side_z),
            p[PAYLOAD_ACROSS + l] * attached,
            p[PAYLOAD_ALONG + l] * attached,
        ),
        max(y[WATER + l], 0.0),
        y[GAS + l],
        p[WATER_DENSITY + l],
    )
    share = p[PAYLOAD_MASS + l] * attached / mass
    return mass, balance, across, along, share * side_y, share * side_z


def jet_damping(y, p, l, balance, mass_flow):
    r"""Moment per turning rate that the leaving water takes away [N m s].

    .. math:: \dot m\,(l_e^2 - l_s^2)

    with the arms of the exit and of the water's surface to the balance. The exit arm is the
    Coriolis moment of the column; the surface arm is the shrinking moment of inertia, exact for a
    straight column: dI/dm = l_s^2.

    References
    ----------
    F. O. Eke, "Dynamics of variable mass systems", NASA CR-1998-208246 (from memory); the surface
    arm derived here.
    """
    exit_arm = p[NOZZLE + l] - balance
    surface_arm = p[COLUMN_AFT + l] - column_height(y, p, l) - balance
    return mass_flow * (exit_arm * exit_arm - surface_arm * surface_arm)
