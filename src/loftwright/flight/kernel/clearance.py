"""How close a body that was let go comes to what it left, in the first moments after.

What it left flies on meanwhile; here it is carried on by its velocity, its acceleration and its
spin at the moment of parting. Two tenths of a second after a release in free flight that is right
within a centimetre, and what comes later is far apart. While the vehicle is pushed the two part
within hundredths, lengthwise, and the place along the vehicle is right within some centimetres (a
test holds both against the vehicle's own track).
"""

from math import sqrt

from loftwright.flight.kernel.slots import (
    EAST,
    LEAST_BODY,
    LEAST_FINS,
    LEFT_A_EAST,
    LEFT_A_NORTH,
    LEFT_A_UP,
    LEFT_AT,
    LEFT_BALANCE,
    LEFT_EAST,
    LEFT_FIN_AFT,
    LEFT_FIN_COSINE,
    LEFT_FIN_COUNT,
    LEFT_FIN_FORE,
    LEFT_FIN_SINE,
    LEFT_FIN_TIP,
    LEFT_FIN_Y,
    LEFT_FIN_Z,
    LEFT_LENGTH,
    LEFT_NORTH,
    LEFT_PITCH,
    LEFT_Q0,
    LEFT_Q1,
    LEFT_Q2,
    LEFT_Q3,
    LEFT_RADIUS,
    LEFT_ROLL,
    LEFT_UP,
    LEFT_V_EAST,
    LEFT_V_NORTH,
    LEFT_V_UP,
    LEFT_YAW,
    NORTH,
    Q0,
    Q1,
    Q2,
    Q3,
    REACH_AFT,
    REACH_FOLDED,
    REACH_FORE,
    REACH_SIDE,
    REACH_UP,
    UNFOLDING,
    UP,
)
from loftwright.physics.rotation import rotate_to_body, rotate_to_ground

__all__ = ["NEAR_TIME", "note_clearance"]

STANDALONE = True  # too large to be copied into every caller

NEAR_TIME = 0.6  # s after parting for which distances are looked at
GRAZE = 0.03  # s in which what lay on the body may still touch it


def _left_behind(after, p, l):
    """Place of what was left [m], and its attitude, so long after."""
    half = 0.5 * after * after
    roll = 0.5 * after * p[LEFT_ROLL + l]
    pitch = 0.5 * after * p[LEFT_PITCH + l]
    yaw = 0.5 * after * p[LEFT_YAW + l]
    q0 = p[LEFT_Q0 + l]
    q1 = p[LEFT_Q1 + l]
    q2 = p[LEFT_Q2 + l]
    q3 = p[LEFT_Q3 + l]
    # A turn by less than a radian, its quaternion to second order and made whole.
    e0 = q0 - q1 * roll - q2 * pitch - q3 * yaw
    e1 = q1 + q0 * roll + q2 * yaw - q3 * pitch
    e2 = q2 + q0 * pitch + q3 * roll - q1 * yaw
    e3 = q3 + q0 * yaw + q1 * pitch - q2 * roll
    over = 1.0 / sqrt(e0 * e0 + e1 * e1 + e2 * e2 + e3 * e3)
    return (
        p[LEFT_EAST + l] + after * p[LEFT_V_EAST + l] + half * p[LEFT_A_EAST + l],
        p[LEFT_NORTH + l] + after * p[LEFT_V_NORTH + l] + half * p[LEFT_A_NORTH + l],
        p[LEFT_UP + l] + after * p[LEFT_V_UP + l] + half * p[LEFT_A_UP + l],
        e0 * over,
        e1 * over,
        e2 * over,
        e3 * over,
    )


def _from_fins(aft, side_y, side_z, p, l):
    """Distance of a point from the nearest fin [m]; fins are plates through the axis."""
    beyond = max(p[LEFT_FIN_FORE + l] - aft, aft - p[LEFT_FIN_AFT + l], 0.0)
    least = 1e9
    count = p[LEFT_FIN_COUNT + l]
    to_y = p[LEFT_FIN_Y + l]
    to_z = p[LEFT_FIN_Z + l]
    cosine = p[LEFT_FIN_COSINE + l]
    sine = p[LEFT_FIN_SINE + l]
    for number in range(12):
        if number >= count:
            break
        reach = side_y * to_y + side_z * to_z
        off = side_y * to_z - side_z * to_y
        over = max(reach - p[LEFT_FIN_TIP + l], -reach, 0.0)
        least = min(least, sqrt(beyond * beyond + off * off + over * over))
        to_y, to_z = cosine * to_y - sine * to_z, sine * to_y + cosine * to_z
    return least


def _note_point(after, aft, side_y, side_z, thick, p, l):
    out = sqrt(side_y * side_y + side_z * side_z)
    p[LEAST_FINS + l] = min(p[LEAST_FINS + l], _from_fins(aft, side_y, side_z, p, l) - thick)
    beside = 0.0 < aft < p[LEFT_LENGTH + l]
    if beside and after > GRAZE:
        p[LEAST_BODY + l] = min(p[LEAST_BODY + l], out - p[LEFT_RADIUS + l])


def note_clearance(t, y, p, l):
    """Keep the smallest distances of a body's ends from the fins and skin of what it left."""
    after = t - p[LEFT_AT + l]
    if after > NEAR_TIME or p[LEFT_LENGTH + l] <= 0.0:
        return
    east, north, up, e0, e1, e2, e3 = _left_behind(after, p, l)
    east = y[EAST + l] - east
    north = y[NORTH + l] - north
    up = y[UP + l] - up
    beyond = p[LEFT_LENGTH + l] + p[REACH_FORE + l] + p[REACH_AFT + l] + p[REACH_SIDE + l]
    away = sqrt(east * east + north * north + up * up) - beyond - p[REACH_UP + l]
    if away > max(p[LEAST_FINS + l], p[LEAST_BODY + l]):
        return  # too far away for a point of it to be nearer than one has been
    # A wing that springs back reaches out as it opens.
    open_share = min(after / max(p[UNFOLDING + l], 1e-3), 1.0)
    reach = p[REACH_FOLDED + l] + open_share * (p[REACH_SIDE + l] - p[REACH_FOLDED + l])
    thick = p[REACH_UP + l]
    for point in range(5):
        x = (p[REACH_FORE + l], -p[REACH_AFT + l], 0.0, 0.0, 0.0)[point]
        side = (0.0, 0.0, 1.0, -1.0, 0.0)[point] * reach
        to_east, to_north, to_up = rotate_to_ground(
            y[Q0 + l], y[Q1 + l], y[Q2 + l], y[Q3 + l], x, side, 0.0
        )
        ahead, side_y, side_z = rotate_to_body(
            e0, e1, e2, e3, east + to_east, north + to_north, up + to_up
        )
        _note_point(after, p[LEFT_BALANCE + l] - ahead, side_y, side_z, thick, p, l)
