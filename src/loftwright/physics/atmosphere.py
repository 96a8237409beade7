"""Still air: how temperature, pressure and density fall with height, and what follows from them.

The hot laws start from the air measured at the pad and go up with the standard lapse rate; the
standard atmosphere itself, for sites where nothing was measured, is below them.
"""

from __future__ import annotations

from math import exp, log, sqrt

__all__ = [
    "GAMMA_AIR",
    "GRAVITY",
    "LAPSE_RATE",
    "PRESSURE_EXPONENT",
    "R_AIR",
    "air_density_at",
    "air_pressure_at",
    "air_temperature_at",
    "dynamic_viscosity",
    "speed_of_sound",
]

GRAVITY = 9.80665  # m/s2, standard acceleration of free fall
R_AIR = 8.31432 / 0.0289644  # J/(kg K), dry air, as the 1976 standard rounds its constants
GAMMA_AIR = 1.4
LAPSE_RATE = 0.0065  # K/m
PRESSURE_EXPONENT = GRAVITY / (R_AIR * LAPSE_RATE)
DENSITY_EXPONENT = PRESSURE_EXPONENT - 1.0


def air_temperature_at(height: float, ground_temperature: float) -> float:
    r"""Temperature of the air above the pad, with the standard lapse rate.

    .. math:: T = T_g - L h, \qquad L = 6.5\ \mathrm{K/km}

    Parameters
    ----------
    height : float
        Height above the pad, [m]
    ground_temperature : float
        Temperature at the pad, [K]

    Returns
    -------
    temperature : float
        Temperature at that height, [K]

    Notes
    -----
    Range: up to 11 km above sea level; the lapse on a given day differs, most of all in the
    lowest hundred metres.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335, eq. 23.

    Examples
    --------
    >>> air_temperature_at(1000.0, 288.15)
    281.65
    """
    return ground_temperature - LAPSE_RATE * height


def air_pressure_at(height: float, ground_pressure: float, ground_temperature: float) -> float:
    r"""Pressure of the air above the pad, hydrostatic with the standard lapse rate.

    .. math:: p = p_g \left(1 - \frac{L h}{T_g}\right)^{g/(R L)}

    Parameters
    ----------
    height : float
        Height above the pad, [m]
    ground_pressure : float
        Absolute pressure at the pad, [Pa]
    ground_temperature : float
        Temperature at the pad, [K]

    Returns
    -------
    pressure : float
        Absolute pressure at that height, [Pa]

    Notes
    -----
    Range: up to 11 km above sea level. Geometric and geopotential height are taken as equal,
    which costs 2 Pa at 1 km.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335, eq. 33a.

    Examples
    --------
    >>> round(air_pressure_at(1000.0, 101325.0, 288.15), 2)
    89874.57
    """
    return ground_pressure * exp(
        PRESSURE_EXPONENT * log(1.0 - LAPSE_RATE * height / ground_temperature)
    )


def air_density_at(height: float, ground_density: float, ground_temperature: float) -> float:
    r"""Density of the air above the pad, hydrostatic with the standard lapse rate.

    .. math:: \rho = \rho_g \left(1 - \frac{L h}{T_g}\right)^{g/(R L) - 1}

    Parameters
    ----------
    height : float
        Height above the pad, [m]
    ground_density : float
        Density at the pad, moisture included, [kg/m^3]
    ground_temperature : float
        Temperature at the pad, [K]

    Returns
    -------
    density : float
        Density at that height, [kg/m^3]

    Notes
    -----
    Range: up to 11 km above sea level.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335, eqs. 33a and 42.

    Examples
    --------
    >>> round(air_density_at(1000.0, 1.225, 288.15), 5)
    1.11164
    """
    return ground_density * exp(
        DENSITY_EXPONENT * log(1.0 - LAPSE_RATE * height / ground_temperature)
    )


def dynamic_viscosity(temperature: float) -> float:
    r"""Viscosity of air after Sutherland.

    .. math:: \mu = \frac{\beta T^{3/2}}{T + S}

    Parameters
    ----------
    temperature : float
        Temperature, [K]

    Returns
    -------
    viscosity : float
        Dynamic viscosity, [Pa*s]

    Notes
    -----
    Range: 100 K to 1900 K at moderate pressures. beta = 1.458e-6 kg/(s m K^0.5), S = 110.4 K.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335, eq. 51.

    Examples
    --------
    >>> round(dynamic_viscosity(288.15) * 1e5, 5)
    1.78938
    """
    return 1.458e-6 * temperature * sqrt(temperature) / (temperature + 110.4)


def speed_of_sound(temperature: float) -> float:
    r"""Speed of sound in dry air.

    .. math:: a = \sqrt{\gamma R T}

    Parameters
    ----------
    temperature : float
        Temperature, [K]

    Returns
    -------
    speed : float
        Speed of sound, [m/s]

    Notes
    -----
    Range: air as a perfect gas; moisture adds up to 0.6 %.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335, eq. 50.

    Examples
    --------
    >>> round(speed_of_sound(288.15), 3)
    340.294
    """
    return sqrt(GAMMA_AIR * R_AIR * temperature)
