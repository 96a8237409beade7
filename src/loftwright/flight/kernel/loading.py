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
from loftwright.physics.assembly import loaded

__all__ = ["column_height", "jet_damping", "load"]


def column_height(y, p, l):
    """Height of the water as a straight column of the vessels' mean cross-section [m]."""
    return max(y[WATER + l], 0.0) / (p[WATER_DENSITY + l] * p[COLUMN_AREA + l])


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
