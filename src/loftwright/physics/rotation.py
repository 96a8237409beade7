"""Attitude and spin of a rigid body.

Quaternions are scalar first and turn body vectors (x forward through the nose) into ground
vectors (east, north, up).
"""

from __future__ import annotations

from math import cos, pi, sin

from loftwright.physics.inertia import tensor_solve, tensor_times

__all__ = [
    "euler_rates",
    "euler_rates_principal",
    "quaternion_from_elevation_azimuth",
    "quaternion_rates",
    "rotate_to_body",
    "rotate_to_ground",
    "tensor_rates",
]

NORM_CORRECTION = 1.0  # 1/s, pulls the quaternion's length back to one


def rotate_to_ground(
    q0: float, q1: float, q2: float, q3: float, x: float, y: float, z: float
) -> tuple[float, float, float]:
    r"""Turn a vector from body axes into ground axes.

    .. math:: v' = v + q_0 t + \vec q \times t, \qquad t = 2\, \vec q \times v

    Parameters
    ----------
    q0, q1, q2, q3 : float
        Unit quaternion, body to ground, scalar first, [-]
    x, y, z : float
        Vector in body axes, any unit

    Returns
    -------
    east, north, up : float
        The same vector in ground axes, same unit

    Notes
    -----
    Range: quaternions of unit length; a length off by a small e scales the turned part by 1 + 2e.

    References
    ----------
    J. B. Kuipers, *Quaternions and Rotation Sequences* (1999), section 5.14 (from memory).

    Examples
    --------
    >>> rotate_to_ground(1.0, 0.0, 0.0, 0.0, 1.0, 2.0, 3.0)
    (1.0, 2.0, 3.0)
    """
    tx = 2.0 * (q2 * z - q3 * y)
    ty = 2.0 * (q3 * x - q1 * z)
    tz = 2.0 * (q1 * y - q2 * x)
    return (
        x + q0 * tx + q2 * tz - q3 * ty,
        y + q0 * ty + q3 * tx - q1 * tz,
        z + q0 * tz + q1 * ty - q2 * tx,
    )


def rotate_to_body(
    q0: float, q1: float, q2: float, q3: float, x: float, y: float, z: float
) -> tuple[float, float, float]:
    r"""Turn a vector from ground axes into body axes.

    .. math:: v' = v - q_0 t + \vec q \times t, \qquad t = 2\, \vec q \times v

    Parameters
    ----------
    q0, q1, q2, q3 : float
        Unit quaternion, body to ground, scalar first, [-]
    x, y, z : float
        Vector in ground axes (east, north, up), any unit

    Returns
    -------
    forward, left, above : float
        The same vector in body axes, same unit

    Notes
    -----
    Range: quaternions of unit length. It is the turn by the conjugate quaternion.

    References
    ----------
    J. B. Kuipers, *Quaternions and Rotation Sequences* (1999), section 5.14 (from memory).

    Examples
    --------
    >>> rotate_to_body(1.0, 0.0, 0.0, 0.0, 1.0, 2.0, 3.0)
    (1.0, 2.0, 3.0)
    """
    tx = 2.0 * (q2 * z - q3 * y)
    ty = 2.0 * (q3 * x - q1 * z)
    tz = 2.0 * (q1 * y - q2 * x)
    return (
        x - q0 * tx + q2 * tz - q3 * ty,
        y - q0 * ty + q3 * tx - q1 * tz,
        z - q0 * tz + q1 * ty - q2 * tx,
    )


def quaternion_rates(
    q0: float, q1: float, q2: float, q3: float, p: float, q: float, r: float
) -> tuple[float, float, float, float]:
    r"""How the attitude quaternion changes with the body's spin.

    .. math::
        \dot q = \tfrac12\, q \otimes (0, p, q, r) + k (1 - |q|^2)\, q

    Parameters
    ----------
    q0, q1, q2, q3 : float
        Quaternion, body to ground, scalar first, [-]
    p, q, r : float
        Spin about the body's x, y and z axes, [rad/s]

    Returns
    -------
    dq0, dq1, dq2, dq3 : float
        Rates of the quaternion, [1/s]

    Notes
    -----
    Range: any spin. The weak term with k = 1/s brings the length back to one and turns nothing.

    References
    ----------
    J. B. Kuipers, *Quaternions and Rotation Sequences* (1999), section 11.5 (from memory).

    Examples
    --------
    >>> quaternion_rates(1.0, 0.0, 0.0, 0.0, 2.0, 0.0, 0.0)
    (0.0, 1.0, 0.0, 0.0)
    """
    pull = NORM_CORRECTION * (1.0 - q0 * q0 - q1 * q1 - q2 * q2 - q3 * q3)
    return (
        0.5 * (-q1 * p - q2 * q - q3 * r) + pull * q0,
        0.5 * (q0 * p + q2 * r - q3 * q) + pull * q1,
        0.5 * (q0 * q - q1 * r + q3 * p) + pull * q2,
        0.5 * (q0 * r + q1 * q - q2 * p) + pull * q3,
    )


def euler_rates(
    p: float,
    q: float,
    r: float,
    inertia_along: float,
    inertia_across: float,
    moment_x: float,
    moment_y: float,
    moment_z: float,
) -> tuple[float, float, float]:
    r"""Angular acceleration of a body that is alike all round its long axis.

    .. math::
        I_a \dot p = M_x, \quad
        I_t \dot q = (I_t - I_a)\, p r + M_y, \quad
        I_t \dot r = (I_a - I_t)\, p q + M_z

    Parameters
    ----------
    p, q, r : float
        Spin about the body's x, y and z axes, [rad/s]
    inertia_along : float
        Moment of inertia about the long axis (x), [kg*m^2]
    inertia_across : float
        Moment of inertia about any axis across it, [kg*m^2]
    moment_x, moment_y, moment_z : float
        Moments about the centre of mass, body axes, [N*m]

    Returns
    -------
    dp, dq, dr : float
        Angular accelerations, [rad/s^2]

    Notes
    -----
    Range: rigid bodies with two equal moments of inertia. Jet damping and the change of inertia
    are moments that the caller adds.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 36.

    Examples
    --------
    >>> euler_rates(0.0, 0.0, 0.0, 1.0, 2.0, 3.0, 4.0, 5.0)
    (3.0, 2.0, 2.5)
    """
    coupling = (inertia_across - inertia_along) * p
    return (
        moment_x / inertia_along,
        (coupling * r + moment_y) / inertia_across,
        (moment_z - coupling * q) / inertia_across,
    )


def euler_rates_principal(
    p: float,
    q: float,
    r: float,
    ix: float,
    iy: float,
    iz: float,
    mx: float,
    my: float,
    mz: float,
) -> tuple[float, float, float]:
    r"""Angular acceleration of any rigid body about its principal axes.

    .. math::
        I_x \dot p = (I_y - I_z)\, q r + M_x \quad \text{and cyclic}

    Parameters
    ----------
    p, q, r : float
        Spin about the principal axes, [rad/s]
    ix, iy, iz : float
        Principal moments of inertia, [kg*m^2]
    mx, my, mz : float
        Moments about the centre of mass, [N*m]

    Returns
    -------
    dp, dq, dr : float
        Angular accelerations, [rad/s^2]

    Notes
    -----
    Range: rigid bodies; body axes must be the principal ones.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), eq. 36.5.

    Examples
    --------
    >>> euler_rates_principal(0.0, 1.0, 1.0, 1.0, 3.0, 2.0, 0.0, 0.0, 0.0)
    (1.0, 0.0, 0.0)
    """
    return (
        ((iy - iz) * q * r + mx) / ix,
        ((iz - ix) * r * p + my) / iy,
        ((ix - iy) * p * q + mz) / iz,
    )


def tensor_rates(
    p: float,
    q: float,
    r: float,
    ixx: float,
    iyy: float,
    izz: float,
    ixy: float,
    ixz: float,
    iyz: float,
    mx: float,
    my: float,
    mz: float,
) -> tuple[float, float, float]:
    r"""Angular acceleration of any rigid body about any body axes.

    .. math:: I \dot\omega = M - \omega \times I \omega

    Parameters
    ----------
    p, q, r : float
        Spin about the body's axes, [rad/s]
    ixx, iyy, izz : float
        Moments of inertia about the centre of mass, [kg*m^2]
    ixy, ixz, iyz : float
        Entries of the inertia matrix off its diagonal, :math:`I_{xy} = -\sum m\, x\, y`,
        [kg*m^2]
    mx, my, mz : float
        Moments about the centre of mass, body axes, [N*m]

    Returns
    -------
    dp, dq, dr : float
        Angular accelerations, [rad/s^2]

    Notes
    -----
    Range: rigid bodies of any shape. A change of inertia is a moment that the caller adds.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 36.

    Examples
    --------
    >>> tensor_rates(0.0, 1.0, 1.0, 1.0, 3.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    (1.0, 0.0, 0.0)
    """
    hx, hy, hz = tensor_times(ixx, iyy, izz, ixy, ixz, iyz, p, q, r)
    return tensor_solve(
        ixx, iyy, izz, ixy, ixz, iyz,
        mx - (q * hz - r * hy),
        my - (r * hx - p * hz),
        mz - (p * hy - q * hx),
    )  # fmt: skip


def quaternion_from_elevation_azimuth(
    elevation: float, azimuth: float
) -> tuple[float, float, float, float]:
    r"""Attitude of a body whose nose points in a given direction.

    .. math:: q = q_z\!\left(\tfrac{\pi}{2} - A\right) \otimes q_y(-E)

    Parameters
    ----------
    elevation : float
        Angle of the nose above the horizon, [rad]
    azimuth : float
        Direction of the nose, clockwise from true north, [rad]

    Returns
    -------
    q0, q1, q2, q3 : float
        Unit quaternion, body to ground, scalar first, [-]

    Notes
    -----
    Range: any angles. Unrolled: the body's y axis is level and points left, z points above.
    With the nose straight up, z points away from the azimuth's direction.

    References
    ----------
    J. B. Kuipers, *Quaternions and Rotation Sequences* (1999), section 7.3 (from memory).

    Examples
    --------
    Straight up from east, so that the old underside looks east:

    >>> [round(part, 4) for part in quaternion_from_elevation_azimuth(pi / 2, pi / 2)]
    [0.7071, 0.0, -0.7071, 0.0]
    """
    half_turn = 0.5 * (0.5 * pi - azimuth)
    half_tilt = -0.5 * elevation
    cz, sz = cos(half_turn), sin(half_turn)
    cy, sy = cos(half_tilt), sin(half_tilt)
    return cz * cy, -sz * sy, cz * sy, sz * cy
