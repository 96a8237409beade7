"""A parachute: how it fills, what it does to what hangs on it, how fast it lets it fall."""

from __future__ import annotations

from math import pi, sqrt

__all__ = [
    "ballistic_parameter",
    "canopy_drag_area",
    "filled_fraction",
    "filling_time",
    "opening_factor_linear",
    "opening_factor_quadratic",
]


def filled_fraction(time_since_opening: float, filling_time: float) -> float:
    r"""Share of the canopy's drag area that stands while it fills.

    .. math:: \frac{C_D S(t)}{C_D S} = \min\!\left(1, \left(\frac{t}{t_f}\right)^2\right)

    Parameters
    ----------
    time_since_opening : float
        Time since line stretch, nothing stands before it, [s]
    filling_time : float
        Time until the canopy is full, [s]

    Returns
    -------
    fraction : float
        Drag area over full drag area, 0 to 1, [-]

    Notes
    -----
    Range: solid cloth canopies, whose area grows about quadratically; slotted ones grow more
    nearly linearly. A filling time of zero opens at once.

    References
    ----------
    T. W. Knacke, *Parachute Recovery Systems Design Manual*, NWC TP 6575 (1991), ch. 5
    (from memory).

    Examples
    --------
    >>> filled_fraction(0.1, 0.2)
    0.25
    """
    share = min(max(time_since_opening / max(filling_time, 1e-9), 0.0), 1.0)
    return share * share


def filling_time(filling_constant: float, diameter: float, speed: float) -> float:
    r"""Time that a canopy takes to fill.

    .. math:: t_f = \frac{n D_0}{v}

    Parameters
    ----------
    filling_constant : float
        8 for flat circular canopies, 10 to 12 for slow ones, [-]
    diameter : float
        Laid-flat diameter, [m]
    speed : float
        Airspeed at line stretch, [m/s]

    Returns
    -------
    time : float
        Filling time, [s]

    Raises
    ------
    ValueError
        If the speed is not above zero.

    Notes
    -----
    Range: canopies of a metre and more at tens of m/s; small ones scatter by half.

    References
    ----------
    T. W. Knacke, *Parachute Recovery Systems Design Manual*, NWC TP 6575 (1991), ch. 5
    (from memory).

    Examples
    --------
    >>> filling_time(8.0, 0.6, 15.0)
    0.32
    """
    if speed <= 0:
        raise ValueError("the speed must be above zero")
    return filling_constant * diameter / speed


def canopy_drag_area(diameter: float, drag_coefficient: float) -> float:
    r"""Drag area of a canopy from its laid-flat diameter.

    .. math:: C_D S = C_{D0}\, \tfrac\pi4 D_0^2

    Parameters
    ----------
    diameter : float
        Laid-flat diameter, [m]
    drag_coefficient : float
        Drag coefficient on the laid-flat area, [-]

    Returns
    -------
    area : float
        Drag coefficient times area, [m^2]

    Notes
    -----
    Range: the coefficient's own.

    References
    ----------
    T. W. Knacke, NWC TP 6575 (1991), ch. 5 (from memory).

    Examples
    --------
    >>> round(canopy_drag_area(0.60, 0.75), 6)
    0.212058
    """
    return drag_coefficient * 0.25 * pi * diameter * diameter


def ballistic_parameter(
    mass: float, density: float, drag_area: float, speed: float, time: float
) -> float:
    r"""How little a load slows while its canopy fills.

    .. math:: A = \frac{2 m}{\rho\, C_D S\, v_0\, t_f}

    Parameters
    ----------
    mass : float
        Mass of the load, [kg]
    density : float
        Density of the air, [kg/m^3]
    drag_area : float
        Drag area of the full canopy, [m^2]
    speed : float
        Airspeed at line stretch, [m/s]
    time : float
        Filling time, [s]

    Returns
    -------
    parameter : float
        Ballistic parameter, [-]

    Raises
    ------
    ValueError
        If density, area, speed or time is not above zero.

    Notes
    -----
    Range: large for a heavy load on a small canopy (which opens at full speed), small for a light
    one, which stops before the canopy is full.

    References
    ----------
    T. W. Knacke, NWC TP 6575 (1991), section 5.4, after E. Pflanz (from memory).

    Examples
    --------
    >>> round(ballistic_parameter(0.35, 1.225, 0.21205750, 15.0, 0.32), 5)
    0.56139
    """
    if density <= 0 or drag_area <= 0 or speed <= 0 or time <= 0:
        raise ValueError("density, area, speed and time must be above zero")
    return 2.0 * mass / (density * drag_area * speed * time)


def opening_factor_linear(parameter: float) -> float:
    r"""Largest drag while a canopy fills with linearly growing area.

    .. math:: X_1 = \tfrac{9}{16}\sqrt{\tfrac23 A}\ (A < 1.5), \qquad
        X_1 = \left(1 + \tfrac{1}{2A}\right)^{-2}\ \text{else}

    Parameters
    ----------
    parameter : float
        From `ballistic_parameter`, [-]

    Returns
    -------
    factor : float
        Peak drag over steady drag of the full canopy at the speed of line stretch, [-]

    Raises
    ------
    ValueError
        If the parameter is below zero.

    Notes
    -----
    Range: gravity and the surge of the trapped air left out; multiply by the opening factor at
    constant speed, and expect half either way on small canopies.

    References
    ----------
    T. W. Knacke, NWC TP 6575 (1991), section 5.4, after E. Pflanz (from memory); maximum of
    F = t/t_f (v/v_0)^2 (computed).

    Examples
    --------
    >>> round(opening_factor_linear(1.0), 5)
    0.45928
    """
    if parameter < 0:
        raise ValueError("the parameter must not be below zero")
    if parameter < 1.5:
        return 9.0 / 16.0 * sqrt(2.0 * parameter / 3.0)
    slowing = 1.0 + 0.5 / parameter
    return 1.0 / (slowing * slowing)


def opening_factor_quadratic(parameter: float) -> float:
    r"""Largest drag while a canopy fills with quadratically growing area.

    .. math:: X_1 = \tfrac49 \left(\tfrac32 A\right)^{2/3}\ (A < \tfrac23), \qquad
        X_1 = \left(1 + \tfrac{1}{3A}\right)^{-2}\ \text{else}

    Parameters
    ----------
    parameter : float
        From `ballistic_parameter`, [-]

    Returns
    -------
    factor : float
        Peak drag over steady drag of the full canopy at the speed of line stretch, [-]

    Raises
    ------
    ValueError
        If the parameter is below zero.

    Notes
    -----
    Range: as for `opening_factor_linear`.

    References
    ----------
    T. W. Knacke, NWC TP 6575 (1991), section 5.4, after E. Pflanz (from memory); maximum of
    F = (t/t_f)^2 (v/v_0)^2 (computed).

    Examples
    --------
    >>> round(opening_factor_quadratic(1.0), 5)
    0.5625
    """
    if parameter < 0:
        raise ValueError("the parameter must not be below zero")
    if parameter < 2.0 / 3.0:
        reach: float = (1.5 * parameter) ** (2.0 / 3.0)
        return 4.0 / 9.0 * reach
    slowing = 1.0 + 1.0 / (3.0 * parameter)
    return 1.0 / (slowing * slowing)
