"""Wind as standards describe it: power law and gustiness for design, and turbulence near ground.

The flying-qualities standard is in feet and knots; these functions take and return SI and convert
inside.
"""

from __future__ import annotations

from math import exp, log, pi

__all__ = [
    "FOOT",
    "KNOT",
    "design_turbulence",
    "exposure_coefficient",
    "horizontal_turbulence",
    "horizontal_turbulence_length",
    "landing_shear",
    "power_law_wind_speed",
    "turbulence_scale",
    "vertical_turbulence",
    "vertical_turbulence_spectrum",
]

FOOT = 0.3048  # m
KNOT = 1852.0 / 3600.0  # m/s
STANDARD_HEIGHT_FEET = 20.0
CEILING_FEET = 1000.0


def power_law_wind_speed(
    height: float, reference_speed: float, reference_height: float, exponent: float
) -> float:
    r"""Mean wind over height by the engineers' power law.

    .. math:: u = u_r \left(\frac{h}{h_r}\right)^\alpha

    Parameters
    ----------
    height : float
        Height above ground, [m]
    reference_speed : float
        Wind at the reference height, [m/s]
    reference_height : float
        Height of the measurement, [m]
    exponent : float
        0.14 or 1/7 over open land, 0.2 in the first edition of the standard, 0.11 in storms, [-]

    Returns
    -------
    speed : float
        Mean wind at that height, [m/s]

    Raises
    ------
    ValueError
        If a height is not above zero.

    Notes
    -----
    Range: 10 m to 200 m; an engineering fit without theory behind it.

    References
    ----------
    IEC 61400-1, section 6.3 (normal wind profile).

    Examples
    --------
    >>> round(power_law_wind_speed(50.0, 1.0, 10.0, 0.14), 6)
    1.252725
    """
    if height <= 0 or reference_height <= 0:
        raise ValueError("heights must be above zero")
    return reference_speed * exp(exponent * log(height / reference_height))


def design_turbulence(speed: float, reference_intensity: float) -> float:
    r"""Gustiness along the mean wind as one standard deviation, 90 % quantile.

    .. math:: \sigma_1 = I_{ref}\,(0.75\, V + 5.6)

    Parameters
    ----------
    speed : float
        Ten-minute mean wind, [m/s]
    reference_intensity : float
        0.16, 0.14 or 0.12 for rough, middling or calm sites, [-]

    Returns
    -------
    deviation : float
        Standard deviation, [m/s]

    Notes
    -----
    Range: heights of turbines (50 m and more) and winds of 4 m/s and more.

    References
    ----------
    IEC 61400-1:2005, section 6.3.1.3 (normal turbulence).

    Examples
    --------
    >>> round(design_turbulence(10.0, 0.16), 6)
    2.096
    """
    return reference_intensity * (0.75 * speed + 5.6)


def turbulence_scale(height: float) -> float:
    r"""Length scale of turbulence in the turbine standard.

    .. math:: \Lambda_1 = \min(0.7\, z,\; 42\ \mathrm{m})

    Parameters
    ----------
    height : float
        Height above ground, [m]

    Returns
    -------
    length : float
        Scale, [m]

    Notes
    -----
    Range: heights above ground up to 200 m.

    References
    ----------
    IEC 61400-1:2005, eq. 5.

    Examples
    --------
    >>> round(turbulence_scale(30.0), 6)
    21.0
    """
    return min(0.7 * height, 42.0)


def exposure_coefficient(height: float, gradient_height: float, exponent: float) -> float:
    r"""Velocity-pressure exposure coefficient of the building load standard.

    .. math:: K_z = 2.01 \left(\frac{z}{z_g}\right)^{2/\alpha}

    Parameters
    ----------
    height : float
        Height above ground, taken as 15 ft at least, [m]
    gradient_height : float
        Gradient height: 1200, 900 or 700 ft for exposures B, C, D, [m]
    exponent : float
        7, 9.5 or 11.5 for exposures B, C, D, [-]

    Returns
    -------
    coefficient : float
        Exposure coefficient, [-]

    Raises
    ------
    ValueError
        If the gradient height or the exponent is not above zero.

    Notes
    -----
    Range: up to the gradient height.

    References
    ----------
    ASCE/SEI 7-05, table 6-3.

    Examples
    --------
    >>> round(exposure_coefficient(30.0 * FOOT, 900.0 * FOOT, 9.5), 4)
    0.9823
    """
    if gradient_height <= 0 or exponent <= 0:
        raise ValueError("gradient height and exponent must be above zero")
    return 2.01 * exp(2.0 / exponent * log(max(height, 15.0 * FOOT) / gradient_height))


def landing_shear(height: float, wind_at_20_feet: float, roughness: float) -> float:
    r"""Mean wind near the ground in the flying-qualities standard.

    .. math:: u = W_{20} \frac{\ln(h/z_0)}{\ln(20\ \mathrm{ft}/z_0)}

    Parameters
    ----------
    height : float
        Height above ground, [m]
    wind_at_20_feet : float
        Wind at 20 ft, [m/s]
    roughness : float
        0.15 ft for landing, 2 ft otherwise, [m]

    Returns
    -------
    speed : float
        Mean wind, [m/s]

    Raises
    ------
    ValueError
        If height or roughness is not above zero.

    Notes
    -----
    Range: 3 ft to 1000 ft.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.3.2 (from memory).

    Examples
    --------
    >>> round(landing_shear(100.0 * FOOT, 1.0, 0.15 * FOOT), 6)
    1.328937
    """
    if height <= 0 or roughness <= 0:
        raise ValueError("height and roughness must be above zero")
    return wind_at_20_feet * log(height / roughness) / log(STANDARD_HEIGHT_FEET * FOOT / roughness)


def _height_factor(height: float) -> float:
    feet = height / FOOT
    if not 0 < feet <= CEILING_FEET * (1.0 + 1e-12):
        raise ValueError("the low-altitude model holds above ground and up to 1000 ft")
    return 0.177 + 0.000823 * feet


def horizontal_turbulence_length(height: float) -> float:
    r"""Length scale of horizontal turbulence near the ground.

    .. math:: L_u = L_v = \frac{h}{(0.177 + 0.000823\, h)^{1.2}} \quad (h \text{ in ft})

    Parameters
    ----------
    height : float
        Height above ground, [m]

    Returns
    -------
    length : float
        Scale, [m]

    Raises
    ------
    ValueError
        Above 1000 ft or below ground.

    Notes
    -----
    Range: up to 1000 ft; the vertical scale is the height itself.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.3.3 (from memory).

    Examples
    --------
    >>> round(horizontal_turbulence_length(50.0 * FOOT) / FOOT, 3)
    310.788
    """
    return height * exp(-1.2 * log(_height_factor(height)))


def vertical_turbulence(wind_at_20_feet: float) -> float:
    r"""Vertical turbulence near the ground as one standard deviation.

    .. math:: \sigma_w = 0.1\, W_{20}

    Parameters
    ----------
    wind_at_20_feet : float
        Wind at 20 ft: 15, 30, 45 kt for light, moderate, severe, [m/s]

    Returns
    -------
    deviation : float
        Standard deviation, [m/s]

    Notes
    -----
    Range: up to 1000 ft.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.3.4 (from memory).

    Examples
    --------
    >>> round(vertical_turbulence(15.0 * KNOT), 5)
    0.77167
    """
    return 0.1 * wind_at_20_feet


def horizontal_turbulence(height: float, wind_at_20_feet: float) -> float:
    r"""Horizontal turbulence near the ground as one standard deviation.

    .. math:: \sigma_u = \sigma_v = \frac{\sigma_w}{(0.177 + 0.000823\, h)^{0.4}}
        \quad (h \text{ in ft})

    Parameters
    ----------
    height : float
        Height above ground, [m]
    wind_at_20_feet : float
        Wind at 20 ft, [m/s]

    Returns
    -------
    deviation : float
        Standard deviation, [m/s]

    Raises
    ------
    ValueError
        Above 1000 ft or below ground.

    Notes
    -----
    Range: up to 1000 ft.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.3.4 (from memory).

    Examples
    --------
    >>> round(horizontal_turbulence(50.0 * FOOT, 15.0 * KNOT), 5)
    1.41882
    """
    return vertical_turbulence(wind_at_20_feet) * exp(-0.4 * log(_height_factor(height)))


def vertical_turbulence_spectrum(wavenumber: float, deviation: float, length: float) -> float:
    r"""Dryden spectrum of vertical turbulence over wavenumber, one-sided.

    .. math:: \Phi_w = \frac{\sigma^2 L}{\pi}
        \frac{1 + 3 (L\Omega)^2}{\left(1 + (L\Omega)^2\right)^2}

    Parameters
    ----------
    wavenumber : float
        Spatial frequency, [rad/m]
    deviation : float
        Standard deviation, [m/s]
    length : float
        Length scale, [m]

    Returns
    -------
    density : float
        Spectral density; its integral from 0 is the variance, [m^3/(s^2*rad)]

    Notes
    -----
    Range: the scale of metres to kilometres; the tail falls with the square of the wavenumber,
    steeper than measured turbulence.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.1.2.

    Examples
    --------
    >>> round(vertical_turbulence_spectrum(0.0, 1.0, pi), 6)
    1.0
    """
    square = (length * wavenumber) ** 2
    return deviation**2 * length / pi * (1.0 + 3.0 * square) / (1.0 + square) ** 2
