"""Lines of sight: from angles to directions and back, and where two of them pass each other."""

from __future__ import annotations

from math import atan2, cos, hypot, sin, sqrt

__all__ = ["bearing_and_elevation", "between_lines", "sight_direction"]

PARALLEL = 1e-12  # square of the sine of the angle between two lines that never come nearer


def sight_direction(bearing: float, elevation: float) -> tuple[float, float, float]:
    r"""Direction that a bearing and an elevation point in.

    .. math:: (\sin\beta\cos\epsilon,\; \cos\beta\cos\epsilon,\; \sin\epsilon)

    Parameters
    ----------
    bearing : float
        Clockwise from true north, [rad]
    elevation : float
        Above the horizon, [rad]

    Returns
    -------
    east : float
        Share of a step that goes east, [-]
    north : float
        Share that goes north, [-]
    up : float
        Share that goes up, [-]

    Notes
    -----
    Range: all. Over a flying field light is straight and the earth flat: at 1 km the curvature is
    0.08 m, and refraction less.

    References
    ----------
    J. Uren and W. F. Price, *Surveying for Engineers*, 5th ed. (2010), on polar and rectangular
    coordinates (from memory).

    Examples
    --------
    >>> [round(each, 6) for each in sight_direction(0.0, 0.0)]
    [0.0, 1.0, 0.0]
    """
    level = cos(elevation)
    return sin(bearing) * level, cos(bearing) * level, sin(elevation)


def bearing_and_elevation(
    station: tuple[float, float, float], target: tuple[float, float, float]
) -> tuple[float, float]:
    r"""Angles under which a place is seen from another.

    .. math:: \beta = \operatorname{atan2}(\Delta e, \Delta n), \qquad
              \epsilon = \operatorname{atan2}(\Delta u, \sqrt{\Delta e^2 + \Delta n^2})

    Parameters
    ----------
    station : tuple of float
        East, north and up of the eye, [m]
    target : tuple of float
        East, north and up of what is seen, [m]

    Returns
    -------
    bearing : float
        Clockwise from true north, from -pi to pi, [rad]
    elevation : float
        Above the horizon, [rad]

    Notes
    -----
    Range: as `sight_direction`. Right overhead the bearing is 0, and means nothing.

    References
    ----------
    As for `sight_direction`.

    Examples
    --------
    >>> bearing_and_elevation((0.0, 0.0, 0.0), (0.0, 100.0, 0.0))
    (0.0, 0.0)
    """
    east, north, up = (b - a for a, b in zip(station, target, strict=True))
    return atan2(east, north), atan2(up, hypot(east, north))


def between_lines(
    one: tuple[float, float, float],
    along: tuple[float, float, float],
    other: tuple[float, float, float],
    beside: tuple[float, float, float],
) -> tuple[float, float, float, float, float, float]:
    r"""Middle of the shortest way from one line of sight to another, and its length.

    With :math:`\mathbf{w} = \mathbf{b} - \mathbf{a}` and unit directions
    :math:`\mathbf{u}, \mathbf{v}`,

    .. math:: t = \frac{\mathbf{w}\cdot\mathbf{u} - (\mathbf{u}\cdot\mathbf{v})
                  (\mathbf{w}\cdot\mathbf{v})}{1 - (\mathbf{u}\cdot\mathbf{v})^2}, \quad
              s = \frac{(\mathbf{u}\cdot\mathbf{v})(\mathbf{w}\cdot\mathbf{u})
                  - \mathbf{w}\cdot\mathbf{v}}{1 - (\mathbf{u}\cdot\mathbf{v})^2}, \quad
              \mathbf{m} = \tfrac12(\mathbf{a} + t\mathbf{u} + \mathbf{b} + s\mathbf{v})

    Parameters
    ----------
    one : tuple of float
        East, north and up of the first station, [m]
    along : tuple of float
        Unit direction from it, [-]
    other : tuple of float
        The second station, [m]
    beside : tuple of float
        Unit direction from that, [-]

    Returns
    -------
    east : float
        Of the middle, [m]
    north : float
        Of the middle, [m]
    up : float
        Of the middle, [m]
    miss : float
        By how much the lines pass each other, [m]
    first : float
        How far the middle is along the first line; behind the station where negative, [m]
    second : float
        The same along the second line, [m]

    Raises
    ------
    ValueError
        If the lines are parallel: they are then equally near everywhere.

    Notes
    -----
    Range: lines that cross at more than a few degrees. The middle takes both stations as equally
    sure; it is where a fit begins, and the miss is what shows a slip.

    References
    ----------
    P. J. Schneider and D. H. Eberly, *Geometric Tools for Computer Graphics* (2003), section
    10.8.1 (from memory).

    Examples
    --------
    >>> between_lines((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (10.0, 5.0, 2.0), (-1.0, 0.0, 0.0))
    (0.0, 5.0, 1.0, 2.0, 5.0, 10.0)
    """
    apart = tuple(b - a for a, b in zip(one, other, strict=True))
    cosine = _dot(along, beside)
    left = 1.0 - cosine * cosine
    if left < PARALLEL:
        raise ValueError("the lines are parallel")
    to_one, to_other = _dot(apart, along), _dot(apart, beside)
    first = (to_one - cosine * to_other) / left
    second = (cosine * to_one - to_other) / left
    here = tuple(a + first * u for a, u in zip(one, along, strict=True))
    there = tuple(b + second * v for b, v in zip(other, beside, strict=True))
    middle = tuple(0.5 * (a + b) for a, b in zip(here, there, strict=True))
    gap = tuple(b - a for a, b in zip(here, there, strict=True))
    return middle[0], middle[1], middle[2], sqrt(_dot(gap, gap)), first, second


def _dot(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
