"""Energy in compressed gas, and how far away its release is to be watched from."""

from __future__ import annotations

from math import exp, log

__all__ = [
    "availability",
    "blast_distance",
    "code_distance",
    "expansion_energy",
    "linear_energy",
    "tnt_mass",
]

PCC2_AMBIENT = 101_000.0  # Pa, as the standard prints it
TNT_ENERGY = 4_266_920.0  # J/kg, as the standard prints it


def expansion_energy(pressure: float, volume: float) -> float:
    r"""Energy of an adiabatic expansion of air or nitrogen to the outside pressure.

    .. math:: E = 2.5\, p V \left[1 - \left(\frac{p_a}{p}\right)^{0.286}\right]

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]
    volume : float
        Volume of the gas, [m^3]

    Returns
    -------
    energy : float
        Stored energy, [J]

    Raises
    ------
    ValueError
        If the pressure is not above zero.

    Notes
    -----
    Range: diatomic gases; outside pressure 101 kPa.

    References
    ----------
    ASME PCC-2, article 501, mandatory appendix II.

    Examples
    --------
    >>> round(expansion_energy(601e3, 2e-3), 3)
    1200.644
    """
    if pressure <= 0:
        raise ValueError("the pressure must be above zero")
    return 2.5 * pressure * volume * (1.0 - exp(0.286 * log(PCC2_AMBIENT / pressure)))


def linear_energy(gauge_pressure: float, volume: float, gamma: float) -> float:
    r"""Heat that would raise the gas to its pressure; the simplest bound of stored energy.

    .. math:: E = \frac{(p - p_a) V}{\gamma - 1}

    Parameters
    ----------
    gauge_pressure : float
        Gauge pressure, [Pa]
    volume : float
        Volume of the gas, [m^3]
    gamma : float
        Ratio of heat capacities, [-]

    Returns
    -------
    energy : float
        Energy, [J]

    Raises
    ------
    ValueError
        If gamma is not above 1.

    Notes
    -----
    Range: an upper bound of what an expansion can give at low pressures.

    References
    ----------
    H. L. Brode, *Blast wave from a spherical charge*, Phys. Fluids 2 (1959) 217,
    doi:10.1063/1.1705911 (from memory).

    Examples
    --------
    >>> round(linear_energy(5e5, 2e-3, 1.4))
    2500
    """
    if gamma <= 1:
        raise ValueError("gamma must be above 1")
    return gauge_pressure * volume / (gamma - 1.0)


def availability(pressure: float, ambient_pressure: float, volume: float) -> float:
    r"""Most work that gas at outside temperature can do; no rocket's energy exceeds it.

    .. math:: E = p V \left[\ln\frac{p}{p_a} - 1 + \frac{p_a}{p}\right]

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]
    ambient_pressure : float
        Absolute pressure outside, [Pa]
    volume : float
        Volume of the gas, [m^3]

    Returns
    -------
    energy : float
        Isothermal availability, [J]

    Raises
    ------
    ValueError
        If a pressure is not above zero.

    Notes
    -----
    Range: perfect gases at the outside temperature. The work against the outside air is taken
    off.

    References
    ----------
    D. A. Crowl, "Using thermodynamic availability to determine the energy of explosion",
    Plant/Oper. Prog. 10 (1991) 136-142, doi:10.1002/prsb.720100306 (formula from memory).

    Examples
    --------
    >>> round(availability(601e3, 101e3, 2e-3))
    1144
    """
    if pressure <= 0 or ambient_pressure <= 0:
        raise ValueError("pressures must be above zero")
    share = ambient_pressure / pressure
    return pressure * volume * (share - 1.0 - log(share))


def tnt_mass(energy: float) -> float:
    r"""Mass of explosive of the same energy.

    .. math:: m = \frac{E}{4\,266\,920\ \mathrm{J/kg}}

    Parameters
    ----------
    energy : float
        Stored energy, [J]

    Returns
    -------
    mass : float
        Equivalent mass of TNT, [kg]

    Notes
    -----
    Range: a yardstick for blast; says nothing about fragments.

    References
    ----------
    ASME PCC-2, article 501, mandatory appendix II.

    Examples
    --------
    >>> round(tnt_mass(1200.644), 9)
    0.000281384
    """
    return energy / TNT_ENERGY


def blast_distance(energy: float) -> float:
    r"""Distance at which the blast of a failing vessel is taken as harmless.

    .. math:: R = 20\,(2\, m_{TNT})^{1/3}

    Parameters
    ----------
    energy : float
        Stored energy, [J]

    Returns
    -------
    distance : float
        Distance before the floor of `code_distance`, [m]

    Notes
    -----
    Range: blast alone, scaled distance 20 m/kg^(1/3).

    References
    ----------
    ASME PCC-2, article 501, mandatory appendix III.

    Examples
    --------
    >>> round(blast_distance(1200.644), 3)
    1.651
    """
    distance: float = 20.0 * (2.0 * tnt_mass(energy)) ** (1.0 / 3.0)
    return distance


def code_distance(energy: float) -> float:
    r"""Distance that the code asks people to keep from a pneumatic test.

    .. math:: R = \max\bigl(20\,(2\, m_{TNT})^{1/3},\ 30\ \mathrm{m}\bigr)

    Parameters
    ----------
    energy : float
        Stored energy, [J]

    Returns
    -------
    distance : float
        Distance, [m]

    Notes
    -----
    Range: up to 135.5 MJ the floor is 30 m. The floor of 60 m beyond never acts: the blast distance
    is 80 m by then.

    References
    ----------
    ASME PCC-2, article 501, mandatory appendix III.

    Examples
    --------
    >>> code_distance(1200.644)
    30.0
    """
    return max(blast_distance(energy), 30.0)
