"""The air around the bodies, and the forces it makes."""

from math import sqrt

from loftwright.flight.kernel.slots import (
    ATTACHED,
    BASE_DIAMETER,
    BODY_FRICTION,
    BODY_LENGTH,
    CROSS_AREA,
    CROSS_CENTRE,
    CROSS_DAMPING,
    EAST,
    FIN_CENTRE,
    FIN_CHORD,
    FIN_FRICTION,
    FIN_SLOPE,
    MEASURED_DRAG,
    NORTH,
    NOSE_CENTRE,
    NOSE_SLOPE,
    PAD_DENSITY,
    PAD_TEMPERATURE,
    PAYLOAD_DRAG,
    PAYLOAD_FROM_NOSE,
    PAYLOAD_Y,
    PAYLOAD_Z,
    PRESSURE_DRAG,
    REFERENCE_AREA,
    ROLL_DAMPING,
    ROLL_FORCING,
    SURFACE_ROUGHNESS,
    TAIL_CENTRE,
    TAIL_SLOPE,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    VISCOSITY,
)
from loftwright.flight.kernel.weather import wind
from loftwright.physics.atmosphere import air_density_at
from loftwright.physics.drag import drag_area

__all__ = ["air_loads", "density", "relative_wind"]


def density(y, p, l):
    """Density of the air where the body is [kg/m3]."""
    return air_density_at(y[UP + l], p[PAD_DENSITY + l], p[PAD_TEMPERATURE + l])


def relative_wind(t, y, p, l):
    """Velocity of the body through the air, ground frame [m/s]."""
    east, north, up = wind(t, y[EAST + l], y[NORTH + l], y[UP + l], p, l)
    return y[V_EAST + l] - east, y[V_NORTH + l] - north, y[V_UP + l] - up


def _zero_lift_drag(speed, rho, p, l, base_open):
    built_up = drag_area(
        speed,
        p[VISCOSITY + l] / rho,
        p[BODY_LENGTH + l],
        p[BODY_FRICTION + l],
        p[FIN_CHORD + l],
        p[FIN_FRICTION + l],
        p[PRESSURE_DRAG + l],
        p[BASE_DIAMETER + l],
        p[REFERENCE_AREA + l],
        p[SURFACE_ROUGHNESS + l],
        base_open,
    )
    return p[MEASURED_DRAG + l] if p[MEASURED_DRAG + l] > 0.0 else built_up


def air_loads(rho, u, v, w, roll, pitch, yaw, balance, side_y, side_z, p, l, base_open):
    """Air forces and moments about the balance, body axes.

    Each station (nose, tail, fins, the long body in cross-flow, the payload) meets the air with
    its own velocity, turning included, so damping in pitch and yaw needs no coefficient.

    Parameters
    ----------
    rho : float
        Air density [kg/m3].
    u, v, w : float
        Velocity of the balance through the air, body axes [m/s].
    roll, pitch, yaw : float
        Turning rates, body axes [rad/s].
    balance, side_y, side_z : float
        Balance from the nose, and sideways [m].
    base_open : float
        Share of the base drag that acts.

    Returns
    -------
    tuple of float
        Fx, Fy, Fz [N] and Mx, My, Mz [N m].

    References
    ----------
    Potential normal force J. S. Barrowman (1967), written with the local cross-flow velocity;
    viscous cross-flow H. J. Allen and E. W. Perkins, NACA Report 1048 (1951); both continued to
    any angle by |u| in place of the speed.
    """
    half = 0.5 * rho
    speed = sqrt(u * u + v * v + w * w + 1e-12)
    forward = max(u, 0.0)
    either = abs(u)

    nose_arm = balance - p[NOSE_CENTRE + l]
    tail_arm = balance - p[TAIL_CENTRE + l]
    fin_arm = balance - p[FIN_CENTRE + l]
    cross_arm = balance - p[CROSS_CENTRE + l]
    nose = half * forward * p[NOSE_SLOPE + l]
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

    axial = -half * speed * u * _zero_lift_drag(speed, rho, p, l, base_open)

    held = half * speed * p[PAYLOAD_DRAG + l] * p[ATTACHED + l]
    pay_x = -held * u
    pay_y = -held * v
    pay_z = -held * w
    pay_arm = balance - p[PAYLOAD_FROM_NOSE + l]
    pay_out_y = p[PAYLOAD_Y + l] - side_y
    pay_out_z = p[PAYLOAD_Z + l] - side_z

    turning = half * p[CROSS_DAMPING + l] * sqrt(pitch * pitch + yaw * yaw + 1e-12)

    moment_x = (
        half * (p[ROLL_FORCING + l] * u * either - p[ROLL_DAMPING + l] * either * roll)
        + pay_out_y * pay_z
        - pay_out_z * pay_y
    )
    moment_y = (
        -nose_arm * nose_z
        - tail_arm * tail_z
        - fin_arm * fin_z
        - cross_arm * cross_z
        - pay_arm * pay_z
        + pay_out_z * pay_x
        - side_z * axial
        - turning * pitch
    )
    moment_z = (
        nose_arm * nose_y
        + tail_arm * tail_y
        + fin_arm * fin_y
        + cross_arm * cross_y
        + pay_arm * pay_y
        - pay_out_y * pay_x
        + side_y * axial
        - turning * yaw
    )
    return (
        axial + pay_x,
        nose_y + tail_y + fin_y + cross_y + pay_y,
        nose_z + tail_z + fin_z + cross_z + pay_z,
        moment_x,
        moment_y,
        moment_z,
    )
