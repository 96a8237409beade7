"""The trapped air: saturated with water, which condenses while the air expands and warms it."""

from __future__ import annotations

from math import exp

__all__ = [
    "CELSIUS_ZERO",
    "R_VAPOUR",
    "latent_heat",
    "moist_expansion_slope",
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
