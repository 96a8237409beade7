"""Air leaving through a throat: choked, then subsonic, and laden with the last water."""

from math import exp, log, sqrt

__all__ = ["AIR_RATIO", "CRITICAL_PRESSURE_RATIO", "air_jet", "mist_share"]

AIR_RATIO = 1.4
CRITICAL_PRESSURE_RATIO = 0.5282817877171742  # (2/(g+1))^(g/(g-1)) for g = 1.4


def air_jet(
    pressure: float, temperature: float, ambient_pressure: float, gas_constant: float
) -> tuple[float, float, float]:
    r"""Mass flux, speed and pressure in the throat of a convergent nozzle.

    .. math::

        p_e = \max(p_a, 0.528\,p),\quad
        T_e = T (p_e/p)^{(\gamma-1)/\gamma},\quad
        v = \sqrt{2 c_p (T - T_e)},\quad
        G = \frac{p_e}{R T_e} v

    Parameters
    ----------
    pressure : float
        Absolute stagnation pressure inside [Pa].
    temperature : float
        Stagnation temperature inside [K].
    ambient_pressure : float
        Absolute pressure outside [Pa].
    gas_constant : float
        Specific gas constant [J/(kg K)].

    Returns
    -------
    tuple of float
        Mass flux [kg/(m^2 s)], speed [m/s] and absolute pressure [Pa] in the throat. No flow when
        the inside is not above the outside.

    Notes
    -----
    Valid for a perfect gas of ratio 1.4 in quasi-steady, frozen flow; the throat is the narrowest
    section. One expression serves both regimes: the exit pressure never falls below critical.

    References
    ----------
    Ames Research Staff, NACA Report 1135 (1953), equations 44 and 98 (equation numbers from
    memory).

    Examples
    --------
    Choked flux over sqrt(R T0)/p0 is 0.684731 for a ratio of 1.4:

    >>> flux, _, _ = air_jet(6e5, 288.15, 1e5, 287.05)
    >>> round(flux * (287.05 * 288.15) ** 0.5 / 6e5, 6)
    0.684731
    """
    ratio = min(max(ambient_pressure / pressure, CRITICAL_PRESSURE_RATIO), 1.0)
    cooling = exp(log(ratio) * ((AIR_RATIO - 1.0) / AIR_RATIO))
    heat = gas_constant * AIR_RATIO / (AIR_RATIO - 1.0)
    speed = sqrt(2.0 * heat * temperature * max(1.0 - cooling, 0.0))
    exit_pressure = ratio * pressure
    flux = exit_pressure / (gas_constant * temperature * cooling) * speed
    return flux, speed, exit_pressure


def mist_share(water_mass: float, gas_mass: float) -> tuple[float, float]:
    r"""How the last water slows the air that carries it out: flow factors of gas and of water.

    .. math:: X = m_w/m_g,\qquad
        \dot m_g = \frac{\dot m_0}{\sqrt{1+X}},\qquad \dot m_w = X \dot m_g

    Air that carries X times its mass of droplets at its own speed behaves as a gas of constant
    R/(1+X): mass flow grows by the root of 1+X, speed falls by it, thrust is unchanged.

    Parameters
    ----------
    water_mass : float
        Water still inside [kg].
    gas_mass : float
        Gas still inside [kg].

    Returns
    -------
    tuple of float
        Factors on the pure-air mass flow that give the flow of gas and of water [-].

    Notes
    -----
    Valid for fine droplets without slip, evenly mixed, that exchange no heat on their way through
    the throat; a bound rather than a fit.

    References
    ----------
    G. B. Wallis, One-Dimensional Two-Phase Flow (1969), chapter 2, homogeneous flow (from memory).

    Examples
    --------
    Three times its mass of water halves the flow of air:

    >>> mist_share(0.03, 0.01)
    (0.5, 1.5)
    """
    load = max(water_mass, 0.0) / gas_mass
    gas = 1.0 / sqrt(1.0 + load)
    return gas, load * gas
