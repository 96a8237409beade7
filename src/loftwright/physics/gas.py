"""The trapped air: saturated with water, which condenses while the air expands and warms it."""

from __future__ import annotations

from math import exp, log

__all__ = [
    "CELSIUS_ZERO",
    "R_VAPOUR",
    "latent_heat",
    "moist_expansion_exponent",
    "moist_expansion_slope",
    "moist_mean_exponent",
    "saturation_vapour_pressure",
]

CELSIUS_ZERO = 273.15  # K
R_VAPOUR = 461.5  # J/(kg K)
DRY_HEAT_CAPACITY = 3.5  # c_p of air over the gas constant


def saturation_vapour_pressure(temperature: float) -> float:
    r"""Vapour pressure of water in saturated air.

    .. math:: p_s = 611.21 \exp\frac{17.502\, t}{240.97 + t}, \qquad t = T - 273.15

    Parameters
    ----------
    temperature : float
        Temperature, [K]

    Returns
    -------
    pressure : float
        Saturation vapour pressure over liquid water, also below freezing, [Pa]

    Notes
    -----
    Range: -20 to 50 degC within 0.1 %; colder it is an extrapolation whose share of the pressure
    is negligible. Below 100 K the value at 100 K is returned.

    References
    ----------
    A. L. Buck, "New equations for computing vapor pressure and enhancement factor",
    J. Appl. Meteorol. 20 (1981) 1527-1532, doi:10.1175/1520-0450(1981)020<1527:NEFCVP>2.0.CO;2
    (coefficients from memory).

    Examples
    --------
    >>> round(saturation_vapour_pressure(293.15) / 1e3, 2)
    2.34
    """
    celsius = max(temperature, 100.0) - CELSIUS_ZERO
    return 611.21 * exp(17.502 * celsius / (240.97 + celsius))


def latent_heat(temperature: float) -> float:
    r"""Latent heat of vaporisation of water.

    .. math:: L = 2.501\times10^6 - 2361\, t, \qquad t = T - 273.15

    Parameters
    ----------
    temperature : float
        Temperature, [K]

    Returns
    -------
    heat : float
        Latent heat, [J/kg]

    Notes
    -----
    Range: 0 to 40 degC within 0.1 %; used as it stands below freezing, where the vapour that is
    left is too little to matter.

    References
    ----------
    R. G. Allen et al., *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56 (1998),
    annex 3, eq. 3-1 (after Harrison 1963; from memory).

    Examples
    --------
    >>> round(latent_heat(293.15) / 1e6, 3)
    2.454
    """
    return 2.501e6 - 2361.0 * (temperature - CELSIUS_ZERO)


def moist_expansion_slope(temperature: float, dry_pressure: float) -> float:
    r"""How fast saturated air cools as it expands without heat from outside.

    .. math::
        \frac{d \ln T}{d \ln v} = \frac{-B}{C - B}, \quad B = 1 + y\lambda, \quad
        C = \tfrac{7}{2} + y \lambda (\lambda - 1), \quad y = \frac{p_s}{p_d}, \quad
        \lambda = \frac{L}{R_v T}

    Parameters
    ----------
    temperature : float
        Temperature of the gas, [K]
    dry_pressure : float
        Partial pressure of the dry air, [Pa]

    Returns
    -------
    slope : float
        Logarithmic slope of temperature over volume, [-]

    Notes
    -----
    Range: saturated air whose droplets stay with it. The heat capacity of the liquid and heat
    from the wall and the water are left out, so this is a bound: real expansions lie between
    it and the isotherm. Without vapour it is the dry adiabat, -0.4.

    References
    ----------
    First law for saturated air with the Clausius-Clapeyron slope (derived here); compare
    J. V. Iribarne and W. L. Godson, *Atmospheric Thermodynamics*, 2nd ed. (1981), ch. 7
    (from memory).

    Examples
    --------
    >>> -0.4 < moist_expansion_slope(293.15, 5e5) < 0.0
    True
    """
    heat_ratio = latent_heat(temperature) / (R_VAPOUR * temperature)
    vapour_heat = saturation_vapour_pressure(temperature) / dry_pressure * heat_ratio
    b = 1.0 + vapour_heat
    c = DRY_HEAT_CAPACITY + vapour_heat * (heat_ratio - 1.0)
    return -b / (c - b)


def moist_expansion_exponent(temperature: float, pressure: float) -> float:
    r"""Local exponent of the expansion of saturated air, all of whose pressure counts.

    .. math:: \beta_0 = -\frac{d \ln p}{d \ln v} = \frac{p_d}{p}\frac{C}{C - B}
        + \frac{p_s}{p}\frac{\lambda B}{C - B}

    Parameters
    ----------
    temperature : float
        Temperature of the gas, [K]
    pressure : float
        Absolute pressure, vapour included, [Pa]

    Returns
    -------
    exponent : float
        Exponent of p v^beta at this state, [-]

    Raises
    ------
    ValueError
        If the pressure is not above that of the vapour.

    Notes
    -----
    Range: as for `moist_expansion_slope`. It grows while the gas dries; see
    `moist_mean_exponent`.

    References
    ----------
    As for `moist_expansion_slope`.

    Examples
    --------
    >>> round(moist_expansion_exponent(293.15, 500e3), 2)
    1.3
    """
    vapour = saturation_vapour_pressure(temperature)
    if pressure <= vapour:
        raise ValueError("the pressure must be above that of the vapour")
    slope = moist_expansion_slope(temperature, pressure - vapour)
    heat_ratio = latent_heat(temperature) / (R_VAPOUR * temperature)
    share = vapour / pressure
    return (1.0 - share) * (1.0 - slope) - share * heat_ratio * slope


def moist_mean_exponent(temperature: float, pressure: float, volume_ratio: float) -> float:
    r"""Mean exponent of the expansion of saturated air to a larger volume.

    .. math:: \bar\beta = -\frac{\ln(p/p_0)}{\ln(V/V_0)}

    Parameters
    ----------
    temperature : float
        Temperature before the expansion, [K]
    pressure : float
        Absolute pressure before the expansion, vapour included, [Pa]
    volume_ratio : float
        Volume after over volume before, above 1, [-]

    Returns
    -------
    exponent : float
        Exponent of p v^beta that joins the two states, [-]

    Raises
    ------
    ValueError
        If the volume does not grow, or the pressure is not above that of the vapour.

    Notes
    -----
    Range: as for `moist_expansion_slope`, which is integrated in 64 steps of the fourth-order
    Runge-Kutta rule.

    References
    ----------
    As for `moist_expansion_slope`.

    Examples
    --------
    >>> round(moist_mean_exponent(293.15, 500e3, 1.7), 2)
    1.35
    """
    if volume_ratio <= 1 or pressure <= saturation_vapour_pressure(temperature):
        raise ValueError("the volume must grow and the pressure be above that of the vapour")
    dry_pressure = pressure - saturation_vapour_pressure(temperature)
    growth = log(volume_ratio)

    def slope(log_volume: float, log_cooling: float) -> float:
        return moist_expansion_slope(
            temperature * exp(log_cooling), dry_pressure * exp(log_cooling - log_volume)
        )

    step, cooling = growth / 64, 0.0
    for index in range(64):
        begin = index * step
        first = slope(begin, cooling)
        second = slope(begin + step / 2, cooling + first * step / 2)
        third = slope(begin + step / 2, cooling + second * step / 2)
        last = slope(begin + step, cooling + third * step)
        cooling += step * (first + 2 * second + 2 * third + last) / 6
    final = dry_pressure * exp(cooling - growth) + saturation_vapour_pressure(
        temperature * exp(cooling)
    )
    return -log(final / pressure) / growth
