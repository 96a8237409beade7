"""What a carried thing asks of its hold at this moment."""

from math import sqrt

from loftwright.flight.kernel.airloads import item_force
from loftwright.flight.kernel.slots import (
    BALANCE,
    GRAVITY,
    ITEM,
    ITEM_ACROSS,
    ITEM_ALONG,
    ITEM_ATTACHED,
    ITEM_FROM_NOSE,
    ITEM_GRIP,
    ITEM_LOAD,
    ITEM_LOAD_ACROSS,
    ITEM_LOAD_ALONG,
    ITEM_LOAD_OUT,
    ITEM_MASS,
    ITEM_PEEL,
    ITEM_TIP,
    ITEM_USE,
    ITEM_Y,
    ITEM_Z,
    PITCH_RATE,
    Q0,
    Q1,
    Q2,
    Q3,
    ROLL_RATE,
    SIDE_Y,
    SIDE_Z,
    V_EAST,
    V_NORTH,
    V_UP,
    YAW_RATE,
)
from loftwright.physics.retention import hold_use
from loftwright.physics.rotation import rotate_to_body

__all__ = ["hold_item", "least_spare"]


def hold_item(o, y, dy, p, l):
    """Work out the force that keeps one thing in its place, and how much of its hold that takes.

    The thing moves as the body does: what its weight asks (felt acceleration, turning and spin
    included) less what the air does to it, must come from the hold and from the body beneath. What
    acts along the axis at the height of its balance tips it over one end, and peels the other.
    ``dy`` are the rates of change that belong to ``y``; loads and surroundings must be worked
    out for them.
    """
    mass = p[ITEM_MASS + o + l]
    felt_x, felt_y, felt_z = rotate_to_body(
        y[Q0 + l], y[Q1 + l], y[Q2 + l], y[Q3 + l],
        dy[V_EAST + l], dy[V_NORTH + l], dy[V_UP + l] + p[GRAVITY + l],
    )  # fmt: skip
    air_x, air_y, air_z, _, _, _ = item_force(o, y, p, l)
    arm_x = p[BALANCE + l] - p[ITEM_FROM_NOSE + o + l]
    out_y = p[ITEM_Y + o + l]
    out_z = p[ITEM_Z + o + l]
    arm_y = out_y - p[SIDE_Y + l]
    arm_z = out_z - p[SIDE_Z + l]
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]
    d_roll = dy[ROLL_RATE + l]
    d_pitch = dy[PITCH_RATE + l]
    d_yaw = dy[YAW_RATE + l]
    # Of the spin twice over the arm: spin times (spin . arm), less the arm times its square.
    along_spin = roll * arm_x + pitch * arm_y + yaw * arm_z
    square = roll * roll + pitch * pitch + yaw * yaw
    asked_x = felt_x + d_pitch * arm_z - d_yaw * arm_y + roll * along_spin - square * arm_x
    asked_y = felt_y + d_yaw * arm_x - d_roll * arm_z + pitch * along_spin - square * arm_y
    asked_z = felt_z + d_roll * arm_y - d_pitch * arm_x + yaw * along_spin - square * arm_z
    force_x = mass * asked_x - air_x
    force_y = mass * asked_y - air_y
    force_z = mass * asked_z - air_z

    away = sqrt(out_y * out_y + out_z * out_z)
    over = 1.0 / max(away, 1e-9)
    # Something on the axis has no side: all that is across counts as such.
    out = (force_y * out_y + force_z * out_z) * over
    across = sqrt(max(force_y * force_y + force_z * force_z - out * out, 0.0))
    on = p[ITEM_ATTACHED + o + l]
    use = hold_use(
        force_x, across, out - p[ITEM_TIP + o + l] * abs(force_x), p[ITEM_GRIP + o + l],
        p[ITEM_ALONG + o + l], p[ITEM_ACROSS + o + l], p[ITEM_PEEL + o + l],
    )  # fmt: skip
    p[ITEM_LOAD_ALONG + o + l] = on * force_x
    p[ITEM_LOAD_ACROSS + o + l] = on * across
    p[ITEM_LOAD_OUT + o + l] = on * out
    p[ITEM_LOAD + o + l] = on * sqrt(force_x * force_x + force_y * force_y + force_z * force_z)
    p[ITEM_USE + o + l] = on * use


def least_spare(items, p, l):
    """How far the hold that is nearest to giving way is from it, as a share, and which it is."""
    spare = 1.0
    which = 0
    for item in range(items):
        left = 1.0 - p[ITEM_USE + item * ITEM + l]
        if left < spare:
            spare = left
            which = item
    return spare, which
