"""Coming down without flying: how fast, by what the air has to hold on to."""

from __future__ import annotations

from math import sqrt

__all__ = [
    "descent_rate",
    "drag_area_of_rate",
    "glide_speed",
    "rotor_drag_coefficient",
    "tumbling_drag_area",
]


def descent_rate(loading: float, density: float, drag_coefficient: float) -> float:
    r"""Speed of steady descent from weight over area.

    .. math:: v = \sqrt{\frac{2 w}{\rho\, C_D}}, \qquad w = \frac{m g}{S}

    Parameters
    ----------
    loading : float
        Weight over the area that the coefficient refers to: canopy, wing or rotor disc, [N/m^2]
    density : float
        Air density, [kg/m^3]
    drag_coefficient : float
        Drag coefficient on that area, [-]

    Returns
    -------
    rate : float
        Speed of descent, [m/s]

    Raises
    ------
    ValueError
        If density or drag coefficient is not above zero, or the loading below zero.

    Notes
    -----
    Range: steady descent with a coefficient that does not change with speed. More than 200
    samaras of seven species fell as the square root of their loading.

    References
    ----------
    D. S. Green, Am. J. Bot. 67 (1980) 1218, the square root; balance of weight and drag.

    Examples
    --------
    >>> round(descent_rate(12.0, 1.225, 0.75), 4)
    5.111
    """
    if density <= 0 or drag_coefficient <= 0 or loading < 0:
        raise ValueError("density and drag coefficient must be above zero, the loading not below")
    return sqrt(2.0 * loading / (density * drag_coefficient))


def drag_area_of_rate(weight: float, rate: float, density: float) -> float:
    r"""Drag area of something whose steady descent was measured.

    .. math:: C_D S = \frac{2 m g}{\rho v^2}

    Parameters
    ----------
    weight : float
        Weight, [N]
    rate : float
        Measured speed of descent, [m/s]
    density : float
        Density of the air that it was measured in, [kg/m^3]

    Returns
    -------
    area : float
        Drag coefficient times area, [m^2]

    Notes
    -----
    Range: steady descent; a drop from a balcony is not steady yet.

    References
    ----------
    Balance of weight and drag.

    Examples
    --------
    >>> round(drag_area_of_rate(3.43, 5.14, 1.225), 4)
    0.212
    """
    return 2.0 * weight / (density * rate**2)


def rotor_drag_coefficient(descent_ratio: float) -> float:
    r"""Drag coefficient, on its disc, of a rotor that turns freely as it comes straight down.

    .. math:: C_D = \frac{4}{(v / v_h)^2}, \qquad v_h = \sqrt{\frac{T}{2 \rho A}}

    Parameters
    ----------
    descent_ratio : float
        Speed of descent over the speed that momentum theory gives to the air through the disc of
        a hovering rotor with the same thrust, [-]

    Returns
    -------
    coefficient : float
        Thrust over dynamic pressure and disc, [-]

    Raises
    ------
    ValueError
        If the ratio is not above zero.

    Notes
    -----
    Range: momentum theory itself ends at a ratio of 2, where the coefficient is 1; below that the
    wake closes up and rotors are measured instead. Good ones autorotate at 1.8 to 1.9, that is at
    1.1 to 1.2. A single-winged seed, much of it blade root, does less well.

    References
    ----------
    H. Glauert, ARC R. and M. 1026 (1926), the windmill brake state; J. G. Leishman, Principles of
    Helicopter Aerodynamics, 2nd ed. (2006), section 2.13.6, autorotation (both from memory).

    Examples
    --------
    >>> rotor_drag_coefficient(2.0)
    1.0
    """
    if descent_ratio <= 0:
        raise ValueError("the ratio must be above zero")
    return 4.0 / descent_ratio**2


def tumbling_drag_area(surface: float, drag_coefficient: float) -> float:
    r"""Drag area of a body without hollows that tumbles through all attitudes alike.

    .. math:: C_D S = C_D \frac{S_{wet}}{4}

    Parameters
    ----------
    surface : float
        Whole outer surface, both faces of a plate, [m^2]
    drag_coefficient : float
        Mean drag coefficient on the area that meets the air, [-]

    Returns
    -------
    area : float
        Drag coefficient times mean area, [m^2]

    Notes
    -----
    Range: convex bodies in all attitudes alike. The coefficient lies between that of a sphere
    above 1e3 in Reynolds number, 0.4 to 0.5, and of a plate square to the flow, 1.2: about 1.05
    for a cube on its face and 0.8 on its edge. A long strip turns about its length and slides
    sideways meanwhile.

    References
    ----------
    A. Cauchy (1841): the mean shadow of a convex body is a quarter of its surface;
    coefficients after S. F. Hoerner, Fluid-Dynamic Drag (1965), ch. 3 (from memory).

    Examples
    --------
    A cube of 0.1 m:

    >>> round(tumbling_drag_area(0.06, 0.9), 6)
    0.0135
    """
    return 0.25 * drag_coefficient * surface


def glide_speed(sink: float, glide_ratio: float) -> float:
    r"""Speed along the path of a steady glide from how fast it sinks.

    .. math:: V = v \sqrt{1 + (L/D)^2}

    Parameters
    ----------
    sink : float
        Rate of descent, [m/s]
    glide_ratio : float
        Lift over drag, which is distance over height lost, [-]

    Returns
    -------
    speed : float
        Airspeed, [m/s]

    Notes
    -----
    Range: steady glides in still air.

    References
    ----------
    Geometry of the path; used with A. Azuma and Y. Okuno, J. theor. Biol. 129 (1987) 263.

    Examples
    --------
    >>> round(glide_speed(0.3, 3.5), 2)
    1.09
    """
    return sink * sqrt(1.0 + glide_ratio**2)
