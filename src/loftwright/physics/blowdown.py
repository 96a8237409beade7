"""A vessel emptying through a choked throat, in closed form."""

from __future__ import annotations

from math import exp, log, sqrt

from loftwright.physics.nozzle import choked_flow_factor, critical_pressure_ratio

__all__ = [
    "adiabatic_pressure",
    "adiabatic_temperature",
    "adiabatic_unchoke_time",
    "blowdown_time_constant",
    "isothermal_pressure",
    "isothermal_unchoke_time",
    "unchoke_pressure",
]


def blowdown_time_constant(
    volume: float, flow_area: float, gas_constant: float, temperature: float, gamma: float
) -> float:
    r"""Time in which the first flow, kept up, would empty the vessel.

    .. math:: \tau = \frac{V}{C_d A\, \Gamma \sqrt{R T_0}}

    Parameters
    ----------
    volume : float
        Volume of the gas, [m^3]
    flow_area : float
        Throat area times flow coefficient, [m^2]
    gas_constant : float
        Specific gas constant, [J/(kg*K)]
    temperature : float
        Temperature at the start, [K]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    time : float
        Time constant, [s]

    Raises
    ------
    ValueError
        If volume, area or temperature is not above zero.

    Notes
    -----
    Range: perfect gas, choked throat, uniform state in the vessel.

    References
    ----------
    G. Bar-Meir, *Fundamentals of Compressible Fluid Mechanics*, chapter on evacuating chambers.

    Examples
    --------
    2 L of air through 9 mm:

    >>> round(blowdown_time_constant(2e-3, 6.361725e-5, 287.05, 288.15, 1.4), 6)
    0.159642
    """
    if volume <= 0 or flow_area <= 0 or temperature <= 0:
        raise ValueError("volume, area and temperature must be above zero")
    return volume / (flow_area * choked_flow_factor(gamma) * sqrt(gas_constant * temperature))


def adiabatic_temperature(temperature: float, time: float, constant: float, gamma: float) -> float:
    r"""Temperature in an insulated vessel while its throat is choked.

    .. math:: T = T_0 \left(1 + \tfrac{\gamma-1}{2} \frac t\tau\right)^{-2}

    Parameters
    ----------
    temperature : float
        Temperature at the start, [K]
    time : float
        Time since the start, [s]
    constant : float
        From `blowdown_time_constant`, [s]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    temperature : float
        Temperature in the vessel, [K]

    Notes
    -----
    Range: until the throat unchokes.

    References
    ----------
    G. Bar-Meir, *Fundamentals of Compressible Fluid Mechanics*, chapter on evacuating chambers.

    Examples
    --------
    >>> round(adiabatic_temperature(288.15, 0.010, 0.1596418, 1.4), 3)
    281.064
    """
    return temperature * (1.0 + 0.5 * (gamma - 1.0) * time / constant) ** -2


def adiabatic_pressure(pressure: float, time: float, constant: float, gamma: float) -> float:
    r"""Pressure in an insulated vessel while its throat is choked.

    .. math:: p = p_0 \left(1 + \tfrac{\gamma-1}{2} \frac t\tau\right)^{-2\gamma/(\gamma-1)}

    Parameters
    ----------
    pressure : float
        Absolute pressure at the start, [Pa]
    time : float
        Time since the start, [s]
    constant : float
        From `blowdown_time_constant`, [s]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    pressure : float
        Absolute pressure in the vessel, [Pa]

    Notes
    -----
    Range: until the throat unchokes.

    References
    ----------
    G. Bar-Meir, *Fundamentals of Compressible Fluid Mechanics*, chapter on evacuating chambers.

    Examples
    --------
    >>> round(adiabatic_pressure(601325.0, 0.010, 0.15964180, 1.4), 0)
    551137.0
    """
    growth = 1.0 + 0.5 * (gamma - 1.0) * time / constant
    return pressure * exp(-2.0 * gamma / (gamma - 1.0) * log(growth))


def isothermal_pressure(pressure: float, time: float, constant: float) -> float:
    r"""Pressure in a vessel whose wall keeps the gas warm, while its throat is choked.

    .. math:: p = p_0\, e^{-t/\tau}

    Parameters
    ----------
    pressure : float
        Absolute pressure at the start, [Pa]
    time : float
        Time since the start, [s]
    constant : float
        From `blowdown_time_constant`, [s]

    Returns
    -------
    pressure : float
        Absolute pressure in the vessel, [Pa]

    Notes
    -----
    Range: until the throat unchokes; slow blowdowns of small vessels.

    References
    ----------
    G. Bar-Meir, *Fundamentals of Compressible Fluid Mechanics*, chapter on evacuating chambers.

    Examples
    --------
    >>> round(isothermal_pressure(601325.0, 0.010, 0.15964180), 0)
    564813.0
    """
    return pressure * exp(-time / constant)


def unchoke_pressure(ambient_pressure: float, gamma: float) -> float:
    r"""Pressure in the vessel at which its throat stops being choked.

    .. math:: p = p_a \left(\frac{\gamma+1}{2}\right)^{\gamma/(\gamma-1)}

    Parameters
    ----------
    ambient_pressure : float
        Absolute pressure outside, [Pa]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    pressure : float
        Absolute pressure in the vessel, [Pa]

    Notes
    -----
    Range: convergent nozzles.

    References
    ----------
    NACA Report 1135 (1953), eq. 44 at M = 1.

    Examples
    --------
    >>> round(unchoke_pressure(101325.0, 1.4))
    191801
    """
    return ambient_pressure / critical_pressure_ratio(gamma)


def adiabatic_unchoke_time(
    pressure: float, ambient_pressure: float, constant: float, gamma: float
) -> float:
    r"""Time until the throat of an insulated vessel stops being choked.

    .. math:: t = \frac{2\tau}{\gamma-1}
        \left[\left(\frac{p_0}{p_u}\right)^{\frac{\gamma-1}{2\gamma}} - 1\right]

    Parameters
    ----------
    pressure : float
        Absolute pressure at the start, [Pa]
    ambient_pressure : float
        Absolute pressure outside, [Pa]
    constant : float
        From `blowdown_time_constant`, [s]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    time : float
        Time, below zero if the throat is not choked at the start, [s]

    Notes
    -----
    Range: as for `adiabatic_pressure`, solved for time.

    References
    ----------
    G. Bar-Meir, *Fundamentals of Compressible Fluid Mechanics*, chapter on evacuating chambers.

    Examples
    --------
    >>> round(adiabatic_unchoke_time(601325.0, 101325.0, 0.1596418, 1.4), 5)
    0.14154
    """
    fall = pressure / unchoke_pressure(ambient_pressure, gamma)
    return 2.0 * constant / (gamma - 1.0) * (exp(0.5 * (gamma - 1.0) / gamma * log(fall)) - 1.0)


def isothermal_unchoke_time(
    pressure: float, ambient_pressure: float, constant: float, gamma: float
) -> float:
    r"""Time until the throat of a vessel kept warm stops being choked.

    .. math:: t = \tau \ln\frac{p_0}{p_u}

    Parameters
    ----------
    pressure : float
        Absolute pressure at the start, [Pa]
    ambient_pressure : float
        Absolute pressure outside, [Pa]
    constant : float
        From `blowdown_time_constant`, [s]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    time : float
        Time, below zero if the throat is not choked at the start, [s]

    Notes
    -----
    Range: as for `isothermal_pressure`, solved for time.

    References
    ----------
    G. Bar-Meir, *Fundamentals of Compressible Fluid Mechanics*, chapter on evacuating chambers.

    Examples
    --------
    >>> round(isothermal_unchoke_time(601325.0, 101325.0, 0.1596418, 1.4), 5)
    0.18242
    """
    return constant * log(pressure / unchoke_pressure(ambient_pressure, gamma))
