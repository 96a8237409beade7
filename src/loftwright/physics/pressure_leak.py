"""Gas that leaks into a bay or a line of a barometer, and what it then reads."""

from __future__ import annotations

from math import sqrt

from loftwright.physics.atmosphere import GAMMA_AIR, R_AIR

__all__ = ["choked_flow", "heated_rise", "leak_excess", "two_path_error"]


def choked_flow(area: float, flow_coefficient: float, pressure: float, temperature: float) -> float:
    r"""Mass flow through a small hole out of a vessel, at the speed of sound.

    .. math:: \dot m = C_d A\, p \sqrt{\frac{\gamma}{R T}}
        \left(\frac{2}{\gamma + 1}\right)^{\frac{\gamma + 1}{2(\gamma - 1)}}

    Parameters
    ----------
    area : float
        Area of the hole, [m^2]
    flow_coefficient : float
        Its discharge coefficient, [-]
    pressure : float
        Absolute pressure in the vessel, [Pa]
    temperature : float
        Temperature in the vessel, [K]

    Returns
    -------
    flow : float
        Mass flow, [kg/s]

    Notes
    -----
    Range: vessel above 1.89 times the pressure outside; air with a ratio of specific heats of 1.4.

    References
    ----------
    Isentropic flow of a perfect gas; any text of gas dynamics.

    Examples
    --------
    >>> f"{choked_flow(7.854e-9, 0.8, 7e5, 288.15):.4e}"
    '1.0471e-05'
    """
    share: float = (2.0 / (GAMMA_AIR + 1.0)) ** ((GAMMA_AIR + 1.0) / (2.0 * (GAMMA_AIR - 1.0)))
    return flow_coefficient * area * pressure * sqrt(GAMMA_AIR / (R_AIR * temperature)) * share


def leak_excess(flow: float, vent_area: float, flow_coefficient: float, density: float) -> float:
    r"""Excess pressure in a bay into which gas leaks and which lets it out through its vents.

    .. math:: \Delta p = \frac{1}{2\rho}\left(\frac{\dot m}{C_d A}\right)^2

    Parameters
    ----------
    flow : float
        Mass flow into the bay, [kg/s]
    vent_area : float
        Area of all vents together, [m^2]
    flow_coefficient : float
        Discharge coefficient of a vent, [-]
    density : float
        Density of the air, [kg/m^3]

    Returns
    -------
    excess : float
        Pressure in the bay less that outside; heights read low by that, [Pa]

    Notes
    -----
    Range: below 5 kPa, where flow through a vent may be taken as that of a liquid; more than that
    is far too much to read heights in any case.

    References
    ----------
    Balance of mass with the law of an orifice.

    Examples
    --------
    >>> round(leak_excess(1.0471e-5, 1.2566e-5, 0.6, 1.225), 3)
    0.787
    """
    speed = flow / (flow_coefficient * vent_area)
    return speed * speed / (2.0 * density)


def two_path_error(static_lag: float, leak_lag: float, leak_excess: float) -> float:
    r"""Error of a line that is open to the outside by one path and leaks by another.

    .. math:: \Delta p = \frac{\lambda_s}{\lambda_s + \lambda_l}\,(p_l - p_s)

    Parameters
    ----------
    static_lag : float
        Time constant of the path to the outside, [s]
    leak_lag : float
        Time constant of the leak, [s]
    leak_excess : float
        Pressure where the leak comes from less that outside, [Pa]

    Returns
    -------
    error : float
        Pressure in the line less that outside, [Pa]

    Notes
    -----
    Range: slow laminar flow in both paths, so that each is a time constant.

    References
    ----------
    W. Gracey, *Measurement of Aircraft Speed and Altitude*, NASA RP-1046 (1980) (form from
    memory).

    Examples
    --------
    >>> round(two_path_error(0.05, 50.0, 5000.0), 3)
    4.995
    """
    return static_lag / (static_lag + leak_lag) * leak_excess


def heated_rise(pressure: float, temperature: float, warming: float) -> float:
    r"""Pressure that a sealed bay gains by warming up.

    .. math:: \Delta p = p\,\frac{\Delta T}{T}

    Parameters
    ----------
    pressure : float
        Absolute pressure in the bay, [Pa]
    temperature : float
        Its temperature, [K]
    warming : float
        How much warmer it gets, [K]

    Returns
    -------
    rise : float
        Gain of pressure, [Pa]

    Notes
    -----
    Range: a rigid bay without vents; with vents the excess leaves through them.

    References
    ----------
    Gay-Lussac's law.

    Examples
    --------
    >>> round(heated_rise(101325.0, 288.15, 1.0), 2)
    351.64
    """
    return pressure * warming / temperature
