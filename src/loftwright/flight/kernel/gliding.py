"""A glider in the air: strips over wing, tail and fin, and its fuselage; one lane a call.

Order of the pieces: `begin_glide`, `strip_load` for each strip of the wing, `wing_wake`,
`strip_load` for each strip of the tail, `end_glide`. They leave force and moment about the
balance in the rows of `slots`. Every strip meets the air with its own velocity, turning included:
damping, and what rolling and slipping do to each other, need no coefficients.
"""

from __future__ import annotations

from math import sqrt

from loftwright.flight.kernel.slots import (
    DENSITY,
    FLOW_EAST,
    FLOW_NORTH,
    FLOW_UP,
    FORCE_X,
    FORCE_Y,
    FORCE_Z,
    LEFT_AT,
    MOMENT_X,
    MOMENT_Y,
    MOMENT_Z,
    PITCH_RATE,
    Q0,
    Q1,
    Q2,
    Q3,
    ROLL_RATE,
    VISCOSITY,
    YAW_RATE,
)
from loftwright.flight.kernel.wing_slots import (
    AIR_SPEED,
    AIR_X,
    AIR_Y,
    AIR_Z,
    AXIS_X,
    AXIS_Y,
    AXIS_Z,
    CHORD_X,
    CHORD_Y,
    CHORD_Z,
    DOWNWASH,
    DRAG_FACTOR,
    FOLDED_SHARE,
    FRICTION_ROOT,
    FUSELAGE_DAMPING,
    FUSELAGE_FRICTION,
    FUSELAGE_FRONT,
    FUSELAGE_SIDE,
    FUSELAGE_TOP,
    FUSELAGE_VOLUME,
    FUSELAGE_X,
    FUSELAGE_Z,
    HALF_DENSITY,
    NORMAL_X,
    NORMAL_Y,
    NORMAL_Z,
    ROLL_SHARE,
    STRIP_AREA,
    STRIP_BROADSIDE,
    STRIP_CAMBER,
    STRIP_CHORD,
    STRIP_EDGE,
    STRIP_FOLDS,
    STRIP_FRICTION,
    STRIP_SLOPE,
    STRIP_STRIDE,
    STRIP_X,
    STRIP_Y,
    STRIP_Z,
    TAIL_STRIPS,
    UNFOLD_RATE,
    WAKE_GAIN,
    WING_LIFT,
    WING_OPEN,
    WING_STRIPS,
)
from loftwright.physics.rotation import rotate_to_body
from loftwright.physics.section import plate_section

__all__ = [
    "TAIL_STRIPS",
    "WING_STRIPS",
    "begin_glide",
    "end_glide",
    "glider_loads",
    "meet_air",
    "strip_load",
    "wing_wake",
]


def begin_glide(t, y, p, l):
    """Turn the flow into body axes, and see how far the wing has unfolded."""
    u, v, w = rotate_to_body(
        y[Q0 + l], y[Q1 + l], y[Q2 + l], y[Q3 + l],
        p[FLOW_EAST + l], p[FLOW_NORTH + l], p[FLOW_UP + l],
    )  # fmt: skip
    share = min(max((t - p[LEFT_AT + l]) * p[UNFOLD_RATE + l], 0.0), 1.0)
    folded = p[FOLDED_SHARE + l]
    p[WING_OPEN + l] = folded + (1.0 - folded) * share * share * (3.0 - 2.0 * share)
    meet_air(u, v, w, p, l)


def meet_air(u, v, w, p, l):
    """Note how the air comes, body axes [m/s], and empty the sums."""
    speed = sqrt(u * u + v * v + w * w + 1e-12)
    density = p[DENSITY + l]
    p[AIR_X + l] = u
    p[AIR_Y + l] = v
    p[AIR_Z + l] = w
    p[AIR_SPEED + l] = speed
    p[HALF_DENSITY + l] = 0.5 * density
    # Below a tenth of a metre a second friction is nothing, whatever its coefficient.
    p[FRICTION_ROOT + l] = sqrt(p[VISCOSITY + l] / (density * max(speed, 0.1)))
    p[WING_LIFT + l] = 0.0
    p[DOWNWASH + l] = 0.0
    p[FORCE_X + l] = 0.0
    p[FORCE_Y + l] = 0.0
    p[FORCE_Z + l] = 0.0
    p[MOMENT_X + l] = 0.0
    p[MOMENT_Y + l] = 0.0
    p[MOMENT_Z + l] = 0.0


def strip_load(s, y, p, l):
    """Add what the air does to one strip."""
    k = s * STRIP_STRIDE + l
    x = p[STRIP_X + k]
    left = p[STRIP_Y + k]
    z = p[STRIP_Z + k]
    chord_x = p[CHORD_X + k]
    chord_y = p[CHORD_Y + k]
    chord_z = p[CHORD_Z + k]
    normal_x = p[NORMAL_X + k]
    normal_y = p[NORMAL_Y + k]
    normal_z = p[NORMAL_Z + k]
    axis_x = p[AXIS_X + k]
    axis_y = p[AXIS_Y + k]
    axis_z = p[AXIS_Z + k]
    chord = p[STRIP_CHORD + k]
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]

    u = p[AIR_X + l] + pitch * z - yaw * left
    v = p[AIR_Y + l] + yaw * x - roll * z
    w = p[AIR_Z + l] + roll * left - pitch * x + p[DOWNWASH + l]
    along = u * chord_x + v * chord_y + w * chord_z
    through = u * normal_x + v * normal_y + w * normal_z
    speed = sqrt(along * along + through * through + 1e-12)
    inverse = 1.0 / speed
    sine = -through * inverse
    cosine = along * inverse
    # Turning about its own axis bends the flow along the chord like a camber; rolling does not.
    bend = 0.25 * chord * (pitch * axis_y + yaw * axis_z) * inverse
    camber = p[STRIP_CAMBER + k] * abs(cosine) + bend * cosine
    normal, forward, moment, attached = plate_section(
        sine, cosine, p[STRIP_SLOPE + k], camber, p[STRIP_BROADSIDE + k]
    )

    area = p[STRIP_AREA + k] * (1.0 + p[STRIP_FOLDS + k] * (p[WING_OPEN + l] - 1.0))
    half = p[HALF_DENSITY + l] * area * speed
    rub = half * (p[STRIP_FRICTION + k] * p[FRICTION_ROOT + l] + p[STRIP_EDGE + k])
    load = half * speed
    out = load * normal + rub * through
    ahead = load * forward
    twist = load * chord * moment
    force_x = out * normal_x + ahead * chord_x - rub * u
    force_y = out * normal_y + ahead * chord_y - rub * v
    force_z = out * normal_z + ahead * chord_z - rub * w
    p[WING_LIFT + l] += load * attached
    p[FORCE_X + l] += force_x
    p[FORCE_Y + l] += force_y
    p[FORCE_Z + l] += force_z
    p[MOMENT_X + l] += left * force_z - z * force_y + twist * axis_x
    p[MOMENT_Y + l] += z * force_x - x * force_z + twist * axis_y
    p[MOMENT_Z + l] += x * force_y - left * force_x + twist * axis_z


def wing_wake(p, l):
    """Let the wake of the lift just summed act: on the tail, and on a wing that lifts unevenly.

    Halves that lift against each other lose more to their wake than strips know of. The tail meets
    air turned down, as long as it flies forward.
    """
    p[MOMENT_X + l] *= p[ROLL_SHARE + l]
    speed = p[AIR_SPEED + l]
    forward = max(p[AIR_X + l], 0.0) / speed
    lift = p[WING_LIFT + l] * p[WAKE_GAIN + l]
    p[DOWNWASH + l] = lift * forward / (2.0 * p[HALF_DENSITY + l] * speed)


def end_glide(y, p, l):
    """Add the fuselage, and hold the whole drag against a measured glide."""
    u = p[AIR_X + l]
    v = p[AIR_Y + l]
    w = p[AIR_Z + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]
    speed = p[AIR_SPEED + l]
    half = p[HALF_DENSITY + l]
    x = p[FUSELAGE_X + l]
    z = p[FUSELAGE_Z + l]

    side = v + yaw * x
    lift = w - pitch * x
    across = half * sqrt(side * side + lift * lift + 1e-12)
    rub = half * (p[FUSELAGE_FRICTION + l] * p[FRICTION_ROOT + l] + p[FUSELAGE_FRONT + l])
    body_x = -rub * speed * u
    body_y = -across * p[FUSELAGE_SIDE + l] * side
    body_z = -across * p[FUSELAGE_TOP + l] * lift
    turning = half * p[FUSELAGE_DAMPING + l] * sqrt(pitch * pitch + yaw * yaw + 1e-12)
    # Air pushed aside turns a slender body across its path (Munk).
    aside = 2.0 * half * p[FUSELAGE_VOLUME + l] * u

    force_x = p[FORCE_X + l] + body_x
    force_y = p[FORCE_Y + l] + body_y
    force_z = p[FORCE_Z + l] + body_z
    p[MOMENT_X + l] += -z * body_y
    p[MOMENT_Y + l] += z * body_x - x * body_z + aside * w - turning * pitch
    p[MOMENT_Z + l] += x * body_y - aside * v - turning * yaw

    with_path = force_x * u + force_y * v + force_z * w
    more = (p[DRAG_FACTOR + l] - 1.0) * with_path / (speed * speed)
    p[FORCE_X + l] = force_x + more * u
    p[FORCE_Y + l] = force_y + more * v
    p[FORCE_Z + l] = force_z + more * w


def glider_loads(y, p, l):
    """Work out force and moment for the flow that was noted: all strips in their order."""
    for s in range(WING_STRIPS):
        strip_load(s, y, p, l)
    wing_wake(p, l)
    for s in range(WING_STRIPS, WING_STRIPS + TAIL_STRIPS):
        strip_load(s, y, p, l)
    end_glide(y, p, l)
