"""Something carried leaves: two rigid bodies where there was one."""

from math import sqrt

from loftwright.flight.kernel.loading import count_boosters_in, lane_load
from loftwright.flight.kernel.slots import (
    BALANCE,
    BOOSTED_PHASE,
    COAST_PHASE,
    DEPART_LEFT,
    DEPART_STATE,
    DEPART_TIME,
    DEPART_TORN,
    EAST,
    INERTIA_XX,
    INERTIA_XY,
    INERTIA_XZ,
    INERTIA_YY,
    INERTIA_YZ,
    INERTIA_ZZ,
    ITEM,
    ITEM_ATTACHED,
    ITEM_FROM_NOSE,
    ITEM_MASS,
    ITEM_TOSS,
    ITEM_USE,
    ITEM_Y,
    ITEM_Z,
    LANES,
    LAST_A_EAST,
    LAST_A_NORTH,
    LAST_A_UP,
    MASS,
    NORTH,
    PITCH_RATE,
    Q0,
    Q1,
    Q2,
    Q3,
    ROLL_RATE,
    SIDE_Y,
    SIDE_Z,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    YAW_RATE,
)
from loftwright.physics.inertia import tensor_solve
from loftwright.physics.rotation import rotate_to_ground

__all__ = ["depart"]

STANDALONE = True  # too large to be copied into every caller


def _toss(o, torn, arm_x, arm_y, arm_z, y, p, l):
    """Push the two apart as they part; return the speed that the lighter one gains [m/s].

    The push acts between the two balances, away from the axis, or forward for what sits on the
    axis; where they touch they part at the speed asked for. The impulse follows from both masses
    and from the turning it gives the one that is left, so that momentum and angular momentum are
    kept. What tears off is not pushed.
    """
    out_y = p[ITEM_Y + o + l]
    out_z = p[ITEM_Z + o + l]
    away = sqrt(out_y * out_y + out_z * out_z)
    to_x, to_y, to_z = 1.0, 0.0, 0.0
    if away > 1e-9:
        to_x, to_y, to_z = 0.0, out_y / away, out_z / away
    lever_x = arm_y * to_z - arm_z * to_y
    lever_y = arm_z * to_x - arm_x * to_z
    lever_z = arm_x * to_y - arm_y * to_x
    turn_x, turn_y, turn_z = tensor_solve(
        p[INERTIA_XX + l], p[INERTIA_YY + l], p[INERTIA_ZZ + l],
        p[INERTIA_XY + l], p[INERTIA_XZ + l], p[INERTIA_YZ + l],
        lever_x, lever_y, lever_z,
    )  # fmt: skip
    light = 1.0 / p[ITEM_MASS + o + l]
    heavy = 1.0 / p[MASS + l]
    yielding = light + heavy + lever_x * turn_x + lever_y * turn_y + lever_z * turn_z
    impulse = 0.0 if torn else p[ITEM_TOSS + o + l] / yielding
    east, north, up = rotate_to_ground(y[Q0 + l], y[Q1 + l], y[Q2 + l], y[Q3 + l], to_x, to_y, to_z)
    y[V_EAST + l] -= impulse * heavy * east
    y[V_NORTH + l] -= impulse * heavy * north
    y[V_UP + l] -= impulse * heavy * up
    y[ROLL_RATE + l] -= impulse * turn_x
    y[PITCH_RATE + l] -= impulse * turn_y
    y[YAW_RATE + l] -= impulse * turn_z
    gained = impulse * light
    return gained * east, gained * north, gained * up


def _turned_out(o, y, p, l, departure):
    """Attitude and spin of what leaves: its back looks away from the axis."""
    out_y = p[ITEM_Y + o + l]
    out_z = p[ITEM_Z + o + l]
    away = sqrt(out_y * out_y + out_z * out_z)
    cosine = out_z / away if away > 1e-9 else 1.0
    sine = -out_y / away if away > 1e-9 else 0.0
    # The larger of the two by its root, the other by their product: near half a turn the root of
    # what is left of the smaller one would be mostly rounding.
    larger = sqrt(0.5 * (1.0 + abs(cosine)))
    smaller = 0.5 * abs(sine) / larger
    half_cosine = larger if cosine > 0.0 else smaller
    half_sine = smaller if cosine > 0.0 else larger
    half_sine = -half_sine if sine < 0.0 else half_sine
    q0 = y[Q0 + l]
    q1 = y[Q1 + l]
    q2 = y[Q2 + l]
    q3 = y[Q3 + l]
    departure[DEPART_STATE + 6] = q0 * half_cosine - q1 * half_sine
    departure[DEPART_STATE + 7] = q0 * half_sine + q1 * half_cosine
    departure[DEPART_STATE + 8] = q2 * half_cosine + q3 * half_sine
    departure[DEPART_STATE + 9] = q3 * half_cosine - q2 * half_sine
    departure[DEPART_STATE + 10] = y[ROLL_RATE + l]
    departure[DEPART_STATE + 11] = cosine * y[PITCH_RATE + l] + sine * y[YAW_RATE + l]
    departure[DEPART_STATE + 12] = cosine * y[YAW_RATE + l] - sine * y[PITCH_RATE + l]


def depart(phase, items, item, torn, t, y, p, l, departure):
    """Let one thing go: note where, how fast and how turned both start on their own.

    ``departure`` takes the moment, whether it was torn off, the state of what leaves, and of what
    is left behind with its acceleration (see slots). Until now both moved as one body; each keeps
    the motion of its own balance, so momentum and angular momentum are those of before.
    """
    o = item * ITEM
    if phase == BOOSTED_PHASE and item == items - 1:
        count_boosters_in(o, y, p, l)
        phase = COAST_PHASE
    lane_load(phase, items, y, p, l)
    at = p[BALANCE + l]
    side_y = p[SIDE_Y + l]
    side_z = p[SIDE_Z + l]
    p[ITEM_ATTACHED + o + l] = 0.0
    p[ITEM_USE + o + l] = 0.0
    lane_load(phase, items, y, p, l)
    q0 = y[Q0 + l]
    q1 = y[Q1 + l]
    q2 = y[Q2 + l]
    q3 = y[Q3 + l]
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]

    # What leaves: at its own place, with the turning motion there.
    x = at - p[ITEM_FROM_NOSE + o + l]
    v = p[ITEM_Y + o + l] - side_y
    w = p[ITEM_Z + o + l] - side_z
    east, north, up = rotate_to_ground(q0, q1, q2, q3, x, v, w)
    swing_east, swing_north, swing_up = rotate_to_ground(
        q0, q1, q2, q3, pitch * w - yaw * v, yaw * x - roll * w, roll * v - pitch * x
    )
    departure[DEPART_TIME] = t
    departure[DEPART_TORN] = 1.0 if torn else 0.0
    departure[DEPART_STATE] = y[EAST + l] + east
    departure[DEPART_STATE + 1] = y[NORTH + l] + north
    departure[DEPART_STATE + 2] = y[UP + l] + up
    departure[DEPART_STATE + 3] = y[V_EAST + l] + swing_east
    departure[DEPART_STATE + 4] = y[V_NORTH + l] + swing_north
    departure[DEPART_STATE + 5] = y[V_UP + l] + swing_up

    # What is left: its balance lies elsewhere now, and moves as that place did.
    shift_x = at - p[BALANCE + l]
    shift_y = p[SIDE_Y + l] - side_y
    shift_z = p[SIDE_Z + l] - side_z
    east, north, up = rotate_to_ground(q0, q1, q2, q3, shift_x, shift_y, shift_z)
    swing_east, swing_north, swing_up = rotate_to_ground(
        q0, q1, q2, q3,
        pitch * shift_z - yaw * shift_y,
        yaw * shift_x - roll * shift_z,
        roll * shift_y - pitch * shift_x,
    )  # fmt: skip
    y[EAST + l] += east
    y[NORTH + l] += north
    y[UP + l] += up
    y[V_EAST + l] += swing_east
    y[V_NORTH + l] += swing_north
    y[V_UP + l] += swing_up

    _turned_out(o, y, p, l, departure)
    gained_east, gained_north, gained_up = _toss(
        o, torn, x - shift_x, v - shift_y, w - shift_z, y, p, l
    )
    departure[DEPART_STATE + 3] += gained_east
    departure[DEPART_STATE + 4] += gained_north
    departure[DEPART_STATE + 5] += gained_up
    for row in range(13):
        departure[DEPART_LEFT + row] = y[row * LANES + l]
    departure[DEPART_LEFT + 13] = p[LAST_A_EAST + l]
    departure[DEPART_LEFT + 14] = p[LAST_A_NORTH + l]
    departure[DEPART_LEFT + 15] = p[LAST_A_UP + l]
    departure[DEPART_LEFT + 16] = p[BALANCE + l]
