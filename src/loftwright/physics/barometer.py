"""What a barometer's pascals are in metres: sensitivity, steps, and where its ports sit."""

from __future__ import annotations

from math import sqrt

from loftwright.physics.atmosphere import GRAVITY

__all__ = ["height_per_pascal", "port_excess", "port_height_error", "step_noise"]


def height_per_pascal(density: float) -> float:
    r"""Height that one pascal stands for.

    .. math:: \left|\frac{dh}{dp}\right| = \frac{1}{\rho g}

    Parameters
    ----------
    density : float
        Density of the air, [kg/m^3]

    Returns
    -------
    height : float
        Metres for each pascal, [m/Pa]

    Notes
    -----
    Range: differences of height of some hundred metres, beyond which the density changes.

    References
    ----------
    Hydrostatic balance.

    Examples
    --------
    >>> round(height_per_pascal(1.225), 6)
    0.083242
    """
    return 1.0 / (density * GRAVITY)


def step_noise(step: float) -> float:
    r"""Noise that reading in steps adds to what moves over many of them.

    .. math:: \sigma = q / \sqrt{12}

    Parameters
    ----------
    step : float
        Distance of neighbouring values, [Pa]

    Returns
    -------
    noise : float
        Standard deviation, [Pa]

    Notes
    -----
    Range: noise or motion of a step or more; what stands still reads a constant error.

    References
    ----------
    Standard deviation of a uniform distribution.

    Examples
    --------
    >>> round(step_noise(0.08324), 5)
    0.02403
    """
    return step / sqrt(12.0)


def port_excess(coefficient: float, density: float, speed: float) -> float:
    r"""Pressure that the air around a moving body adds at a hole in its side.

    .. math:: \Delta p = C_p\,\tfrac{1}{2}\rho V^2

    Parameters
    ----------
    coefficient : float
        Pressure coefficient at the hole: 1 at a nose tip, about 0 at the middle of a long tube,
        [-]
    density : float
        Density of the air, [kg/m^3]
    speed : float
        Speed through the air, [m/s]

    Returns
    -------
    excess : float
        Pressure at the hole less that of the air far away, [Pa]

    Notes
    -----
    Range: subsonic; the coefficient changes with incidence.

    References
    ----------
    Definition of the pressure coefficient.

    Examples
    --------
    >>> port_excess(0.05, 1.225, 20.0)
    12.25
    """
    return coefficient * 0.5 * density * speed * speed


def port_height_error(coefficient: float, speed: float) -> float:
    r"""How much too low a barometer reads because of where its ports sit.

    .. math:: \Delta h = C_p\,\frac{V^2}{2 g}

    Parameters
    ----------
    coefficient : float
        Pressure coefficient at the hole, [-]
    speed : float
        Speed through the air, [m/s]

    Returns
    -------
    error : float
        Height lost; a positive coefficient reads low, [m]

    Notes
    -----
    Range: as `port_excess`.

    References
    ----------
    `port_excess` times `height_per_pascal`.

    Examples
    --------
    >>> round(port_height_error(0.05, 50.0), 3)
    6.373
    """
    return coefficient * speed * speed / (2.0 * GRAVITY)
