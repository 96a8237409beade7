"""The standard atmosphere below 11 km, heights by pressure, and the density of moist air."""

from __future__ import annotations

from math import exp, log

from loftwright.physics.atmosphere import (
    LAPSE_RATE,
    PRESSURE_EXPONENT,
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
    "layer_thickness",
    "moist_air_density",
    "pressure_altitude",
    "standard_density",
    "standard_pressure",
    "standard_temperature",
    "true_height",
    "weather_service_altitude",
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


def pressure_altitude(pressure: float, reference_pressure: float) -> float:
    r"""Height in the standard atmosphere between two pressures.

    .. math:: H = \frac{288.15}{0.0065}\left[1 - \left(\frac{p}{p_r}\right)^{0.190263}\right]

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]
    reference_pressure : float
        Absolute pressure where the height is zero: 101325 Pa, or the one at the pad, [Pa]

    Returns
    -------
    height : float
        Geopotential height, [m]

    Raises
    ------
    ValueError
        If a pressure is not above zero.

    Notes
    -----
    Range: below 11 km. With the pad's pressure it reads as most altimeters of loggers do; a warm
    day makes it read low, see `true_height`.

    References
    ----------
    ISO 2533:1975, solved for height.

    Examples
    --------
    >>> round(pressure_altitude(97520.0, 101325.0), 3)
    321.664
    """
    if pressure <= 0 or reference_pressure <= 0:
        raise ValueError("pressures must be above zero")
    share = exp(log(pressure / reference_pressure) / PRESSURE_EXPONENT)
    return STANDARD_TEMPERATURE / LAPSE_RATE * (1.0 - share)


def weather_service_altitude(pressure: float) -> float:
    r"""Pressure altitude with the rounded constants of the U.S. National Weather Service.

    .. math:: h = 0.3048 \cdot 145366.45
        \left[1 - \left(\frac{p}{101325}\right)^{0.190284}\right]

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]

    Returns
    -------
    height : float
        Pressure altitude, [m]

    Raises
    ------
    ValueError
        If the pressure is not above zero.

    Notes
    -----
    Range: below 11 km; within 0.3 m of `pressure_altitude` in the lowest 600 m.

    References
    ----------
    National Weather Service, *Pressure altitude* (formula sheet).

    Examples
    --------
    >>> round(weather_service_altitude(97520.0), 2)
    321.53
    """
    if pressure <= 0:
        raise ValueError("the pressure must be above zero")
    return 0.3048 * 145366.45 * (1.0 - exp(0.190284 * log(pressure / STANDARD_PRESSURE)))


def layer_thickness(
    lower_pressure: float, upper_pressure: float, mean_virtual_temperature: float
) -> float:
    r"""Thickness of a layer of air between two pressures.

    .. math:: \Delta z = \frac{R T_v}{g} \ln\frac{p_1}{p_2}

    Parameters
    ----------
    lower_pressure : float
        Absolute pressure at the bottom, [Pa]
    upper_pressure : float
        Absolute pressure at the top, [Pa]
    mean_virtual_temperature : float
        Mean virtual temperature of the layer, [K]

    Returns
    -------
    thickness : float
        Thickness, [m]

    Raises
    ------
    ValueError
        If a pressure is not above zero.

    Notes
    -----
    Range: any layer whose mean temperature is known.

    References
    ----------
    J. M. Wallace and P. V. Hobbs, *Atmospheric Science*, 2nd ed. (2006), eq. 3.29 (from memory).

    Examples
    --------
    >>> round(layer_thickness(1000e2, 500e2, 273.15), 2)
    5542.02
    """
    if lower_pressure <= 0 or upper_pressure <= 0:
        raise ValueError("pressures must be above zero")
    return R_AIR * mean_virtual_temperature / 9.80665 * log(lower_pressure / upper_pressure)


def true_height(
    indicated_height: float, air_temperature: float, standard_air_temperature: float
) -> float:
    r"""Height over the pad when the air is warmer or colder than an altimeter assumes.

    .. math:: h = h_i \frac{T}{T_s}

    Parameters
    ----------
    indicated_height : float
        Height over the pad by the standard atmosphere, [m]
    air_temperature : float
        Temperature at the pad, [K]
    standard_air_temperature : float
        Temperature that the altimeter assumes there, usually 288.15 K, [K]

    Returns
    -------
    height : float
        Height over the pad, [m]

    Raises
    ------
    ValueError
        If a temperature is not above zero.

    Notes
    -----
    Range: the lowest kilometre, where the lapse moves the answer by less than 1 %.

    References
    ----------
    The hypsometric equation, `layer_thickness`, as a ratio.

    Examples
    --------
    >>> round(true_height(100.0, 303.15, 288.15), 3)
    105.206
    """
    if air_temperature <= 0 or standard_air_temperature <= 0:
        raise ValueError("temperatures must be above zero")
    return indicated_height * air_temperature / standard_air_temperature


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
