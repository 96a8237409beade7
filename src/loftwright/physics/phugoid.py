"""The slow swing of a glider: speed and height exchanged, incidence held."""

from __future__ import annotations

from math import pi, sqrt

__all__ = [
    "drag_free_constant",
    "glide_phugoid_damping",
    "glide_phugoid_period",
    "lanchester_period",
    "trim_speed",
]


def trim_speed(wing_loading: float, density: float, resultant: float) -> float:
    r"""Speed of a steady glide.

    .. math:: V = \sqrt{\frac{2\, m g / S}{\rho\, C_R}}, \qquad C_R^2 = C_L^2 + C_D^2

    Parameters
    ----------
    wing_loading : float
        Weight over wing area, [N/m^2]
    density : float
        Air density, [kg/m^3]
    resultant : float
        Coefficient of the whole air force, [-]

    Returns
    -------
    speed : float
        Speed along the path, [m/s]

    Notes
    -----
    Range: still air, wings level.

    References
    ----------
    R. F. Stengel, *Flight Dynamics* (2004), section 1.3.

    Examples
    --------
    >>> round(trim_speed(0.003 * 9.8 / 0.017, 1.225, sqrt(0.220526**2 + 0.04**2)), 5)
    3.54937
    """
    return sqrt(2.0 * wing_loading / (density * resultant))


def lanchester_period(speed: float, gravity: float) -> float:
    r"""Period of small swings without drag.

    .. math:: T = \sqrt2\, \pi\, \frac{V}{g}

    Parameters
    ----------
    speed : float
        Trim speed, [m/s]
    gravity : float
        Gravity, [m/s^2]

    Returns
    -------
    period : float
        Time of one swing, [s]

    Notes
    -----
    Range: incidence held, swings small, drag left out.

    References
    ----------
    F. W. Lanchester, *Aerodonetics* (1908).

    Examples
    --------
    >>> round(lanchester_period(30.0, 9.80665), 4)
    13.5915
    """
    return sqrt(2.0) * pi * speed / gravity


def glide_phugoid_damping(glide_ratio: float) -> float:
    r"""Damping ratio of the swing of an unpowered glider.

    .. math:: \zeta = \frac{3}{2 \sqrt2}\, \sin|\gamma_0| = \frac{3}{2\sqrt{2\,(1 + E^2)}}

    Parameters
    ----------
    glide_ratio : float
        Lift over drag, E, [-]

    Returns
    -------
    damping : float
        Share of critical damping, [-]

    Notes
    -----
    Range: incidence held, swings small, any glide ratio; above one the swing does not oscillate.
    With thrust that holds the speed it would be ``1 / (sqrt(2) E)``: a glider is damped half as
    much again, because its weight's share along the path swings with it.

    References
    ----------
    Linearised from the two equations of R. F. Stengel, *Flight Dynamics* (2004), section 1.3; see
    *Gliders* in the docs for the derivation.

    Examples
    --------
    >>> round(glide_phugoid_damping(5.0), 4)
    0.208
    """
    return 1.5 / sqrt(2.0 * (1.0 + glide_ratio * glide_ratio))


def glide_phugoid_period(speed: float, glide_ratio: float, gravity: float) -> float:
    r"""Period of the swing of an unpowered glider, drag included.

    .. math:: T = \frac{\sqrt2\, \pi\, V / g}{\sqrt{1 - \zeta^2}}

    Parameters
    ----------
    speed : float
        Trim speed along the path, [m/s]
    glide_ratio : float
        Lift over drag, [-]
    gravity : float
        Gravity, [m/s^2]

    Returns
    -------
    period : float
        Time of one swing; infinite when it does not oscillate, [s]

    Notes
    -----
    Range: as `glide_phugoid_damping`. The undamped frequency is Lanchester's whatever the drag.

    References
    ----------
    As `glide_phugoid_damping`.

    Examples
    --------
    >>> round(glide_phugoid_period(4.9, 5.0, 9.8), 4)
    2.2711
    """
    damping = glide_phugoid_damping(glide_ratio)
    left = 1.0 - damping * damping
    return lanchester_period(speed, gravity) / sqrt(left) if left > 0.0 else float("inf")


def drag_free_constant(depth: float, trim_depth: float, path_cosine: float) -> float:
    r"""What keeps its value along a swing without drag.

    .. math:: C = \sqrt{H} \left(\cos\gamma - \frac{H}{3 H_n}\right)

    Parameters
    ----------
    depth : float
        How far the glider is below the level at which its speed would be zero, H, [m]
    trim_depth : float
        The same at trim speed, V^2 / (2 g), [m]
    path_cosine : float
        Cosine of the path's slope, [-]

    Returns
    -------
    constant : float
        The same all along the path, [m^0.5]

    Notes
    -----
    Range: incidence held, no drag.

    References
    ----------
    F. W. Lanchester, *Aerodonetics* (1908), appendix V.

    Examples
    --------
    >>> round(drag_free_constant(2.0, 1.0, 1.0), 6)
    0.471405
    """
    return sqrt(depth) * (path_cosine - depth / (3.0 * trim_depth))
