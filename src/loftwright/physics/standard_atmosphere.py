"""The standard atmosphere below 11 km, and the density of moist air."""

from __future__ import annotations

from loftwright.physics.atmosphere import (
    R_AIR,
    air_density_at,
    air_pressure_at,
    air_temperature_at,
)
from loftwright.physics.gas import saturation_vapour_pressure

__all__ = [
    "STANDARD_DENSITY",
    "STANDARD_PRESSURE",
    "STANDARD_TEMPERATURE",
    "geopotential_height",
    "moist_air_density",
    "standard_density",
    "standard_pressure",
    "standard_temperature",
]

STANDARD_TEMPERATURE = 288.15  # K
STANDARD_PRESSURE = 101325.0  # Pa
STANDARD_DENSITY = STANDARD_PRESSURE / (R_AIR * STANDARD_TEMPERATURE)
EARTH_RADIUS = 6_356_766.0  # m, the standard's, for turning height into geopotential height
TROPOPAUSE = 11_000.0  # m
LOWEST = -5_000.0  # m
VAPOUR_DEFICIT = 0.378  # 1 - molar mass of water over that of dry air


def _checked(height: float) -> float:
    if not LOWEST <= height <= TROPOPAUSE:
        raise ValueError(f"geopotential height {height} m is not between -5000 m and 11000 m")
    return height


def standard_temperature(height: float) -> float:
    r"""Temperature of the standard atmosphere.

    .. math:: T = 288.15 - 0.0065\, H

    Parameters
    ----------
    height : float
        Geopotential height above sea level, [m]

    Returns
    -------
    temperature : float
        Temperature, [K]

    Raises
    ------
    ValueError
        Outside the lowest layer.

    Notes
    -----
    Range: -5 km to 11 km.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335; ISO 2533:1975.

    Examples
    --------
    >>> round(standard_temperature(11000.0), 2)
    216.65
    """
    return air_temperature_at(_checked(height), STANDARD_TEMPERATURE)


def standard_pressure(height: float) -> float:
    r"""Pressure of the standard atmosphere; also the guess for a pad of known elevation.

    .. math:: p = 101325 \left(1 - \frac{0.0065\, H}{288.15}\right)^{5.25588}

    Parameters
    ----------
    height : float
        Geopotential height above sea level, [m]

    Returns
    -------
    pressure : float
        Absolute pressure, [Pa]

    Raises
    ------
    ValueError
        Outside the lowest layer.

    Notes
    -----
    Range: -5 km to 11 km. The weather moves the pressure at a place by some 3 % either way.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335; ISO 2533:1975.

    Examples
    --------
    >>> round(standard_pressure(2000.0), 2)
    79495.22
    """
    return air_pressure_at(_checked(height), STANDARD_PRESSURE, STANDARD_TEMPERATURE)


def standard_density(height: float) -> float:
    r"""Density of the standard atmosphere.

    .. math:: \rho = \frac{p}{R T}

    Parameters
    ----------
    height : float
        Geopotential height above sea level, [m]

    Returns
    -------
    density : float
        Density, [kg/m^3]

    Raises
    ------
    ValueError
        Outside the lowest layer.

    Notes
    -----
    Range: -5 km to 11 km, dry air.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335; ISO 2533:1975.

    Examples
    --------
    >>> round(standard_density(2000.0), 5)
    1.00649
    """
    return air_density_at(_checked(height), STANDARD_DENSITY, STANDARD_TEMPERATURE)


def geopotential_height(height: float) -> float:
    r"""Height in a field of constant gravity that takes the same energy to reach.

    .. math:: H = \frac{r_0 Z}{r_0 + Z}

    Parameters
    ----------
    height : float
        Geometric height above sea level, [m]

    Returns
    -------
    geopotential : float
        Geopotential height, [m]

    Notes
    -----
    Range: any height; r_0 = 6356766 m is the standard's own.

    References
    ----------
    NOAA, NASA, USAF, *U.S. Standard Atmosphere, 1976*, NASA TM-X-74335, eq. 18.

    Examples
    --------
    >>> round(geopotential_height(5000.0), 3)
    4996.07
    """
    return EARTH_RADIUS * height / (EARTH_RADIUS + height)


def moist_air_density(pressure: float, temperature: float, relative_humidity: float) -> float:
    r"""Density of moist air.

    .. math:: \rho = \frac{p - 0.378\, e}{R T}, \qquad e = \varphi\, p_s(T)

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]
    temperature : float
        Temperature, [K]
    relative_humidity : float
        Relative humidity, 0 to 1, [-]

    Returns
    -------
    density : float
        Density, [kg/m^3]

    Raises
    ------
    ValueError
        If pressure or temperature is not above zero, or the humidity is not between 0 and 1.

    Notes
    -----
    Range: weather; within 0.1 % of the CIPM formula of metrology.

    References
    ----------
    J. M. Wallace and P. V. Hobbs, *Atmospheric Science*, 2nd ed. (2006), eq. 3.16 (virtual
    temperature; from memory).

    Examples
    --------
    >>> round(moist_air_density(101325.0, 288.15, 0.0), 4)
    1.225
    """
    if pressure <= 0 or temperature <= 0 or not 0 <= relative_humidity <= 1:
        raise ValueError("pressure and temperature must be above zero, humidity between 0 and 1")
    vapour = relative_humidity * saturation_vapour_pressure(temperature)
    return (pressure - VAPOUR_DEFICIT * vapour) / (R_AIR * temperature)
