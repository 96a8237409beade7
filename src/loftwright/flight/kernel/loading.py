"""What a body weighs at this moment, and how its mass is spread, with all that it carries.

Masses are summed about the nose tip, each with its place, and moved to their common balance at the
end. Places along the axis run aft; x of the body axes runs forward, which turns the signs of the
products of inertia with it.
"""

from loftwright.flight.kernel.slots import (
    BALANCE,
    BOOSTED_PHASE,
    BOOSTER_COLUMN_AFT,
    BOOSTER_COLUMN_AREA,
    BOOSTER_COUNT,
    BOOSTER_GAS,
    BOOSTER_OUT,
    BOOSTER_VESSEL_VOLUME,
    BOOSTER_WATER,
    COLUMN_AFT,
    COLUMN_AREA,
    DRY_ACROSS,
    DRY_ALONG,
    DRY_BALANCE,
    DRY_MASS,
    GAS,
    INERTIA_XX,
    INERTIA_XY,
    INERTIA_XZ,
    INERTIA_YY,
    INERTIA_YZ,
    INERTIA_ZZ,
    ITEM,
    ITEM_ATTACHED,
    ITEM_FROM_NOSE,
    ITEM_IXX,
    ITEM_IYY,
    ITEM_IYZ,
    ITEM_IZZ,
    ITEM_MASS,
    ITEM_SHIELD,
    ITEM_Y,
    ITEM_Z,
    MASS,
    NOZZLE,
    SHIELDED,
    SIDE_Y,
    SIDE_Z,
    VESSEL_VOLUME,
    WATER,
    WATER_DENSITY,
)
from loftwright.physics.assembly import column_moments

__all__ = [
    "add_boosters",
    "add_item",
    "column_height",
    "count_boosters_in",
    "jet_damping",
    "lane_load",
    "load_body",
    "settle_load",
]


def column_height(y, p, l, s, z):
    """Height of the water as a straight column of the vessels' mean cross-section [m].

    ``s`` and ``z`` lead to the set of vessels in the parameters and in the state: 0 for a
    vehicle's own.
    """
    return max(y[WATER + z + l], 0.0) / (p[WATER_DENSITY + l] * p[COLUMN_AREA + s + l])


def load_body(y, p, l):
    """Begin the sums with the dry body and the water and gas in it."""
    area = p[COLUMN_AREA + l]
    mass, moment, across = column_moments(
        area, p[VESSEL_VOLUME + l] / area, p[COLUMN_AFT + l],
        max(y[WATER + l], 0.0), y[GAS + l], p[WATER_DENSITY + l],
    )  # fmt: skip
    dry = p[DRY_MASS + l]
    balance = p[DRY_BALANCE + l]
    across += p[DRY_ACROSS + l] + dry * balance * balance
    p[MASS + l] = dry + mass
    p[BALANCE + l] = dry * balance + moment
    p[SIDE_Y + l] = 0.0
    p[SIDE_Z + l] = 0.0
    p[INERTIA_XX + l] = p[DRY_ALONG + l]
    p[INERTIA_YY + l] = across
    p[INERTIA_ZZ + l] = across
    p[INERTIA_XY + l] = 0.0
    p[INERTIA_XZ + l] = 0.0
    p[INERTIA_YZ + l] = 0.0
    p[SHIELDED + l] = 0.0


def add_boosters(y, p, l):
    """Add what is in side boosters; they stand evenly around the axis."""
    area = p[BOOSTER_COLUMN_AREA + l]
    mass, moment, across = column_moments(
        area, p[BOOSTER_VESSEL_VOLUME + l] / area, p[BOOSTER_COLUMN_AFT + l],
        max(y[BOOSTER_WATER + l], 0.0), y[BOOSTER_GAS + l], p[WATER_DENSITY + l],
    )  # fmt: skip
    count = p[BOOSTER_COUNT + l]
    out = count * mass * p[BOOSTER_OUT + l] * p[BOOSTER_OUT + l]
    p[MASS + l] += count * mass
    p[BALANCE + l] += count * moment
    p[INERTIA_XX + l] += out
    # Two boosters are stiffer in one plane than in the other; the mean is taken.
    p[INERTIA_YY + l] += count * across + 0.5 * out
    p[INERTIA_ZZ + l] += count * across + 0.5 * out


def count_boosters_in(o, y, p, l):
    """Count what is left in side boosters with the boosters, whose block begins at ``o``.

    From then on they are one thing carried: they are spent, or go.
    """
    area = p[BOOSTER_COLUMN_AREA + l]
    mass, moment, across = column_moments(
        area, p[BOOSTER_VESSEL_VOLUME + l] / area, p[BOOSTER_COLUMN_AFT + l],
        max(y[BOOSTER_WATER + l], 0.0), y[BOOSTER_GAS + l], p[WATER_DENSITY + l],
    )  # fmt: skip
    count = p[BOOSTER_COUNT + l]
    dry = p[ITEM_MASS + o + l]
    before = p[ITEM_FROM_NOSE + o + l]
    whole = dry + count * mass
    at = (dry * before + count * moment) / whole
    out = count * mass * p[BOOSTER_OUT + l] * p[BOOSTER_OUT + l]
    moved = dry * before * before - whole * at * at + count * across + 0.5 * out
    p[ITEM_MASS + o + l] = whole
    p[ITEM_FROM_NOSE + o + l] = at
    p[ITEM_IXX + o + l] += out
    p[ITEM_IYY + o + l] += moved
    p[ITEM_IZZ + o + l] += moved


def add_item(o, p, l):
    """Add one thing carried, while it is on; ``o`` is where its block begins."""
    on = p[ITEM_ATTACHED + o + l]
    mass = p[ITEM_MASS + o + l] * on
    at = p[ITEM_FROM_NOSE + o + l]
    side_y = p[ITEM_Y + o + l]
    side_z = p[ITEM_Z + o + l]
    p[MASS + l] += mass
    p[BALANCE + l] += mass * at
    p[SIDE_Y + l] += mass * side_y
    p[SIDE_Z + l] += mass * side_z
    p[INERTIA_XX + l] += on * p[ITEM_IXX + o + l] + mass * (side_y * side_y + side_z * side_z)
    p[INERTIA_YY + l] += on * p[ITEM_IYY + o + l] + mass * (at * at + side_z * side_z)
    p[INERTIA_ZZ + l] += on * p[ITEM_IZZ + o + l] + mass * (at * at + side_y * side_y)
    p[INERTIA_XY + l] += mass * at * side_y
    p[INERTIA_XZ + l] += mass * at * side_z
    p[INERTIA_YZ + l] += on * p[ITEM_IYZ + o + l] - mass * side_y * side_z
    p[SHIELDED + l] += on * p[ITEM_SHIELD + o + l]


def settle_load(p, l):
    """End the sums: the balance, and moments and products of inertia about it."""
    mass = p[MASS + l]
    at = p[BALANCE + l] / mass
    side_y = p[SIDE_Y + l] / mass
    side_z = p[SIDE_Z + l] / mass
    p[BALANCE + l] = at
    p[SIDE_Y + l] = side_y
    p[SIDE_Z + l] = side_z
    p[INERTIA_XX + l] -= mass * (side_y * side_y + side_z * side_z)
    p[INERTIA_YY + l] -= mass * (at * at + side_z * side_z)
    p[INERTIA_ZZ + l] -= mass * (at * at + side_y * side_y)
    p[INERTIA_XY + l] -= mass * at * side_y
    p[INERTIA_XZ + l] -= mass * at * side_z
    p[INERTIA_YZ + l] += mass * side_y * side_z


def jet_damping(y, p, l, s, z, mass_flow):
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
    exit_arm = p[NOZZLE + s + l] - p[BALANCE + l]
    surface_arm = p[COLUMN_AFT + s + l] - column_height(y, p, l, s, z) - p[BALANCE + l]
    return mass_flow * (exit_arm * exit_arm - surface_arm * surface_arm)


def lane_load(phase, items, y, p, l):
    """Work out the load of one flight alone: all of the above in their order."""
    load_body(y, p, l)
    if phase == BOOSTED_PHASE:
        add_boosters(y, p, l)
    for item in range(items):
        add_item(item * ITEM, p, l)
    settle_load(p, l)
