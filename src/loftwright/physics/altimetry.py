"""Heights from pressures, and what weather does to them."""

from __future__ import annotations

from math import exp, log

from loftwright.physics.atmosphere import GRAVITY, LAPSE_RATE, PRESSURE_EXPONENT, R_AIR
from loftwright.physics.standard_atmosphere import STANDARD_PRESSURE, STANDARD_TEMPERATURE

__all__ = [
    "altimeter_setting",
    "height_coefficients",
    "layer_thickness",
    "pressure_altitude",
    "true_height",
    "weather_service_altitude",
]


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


def height_coefficients(base_temperature: float) -> tuple[float, float, float, float, float, float]:
    r"""First coefficients of the height above a pad as a series in the pressure's fall.

    .. math:: h = \frac{T_0}{L}\left[1 - (1-x)^{k}\right] = \sum_{n=1}^{6} c_n x^n + \ldots,
        \qquad x = \frac{p_0 - p}{p_0}, \qquad k = 0.190263

    .. math:: c_1 = \frac{T_0}{L}\,k, \qquad c_{n+1} = c_n\,\frac{n - k}{n + 1}

    Parameters
    ----------
    base_temperature : float
        Temperature at the pad, [K]

    Returns
    -------
    coefficients : tuple of float
        :math:`c_1 \ldots c_6`, [m]

    Notes
    -----
    Range: within 1 mm of the closed form up to 1000 m above the pad, wherever the pad is. No power
    function is needed, which small controllers lack or reckon each in its own way.

    References
    ----------
    ISO 2533:1975, solved for height, with the binomial series; M. Abramowitz and I. A. Stegun,
    *Handbook of Mathematical Functions* (1964), eq. 3.6.9 (from memory).

    Examples
    --------
    >>> [round(each, 2) for each in height_coefficients(288.15)][:3]
    [8434.52, 3414.87, 2060.0]
    """
    power = 1.0 / PRESSURE_EXPONENT
    first = base_temperature / LAPSE_RATE * power
    second = first * (1.0 - power) / 2.0
    third = second * (2.0 - power) / 3.0
    fourth = third * (3.0 - power) / 4.0
    fifth = fourth * (4.0 - power) / 5.0
    return first, second, third, fourth, fifth, fifth * (5.0 - power) / 6.0


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


def altimeter_setting(pressure: float, elevation: float) -> float:
    r"""Sea-level pressure of the standard atmosphere that gives a pad its measured pressure.

    .. math:: Q = \left(p^{k} + p_0^{k}\,\frac{0.0065\, H}{288.15}\right)^{1/k},
        \qquad k = 0.190263

    Parameters
    ----------
    pressure : float
        Absolute pressure measured at the place, [Pa]
    elevation : float
        Geopotential height of the place above sea level, [m]

    Returns
    -------
    setting : float
        Altimeter setting, as weather reports of aerodromes give it, [Pa]

    Raises
    ------
    ValueError
        If the pressure is not above zero.

    Notes
    -----
    Range: places below 3 km. A weather report's pressure is this one, not that at the pad.

    References
    ----------
    *Smithsonian Meteorological Tables*, 6th ed. (1951), altimeter setting; same form as the
    aeronautical correction of the Earth Observing Laboratory, UCAR.

    Examples
    --------
    >>> round(altimeter_setting(101325.0, 0.0), 6)
    101325.0
    """
    if pressure <= 0:
        raise ValueError("the pressure must be above zero")
    share = 1.0 / PRESSURE_EXPONENT
    raised = exp(share * log(STANDARD_PRESSURE / pressure)) * LAPSE_RATE / STANDARD_TEMPERATURE
    return pressure * exp(PRESSURE_EXPONENT * log(1.0 + raised * elevation))


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
    return R_AIR * mean_virtual_temperature / GRAVITY * log(lower_pressure / upper_pressure)


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
