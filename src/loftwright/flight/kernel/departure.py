"""The payload leaves: where and how fast its own flight begins."""

from math import sqrt

from loftwright.flight.kernel.loading import load
from loftwright.flight.kernel.slots import (
    EAST,
    NORTH,
    PAYLOAD_FROM_NOSE,
    PAYLOAD_MASS,
    PAYLOAD_Y,
    PAYLOAD_Z,
    Q0,
    Q1,
    Q2,
    Q3,
    TOSS_SPEED,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.physics.rotation import rotate_to_ground

__all__ = ["depart"]

STANDALONE = True  # too large to be copied into every caller


def depart(t, y, p, l, departure):
    """Note where and how fast the payload starts its own flight, and push the two apart.

    ``departure`` holds time, position, velocity and the direction of the span. The toss
    is a speed between the two bodies; momentum is kept.
    """
    side_y = p[PAYLOAD_Y + l]
    side_z = p[PAYLOAD_Z + l]
    out = sqrt(side_y * side_y + side_z * side_z)
    q0 = y[Q0 + l]
    q1 = y[Q1 + l]
    q2 = y[Q2 + l]
    q3 = y[Q3 + l]
    loading = load(y, p, l)
    east, north, up = rotate_to_ground(
        q0, q1, q2, q3, loading[1] - p[PAYLOAD_FROM_NOSE + l],
        side_y - loading[4], side_z - loading[5],
    )  # fmt: skip
    away_y = side_y / out if out > 0.0 else 0.0
    away_z = side_z / out if out > 0.0 else 0.0
    to_east, to_north, to_up = rotate_to_ground(q0, q1, q2, q3, 0.0, away_y, away_z)
    light = p[TOSS_SPEED + l] * (1.0 - p[PAYLOAD_MASS + l] / loading[0])
    heavy = p[TOSS_SPEED + l] - light
    level = sqrt(to_east * to_east + to_north * to_north + 1e-30)
    departure[0] = t
    departure[1] = y[EAST + l] + east
    departure[2] = y[NORTH + l] + north
    departure[3] = y[UP + l] + up
    departure[4] = y[V_EAST + l] + light * to_east
    departure[5] = y[V_NORTH + l] + light * to_north
    departure[6] = y[V_UP + l] + light * to_up
    # Its back faces away from the vehicle: climbing, lift points outward.
    departure[7] = to_north / level if level > 1e-9 else 0.0
    departure[8] = -to_east / level if level > 1e-9 else 1.0
    y[V_EAST + l] -= heavy * to_east
    y[V_NORTH + l] -= heavy * to_north
    y[V_UP + l] -= heavy * to_up
