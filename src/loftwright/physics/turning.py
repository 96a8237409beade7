"""Gliders that turn and roll: banked circles, spirals, and what a twisted wing does."""

from __future__ import annotations

from math import cos, sqrt, tan

__all__ = [
    "load_factor",
    "spiral_margin",
    "turn_radius",
    "turn_rate",
    "twisted_roll_rate",
]


def load_factor(bank: float) -> float:
    r"""Lift over weight in a level turn without slip.

    .. math:: n = \frac{1}{\cos\varphi}

    Parameters
    ----------
    bank : float
        Bank, [rad]

    Returns
    -------
    factor : float
        Lift over weight, [-]

    Notes
    -----
    Range: below a right angle; shallow glides.

    References
    ----------
    B. Etkin and L. D. Reid, *Dynamics of Flight*, 3rd ed. (1996) (from memory).

    Examples
    --------
    >>> round(load_factor(0.3490658504), 5)
    1.06418
    """
    return 1.0 / cos(bank)


def turn_radius(speed: float, bank: float, gravity: float) -> float:
    r"""Radius of a turn without slip.

    .. math:: R = \frac{V^2}{g \tan\varphi}

    Parameters
    ----------
    speed : float
        Speed, [m/s]
    bank : float
        Bank, [rad]
    gravity : float
        Gravity, [m/s^2]

    Returns
    -------
    radius : float
        Radius of the circle, [m]

    Notes
    -----
    Range: banks above zero; shallow glides.

    References
    ----------
    B. Etkin and L. D. Reid, *Dynamics of Flight*, 3rd ed. (1996) (from memory).

    Examples
    --------
    >>> round(turn_radius(5.0, 0.3490658504, 9.81), 4)
    7.0017
    """
    return speed * speed / (gravity * tan(bank))


def turn_rate(speed: float, bank: float, gravity: float) -> float:
    r"""How fast the heading changes in a turn without slip.

    .. math:: \omega = \frac{g \tan\varphi}{V}

    Parameters
    ----------
    speed : float
        Speed, [m/s]
    bank : float
        Bank, [rad]
    gravity : float
        Gravity, [m/s^2]

    Returns
    -------
    rate : float
        Rate of turn, [rad/s]

    Notes
    -----
    Range: shallow glides.

    References
    ----------
    B. Etkin and L. D. Reid, *Dynamics of Flight*, 3rd ed. (1996) (from memory).

    Examples
    --------
    >>> round(turn_rate(5.0, 0.3490658504, 9.81), 4)
    0.7141
    """
    return gravity * tan(bank) / speed


def twisted_roll_rate(twist: float, speed: float, span: float) -> float:
    r"""Steady roll rate of a wing with opposite twist on both sides.

    .. math:: \frac{p\, b}{2 V} = \theta

    Parameters
    ----------
    twist : float
        Twist at the tips, growing in proportion from the middle, [rad]
    speed : float
        Airspeed, [m/s]
    span : float
        Span, [m]

    Returns
    -------
    rate : float
        Roll rate, [rad/s]

    Notes
    -----
    Range: attached flow, linear twist, no dihedral and no other surfaces that damp. Every station
    then meets the air without roll force, so taper and slope do not matter.

    References
    ----------
    H. A. Pearson and R. T. Jones, NACA Report 635 (1938) (strip result, from memory).

    Examples
    --------
    >>> round(twisted_roll_rate(0.01745329252, 5.0, 0.30), 6)
    0.581776
    """
    return 2.0 * speed * twist / span


def spiral_margin(
    roll_by_slip: float, yaw_by_yawing: float, roll_by_yawing: float, yaw_by_slip: float
) -> float:
    r"""Tell whether a turn widens again by itself (above zero) or tightens into a spiral.

    .. math:: \frac{L_\beta N_r - L_r N_\beta}{\sqrt{(L_\beta N_r)^2 + (L_r N_\beta)^2}}

    Parameters
    ----------
    roll_by_slip : float
        Rolling moment for slip, negative with dihedral, any unit [1/rad]
    yaw_by_yawing : float
        Yawing moment for rate of yaw, negative when it damps, any unit [s]
    roll_by_yawing : float
        Rolling moment for rate of yaw, any unit [s]
    yaw_by_slip : float
        Yawing moment for slip, positive with a fin, any unit [1/rad]

    Returns
    -------
    margin : float
        Between minus and plus one; stable above zero, [-]

    Notes
    -----
    Range: small departures from a shallow, steady glide. Signs as Etkin has them: x forward, y
    right, z down.

    References
    ----------
    B. Etkin and L. D. Reid, *Dynamics of Flight*, 3rd ed. (1996), section 6.8 (from memory).

    Examples
    --------
    >>> spiral_margin(-3.0, -1.0, 1.0, 4.0) < 0.0 < spiral_margin(-6.0, -1.0, 1.0, 4.0)
    True
    """
    rights = roll_by_slip * yaw_by_yawing
    tightens = roll_by_yawing * yaw_by_slip
    size = sqrt(rights * rights + tightens * tightens)
    return (rights - tightens) / size if size > 0.0 else 0.0
