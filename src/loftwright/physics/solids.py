"""Balance and inertia of simple even solids: a block, and a thin arc around an axis."""

from __future__ import annotations

from math import cos, sin

__all__ = ["arc_balance", "arc_spread", "block_inertia"]

SMALLEST_ANGLE = 1e-4  # rad; below it the first terms of the series are exact to rounding


def block_inertia(mass: float, side: float, other: float) -> float:
    r"""Moment of inertia of an even block about an axis through its middle.

    .. math:: I = \frac{m}{12} (a^2 + b^2)

    Parameters
    ----------
    mass : float
        Mass, [kg]
    side : float
        One of the two sides at right angles to the axis, [m]
    other : float
        The other one, [m]

    Returns
    -------
    inertia : float
        Moment of inertia, [kg*m^2]

    Notes
    -----
    Range: even blocks; arrays may stand where floats do.

    References
    ----------
    Any table of moments of inertia.

    Examples
    --------
    >>> block_inertia(12.0, 3.0, 4.0)
    25.0
    """
    return mass * (side * side + other * other) / 12.0


def arc_balance(half_angle: float) -> float:
    r"""Balance point of a thin even arc, from its centre, over its radius.

    .. math:: \frac{\sin\beta}{\beta}

    Parameters
    ----------
    half_angle : float
        Half of the angle that the arc goes around, [rad]

    Returns
    -------
    share : float
        Balance point from the centre, over the radius, [-]

    Notes
    -----
    Range: 0 to pi, a full turn, which balances on the axis.

    References
    ----------
    Any table of centroids.

    Examples
    --------
    >>> round(arc_balance(1.5707963), 4)
    0.6366
    """
    beta = max(half_angle, SMALLEST_ANGLE)
    return sin(beta) / beta


def arc_spread(half_angle: float) -> float:
    r"""Mean square of an arc's points along its line of symmetry, over the radius squared.

    .. math:: \frac12 + \frac{\sin 2\beta}{4 \beta}

    Parameters
    ----------
    half_angle : float
        Half of the angle that the arc goes around, [rad]

    Returns
    -------
    share : float
        Mean square of the distance from the centre along the line, over radius squared; what
        it lacks of one is that across the line, [-]

    Notes
    -----
    Range: 0 to pi.

    References
    ----------
    Any table of second moments; integral of the cosine squared.

    Examples
    --------
    >>> round(arc_spread(3.1415927), 4)
    0.5
    """
    beta = max(half_angle, SMALLEST_ANGLE)
    return 0.5 + sin(beta) * cos(beta) / (2.0 * beta)
