"""Steady isentropic flow of a perfect gas through a nozzle."""

from __future__ import annotations

from math import exp, log, sqrt

__all__ = [
    "area_ratio",
    "choked_flow_factor",
    "choked_vacuum_thrust_factor",
    "critical_density_ratio",
    "critical_pressure_ratio",
    "critical_temperature_ratio",
    "density_ratio",
    "pressure_ratio",
    "temperature_ratio",
]


def _power(base: float, exponent: float) -> float:
    return exp(exponent * log(base))


def temperature_ratio(mach: float, gamma: float) -> float:
    r"""Ratio of static to stagnation temperature.

    .. math:: \frac{T}{T_0} = \left(1 + \tfrac{\gamma-1}{2} M^2\right)^{-1}

    Parameters
    ----------
    mach : float
        Mach number, [-]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Temperature ratio, [-]

    Notes
    -----
    Range: adiabatic flow of a perfect gas.

    References
    ----------
    Ames Research Staff, *Equations, tables, and charts for compressible flow*, NACA Report 1135
    (1953), eq. 43.

    Examples
    --------
    >>> round(temperature_ratio(1.0, 1.4), 6)
    0.833333
    """
    return 1.0 / (1.0 + 0.5 * (gamma - 1.0) * mach * mach)


def pressure_ratio(mach: float, gamma: float) -> float:
    r"""Ratio of static to stagnation pressure.

    .. math:: \frac{p}{p_0} = \left(\frac{T}{T_0}\right)^{\gamma/(\gamma-1)}

    Parameters
    ----------
    mach : float
        Mach number, [-]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Pressure ratio, [-]

    Notes
    -----
    Range: isentropic flow of a perfect gas.

    References
    ----------
    NACA Report 1135 (1953), eq. 44.

    Examples
    --------
    >>> round(pressure_ratio(0.5, 1.4), 5)
    0.84302
    """
    return _power(temperature_ratio(mach, gamma), gamma / (gamma - 1.0))


def density_ratio(mach: float, gamma: float) -> float:
    r"""Ratio of static to stagnation density.

    .. math:: \frac{\rho}{\rho_0} = \left(\frac{T}{T_0}\right)^{1/(\gamma-1)}

    Parameters
    ----------
    mach : float
        Mach number, [-]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Density ratio, [-]

    Notes
    -----
    Range: isentropic flow of a perfect gas.

    References
    ----------
    NACA Report 1135 (1953), eq. 45.

    Examples
    --------
    >>> round(density_ratio(0.5, 1.4), 5)
    0.88517
    """
    return _power(temperature_ratio(mach, gamma), 1.0 / (gamma - 1.0))


def area_ratio(mach: float, gamma: float) -> float:
    r"""Area of the stream over its area at the speed of sound.

    .. math:: \frac{A}{A^*} = \frac1M \left[\frac{2}{\gamma+1}
        \left(1 + \tfrac{\gamma-1}{2} M^2\right)\right]^{\frac{\gamma+1}{2(\gamma-1)}}

    Parameters
    ----------
    mach : float
        Mach number, above zero, [-]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Area ratio, [-]

    Raises
    ------
    ValueError
        If the Mach number is not above zero.

    Notes
    -----
    Range: isentropic flow of a perfect gas.

    References
    ----------
    NACA Report 1135 (1953), eq. 80.

    Examples
    --------
    >>> round(area_ratio(0.5, 1.4), 5)
    1.33984
    """
    if mach <= 0:
        raise ValueError("the Mach number must be above zero")
    relative = critical_temperature_ratio(gamma) / temperature_ratio(mach, gamma)
    return _power(relative, 0.5 * (gamma + 1.0) / (gamma - 1.0)) / mach


def critical_temperature_ratio(gamma: float) -> float:
    r"""Ratio of static to stagnation temperature at the speed of sound.

    .. math:: \frac{T^*}{T_0} = \frac{2}{\gamma+1}

    Parameters
    ----------
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Temperature ratio, [-]

    Notes
    -----
    Range: perfect gases.

    References
    ----------
    NACA Report 1135 (1953), eq. 43 at M = 1.

    Examples
    --------
    >>> round(critical_temperature_ratio(1.4), 6)
    0.833333
    """
    return 2.0 / (gamma + 1.0)


def critical_pressure_ratio(gamma: float) -> float:
    r"""Ratio of static to stagnation pressure at the speed of sound.

    .. math:: \frac{p^*}{p_0} = \left(\frac{2}{\gamma+1}\right)^{\gamma/(\gamma-1)}

    Parameters
    ----------
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Pressure ratio, [-]

    Notes
    -----
    Range: perfect gases. A convergent nozzle is choked when outside over inside is below it.

    References
    ----------
    NACA Report 1135 (1953), eq. 44 at M = 1.

    Examples
    --------
    >>> round(critical_pressure_ratio(1.4), 6)
    0.528282
    """
    return pressure_ratio(1.0, gamma)


def critical_density_ratio(gamma: float) -> float:
    r"""Ratio of static to stagnation density at the speed of sound.

    .. math:: \frac{\rho^*}{\rho_0} = \left(\frac{2}{\gamma+1}\right)^{1/(\gamma-1)}

    Parameters
    ----------
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    ratio : float
        Density ratio, [-]

    Notes
    -----
    Range: perfect gases.

    References
    ----------
    NACA Report 1135 (1953), eq. 45 at M = 1.

    Examples
    --------
    >>> round(critical_density_ratio(1.4), 6)
    0.633938
    """
    return density_ratio(1.0, gamma)


def choked_flow_factor(gamma: float) -> float:
    r"""Mass flow of a choked throat in units of its stagnation state.

    .. math:: \Gamma = \frac{\dot m \sqrt{R T_0}}{A\, p_0} = \sqrt\gamma
        \left(\frac{2}{\gamma+1}\right)^{\frac{\gamma+1}{2(\gamma-1)}}

    Parameters
    ----------
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    factor : float
        Flow factor, [-]

    Notes
    -----
    Range: perfect gases, choked throat, no losses.

    References
    ----------
    NACA Report 1135 (1953), eq. 99 at M = 1.

    Examples
    --------
    >>> round(choked_flow_factor(1.4), 6)
    0.684731
    """
    return sqrt(gamma) * _power(2.0 / (gamma + 1.0), 0.5 * (gamma + 1.0) / (gamma - 1.0))


def choked_vacuum_thrust_factor(gamma: float) -> float:
    r"""Thrust into vacuum of a convergent nozzle over stagnation pressure times throat.

    .. math:: \frac{F}{p_0 A^*} = (1 + \gamma)
        \left(\frac{2}{\gamma+1}\right)^{\gamma/(\gamma-1)}

    Parameters
    ----------
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    factor : float
        Thrust factor; outside, the ambient pressure times the throat is taken off, [-]

    Notes
    -----
    Range: perfect gases, choked throat at the exit, no losses.

    References
    ----------
    Momentum of a sonic stream plus its pressure (computed from NACA Report 1135, eq. 44).

    Examples
    --------
    >>> round(choked_vacuum_thrust_factor(1.4), 6)
    1.267876
    """
    return (1.0 + gamma) * critical_pressure_ratio(gamma)
