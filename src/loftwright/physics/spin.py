"""Spinning and swinging bodies in closed form."""

from __future__ import annotations

from math import cos, sqrt

__all__ = [
    "body_nutation_rate",
    "free_precession_rate",
    "top_precession_rates",
    "weathercock_rate",
]


def free_precession_rate(
    inertia_along: float, inertia_across: float, spin: float, cone_angle: float
) -> float:
    r"""Rate at which the axis of a free symmetric body goes round its angular momentum.

    .. math:: \Omega = \frac{I_a\, p}{I_t \cos\theta}

    Parameters
    ----------
    inertia_along : float
        Moment of inertia about the axis, [kg*m^2]
    inertia_across : float
        Moment of inertia across it, [kg*m^2]
    spin : float
        Spin about the axis, [rad/s]
    cone_angle : float
        Angle between axis and angular momentum, [rad]

    Returns
    -------
    rate : float
        Precession, [rad/s]

    Notes
    -----
    Range: no moments.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 33.

    Examples
    --------
    >>> round(free_precession_rate(0.0008, 0.0125, 20.0, 0.0872664626), 6)
    1.284889
    """
    return inertia_along * spin / (inertia_across * cos(cone_angle))


def body_nutation_rate(inertia_along: float, inertia_across: float, spin: float) -> float:
    r"""Rate at which the spin axis of a free symmetric body goes round in the body.

    .. math:: \omega = \frac{I_a - I_t}{I_t}\, p

    Parameters
    ----------
    inertia_along : float
        Moment of inertia about the axis, [kg*m^2]
    inertia_across : float
        Moment of inertia across it, [kg*m^2]
    spin : float
        Spin about the axis, [rad/s]

    Returns
    -------
    rate : float
        Rate in body axes, negative for slender bodies, [rad/s]

    Notes
    -----
    Range: no moments.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 36, problem 1.

    Examples
    --------
    >>> round(body_nutation_rate(0.0008, 0.0125, 20.0), 9)
    -18.72
    """
    return (inertia_along - inertia_across) / inertia_across * spin


def top_precession_rates(
    inertia_along: float, inertia_across: float, torque: float, spin: float, tilt: float
) -> tuple[float, float]:
    r"""Both rates at which a heavy symmetric top precesses steadily.

    .. math:: I_1 \cos\theta\, \Omega^2 - I_3\, \omega_3\, \Omega + m g l = 0

    Parameters
    ----------
    inertia_along : float
        Moment of inertia about the axis, [kg*m^2]
    inertia_across : float
        Moment of inertia across it, about the point of support, [kg*m^2]
    torque : float
        Weight times distance of the centre of mass from the support, [N*m]
    spin : float
        Spin about the axis, [rad/s]
    tilt : float
        Angle of the axis from the vertical, [rad]

    Returns
    -------
    slow, fast : float
        The two rates, [rad/s]

    Raises
    ------
    ValueError
        If the spin is too low for any steady precession, or the axis is level.

    Notes
    -----
    Range: steady precession; torque / (I_3 w_3) is the usual approximation of the slow one.

    References
    ----------
    H. Goldstein, *Classical Mechanics*, 2nd ed. (1980), section 5-7 (from memory).

    Examples
    --------
    >>> slow, fast = top_precession_rates(5e-4, 4e-4, 0.2 * 9.80665 * 0.05, 300.0, 0.5235987756)
    >>> round(slow, 6), round(fast, 5)
    (0.654767, 432.35794)
    """
    momentum = inertia_along * spin
    stiffness = inertia_across * cos(tilt)
    rest = momentum * momentum - 4.0 * stiffness * torque
    if rest < 0 or abs(cos(tilt)) < 1e-12:
        raise ValueError("no steady precession at this spin and tilt")
    fast = (momentum + sqrt(rest)) / (2.0 * stiffness)
    return torque / (stiffness * fast), fast


def weathercock_rate(
    dynamic_pressure: float,
    reference_area: float,
    slope: float,
    static_margin: float,
    inertia_across: float,
) -> float:
    r"""Angular frequency at which a stable body swings about the wind.

    .. math:: \omega = \sqrt{\frac{q\, A\, C_{N\alpha}\, \Delta x}{I_t}}

    Parameters
    ----------
    dynamic_pressure : float
        Dynamic pressure, [Pa]
    reference_area : float
        Reference area, [m^2]
    slope : float
        Normal-force slope, [1/rad]
    static_margin : float
        Aerodynamic centre aft of the balance point, [m]
    inertia_across : float
        Moment of inertia across the axis, [kg*m^2]

    Returns
    -------
    frequency : float
        Angular frequency, [rad/s]

    Raises
    ------
    ValueError
        If the body is not stable.

    Notes
    -----
    Range: small angles, no damping, constant speed.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838; harmonic oscillator.

    Examples
    --------
    >>> round(weathercock_rate(980.0, 0.0091608842, 10.0, 0.20, 0.0125), 4)
    37.9002
    """
    stiffness = dynamic_pressure * reference_area * slope * static_margin
    if stiffness < 0:
        raise ValueError("the aerodynamic centre is ahead of the balance point: not stable")
    return sqrt(stiffness / inertia_across)
