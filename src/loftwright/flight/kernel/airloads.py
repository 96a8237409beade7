"""What the air does to a vehicle, and to each thing on its side."""

from math import sqrt

from loftwright.flight.kernel.slots import (
    BALANCE,
    BASE_RATIO,
    BODY_FRICTION,
    BODY_LENGTH,
    BODY_ROUGH,
    CROSS_AREA,
    CROSS_CENTRE,
    CROSS_DAMPING,
    DENSITY,
    FIN_CENTRE,
    FIN_CHORD,
    FIN_FRICTION,
    FIN_ROUGH,
    FIN_SLOPE,
    FLOW_EAST,
    FLOW_NORTH,
    FLOW_UP,
    FLOW_X,
    FLOW_Y,
    FLOW_Z,
    FORCE_X,
    FORCE_Y,
    FORCE_Z,
    ITEM_ATTACHED,
    ITEM_CENTRE,
    ITEM_DRAG,
    ITEM_PUSH,
    ITEM_SIDE,
    ITEM_SLOPE,
    ITEM_Y,
    ITEM_Z,
    MEASURED_DRAG,
    MOMENT_X,
    MOMENT_Y,
    MOMENT_Z,
    NOSE_CENTRE,
    NOSE_SLOPE,
    PITCH_RATE,
    PRESSURE_DRAG,
    Q0,
    Q1,
    Q2,
    Q3,
    REFERENCE_AREA,
    ROLL_DAMPING,
    ROLL_FORCING,
    ROLL_RATE,
    SHIELDED,
    SIDE_Y,
    SIDE_Z,
    TAIL_CENTRE,
    TAIL_SLOPE,
    VISCOSITY,
    YAW_RATE,
)
from loftwright.physics.drag import settled_drag_area
from loftwright.physics.rotation import rotate_to_body

__all__ = ["add_item_loads", "body_loads", "item_force", "meet_air", "zero_lift_drag"]


def meet_air(y, p, l):
    """Work out the body's motion through the air in its own axes."""
    u, v, w = rotate_to_body(
        y[Q0 + l], y[Q1 + l], y[Q2 + l], y[Q3 + l],
        p[FLOW_EAST + l], p[FLOW_NORTH + l], p[FLOW_UP + l],
    )  # fmt: skip
    p[FLOW_X + l] = u
    p[FLOW_Y + l] = v
    p[FLOW_Z + l] = w


def zero_lift_drag(speed, rho, p, l, base_open):
    """Drag area of the bare vehicle along the flow [m2]."""
    built_up = settled_drag_area(
        speed,
        p[VISCOSITY + l] / rho,
        p[BODY_LENGTH + l],
        p[FIN_CHORD + l],
        p[BODY_FRICTION + l],
        p[FIN_FRICTION + l],
        p[BODY_ROUGH + l],
        p[FIN_ROUGH + l],
        p[PRESSURE_DRAG + l],
        p[BASE_RATIO + l],
        p[REFERENCE_AREA + l],
        base_open,
    )
    return p[MEASURED_DRAG + l] if p[MEASURED_DRAG + l] > 0.0 else built_up


def body_loads(y, p, l, base_open):
    """Air forces on the bare vehicle, and their moments about the balance, body axes.

    Each station (nose, tail, fins, the long body in cross-flow) meets the air with its own
    velocity, turning included, so damping in pitch and yaw needs no coefficient. Stations lie on
    the axis; a balance beside it brings the last three moments. ``base_open`` is the share of the
    base drag that acts.

    References
    ----------
    Potential normal force J. S. Barrowman (1967), written with the local cross-flow velocity;
    viscous cross-flow H. J. Allen and E. W. Perkins, NACA Report 1048 (1951); both continued to
    any angle by |u| in place of the speed.
    """
    rho = p[DENSITY + l]
    half = 0.5 * rho
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]
    balance = p[BALANCE + l]
    side_y = p[SIDE_Y + l]
    side_z = p[SIDE_Z + l]
    # The point of the axis abreast of the balance.
    u = p[FLOW_X + l] - pitch * side_z + yaw * side_y
    v = p[FLOW_Y + l] + roll * side_z
    w = p[FLOW_Z + l] - roll * side_y
    speed = sqrt(u * u + v * v + w * w + 1e-12)
    forward = max(u, 0.0)
    either = abs(u)

    nose_arm = balance - p[NOSE_CENTRE + l]
    tail_arm = balance - p[TAIL_CENTRE + l]
    fin_arm = balance - p[FIN_CENTRE + l]
    cross_arm = balance - p[CROSS_CENTRE + l]
    nose = half * forward * p[NOSE_SLOPE + l] * (1.0 - p[SHIELDED + l])
    tail = half * forward * p[TAIL_SLOPE + l]
    fin = half * either * p[FIN_SLOPE + l]

    cross_v = v + yaw * cross_arm
    cross_w = w - pitch * cross_arm
    cross = half * p[CROSS_AREA + l] * sqrt(cross_v * cross_v + cross_w * cross_w + 1e-12)

    nose_y = -nose * (v + yaw * nose_arm)
    nose_z = -nose * (w - pitch * nose_arm)
    tail_y = -tail * (v + yaw * tail_arm)
    tail_z = -tail * (w - pitch * tail_arm)
    fin_y = -fin * (v + yaw * fin_arm)
    fin_z = -fin * (w - pitch * fin_arm)
    cross_y = -cross * cross_v
    cross_z = -cross * cross_w

    axial = -half * speed * u * zero_lift_drag(speed, rho, p, l, base_open)
    force_y = nose_y + tail_y + fin_y + cross_y
    force_z = nose_z + tail_z + fin_z + cross_z
    turning = half * p[CROSS_DAMPING + l] * sqrt(pitch * pitch + yaw * yaw + 1e-12)

    p[FORCE_X + l] = axial
    p[FORCE_Y + l] = force_y
    p[FORCE_Z + l] = force_z
    p[MOMENT_X + l] = (
        half * (p[ROLL_FORCING + l] * u * either - p[ROLL_DAMPING + l] * either * roll)
        - side_y * force_z
        + side_z * force_y
    )
    p[MOMENT_Y + l] = (
        -nose_arm * nose_z
        - tail_arm * tail_z
        - fin_arm * fin_z
        - cross_arm * cross_z
        - side_z * axial
        - turning * pitch
    )
    p[MOMENT_Z + l] = (
        nose_arm * nose_y
        + tail_arm * tail_y
        + fin_arm * fin_y
        + cross_arm * cross_y
        + side_y * axial
        - turning * yaw
    )


def item_force(o, y, p, l):
    """Air force on one thing carried [N], and where it acts from the balance [m], body axes.

    Drag along and across goes with the square of its own speed; what stands off like a small fin
    feels incidence; and in straight flow it may be drawn off the body, or pressed to it. It acts
    at the thing's place beside the axis and at its own centre along it.
    """
    on = 0.5 * p[DENSITY + l] * p[ITEM_ATTACHED + o + l]
    arm_x = p[BALANCE + l] - p[ITEM_CENTRE + o + l]
    out_y = p[ITEM_Y + o + l]
    out_z = p[ITEM_Z + o + l]
    arm_y = out_y - p[SIDE_Y + l]
    arm_z = out_z - p[SIDE_Z + l]
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]
    u = p[FLOW_X + l] + pitch * arm_z - yaw * arm_y
    v = p[FLOW_Y + l] + yaw * arm_x - roll * arm_z
    w = p[FLOW_Z + l] + roll * arm_y - pitch * arm_x
    across = v * v + w * w
    away = 1.0 / sqrt(out_y * out_y + out_z * out_z + 1e-12)
    push = p[ITEM_PUSH + o + l] * u * abs(u) * away
    lateral = p[ITEM_SIDE + o + l] * sqrt(across + 1e-12) + p[ITEM_SLOPE + o + l] * max(u, 0.0)
    force_x = -on * p[ITEM_DRAG + o + l] * sqrt(u * u + across + 1e-12) * u
    force_y = on * (push * out_y - lateral * v)
    force_z = on * (push * out_z - lateral * w)
    return force_x, force_y, force_z, arm_x, arm_y, arm_z


def add_item_loads(o, y, p, l):
    """Add what the air does to one thing carried; ``o`` is where its block begins."""
    force_x, force_y, force_z, arm_x, arm_y, arm_z = item_force(o, y, p, l)
    p[FORCE_X + l] += force_x
    p[FORCE_Y + l] += force_y
    p[FORCE_Z + l] += force_z
    p[MOMENT_X + l] += arm_y * force_z - arm_z * force_y
    p[MOMENT_Y + l] += arm_z * force_x - arm_x * force_z
    p[MOMENT_Z + l] += arm_x * force_y - arm_y * force_x
