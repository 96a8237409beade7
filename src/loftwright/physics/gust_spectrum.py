"""Turbulence as a field: how its energy lies over wavenumber, and what the ground takes of it.

The spectra of the flying-qualities standard are those of an isotropic field whose correlation
along itself falls as exp(-r/L). One spectrum over the size of the wave vector, the energy
spectrum, holds all of them: along and across any line through the field.
"""

from __future__ import annotations

from math import atan, exp, pi

__all__ = [
    "along_gust_spectrum",
    "gust_autocorrelation",
    "gust_corner",
    "gust_energy_share",
    "gust_energy_spectrum",
    "vertical_gust_share",
]


def along_gust_spectrum(wavenumber: float, deviation: float, length: float) -> float:
    r"""Dryden spectrum of the component along the line that is flown, one-sided.

    .. math:: \Phi_u = \frac{2 \sigma^2 L}{\pi} \frac{1}{1 + (L\Omega)^2}

    Parameters
    ----------
    wavenumber : float
        Spatial frequency along the line, [rad/m]
    deviation : float
        Standard deviation of the component, [m/s]
    length : float
        Length scale, [m]

    Returns
    -------
    density : float
        Spectral density; its integral from 0 is the variance, [m^3/(s^2*rad)]

    Notes
    -----
    Range: waves longer than the body; the component across the line has the form of
    `vertical_turbulence_spectrum`.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.1.2 (from memory).

    Examples
    --------
    >>> round(along_gust_spectrum(0.0, 1.0, pi), 6)
    2.0
    """
    return 2.0 * deviation**2 * length / pi / (1.0 + (length * wavenumber) ** 2)


def gust_energy_spectrum(wavenumber: float, deviation: float, length: float) -> float:
    r"""Energy of an isotropic Dryden field over the size of the wave vector.

    .. math:: E = \frac{8 \sigma^2 L}{\pi} \frac{(L k)^4}{\left(1 + (L k)^2\right)^3}

    It follows from the spectrum along a line by :math:`E = k^3 \frac{d}{dk}
    \left(\frac{1}{k} \frac{d\Phi_u}{dk}\right)` with the two-sided :math:`\Phi_u/2`.

    Parameters
    ----------
    wavenumber : float
        Size of the wave vector, [rad/m]
    deviation : float
        Standard deviation of each component, [m/s]
    length : float
        Length scale, [m]

    Returns
    -------
    density : float
        Energy of all three components per mass; its integral is 3/2 of the variance,
        [m^3/(s^2*rad)]

    Notes
    -----
    Range: isotropic turbulence; near the ground it is flattened.

    References
    ----------
    G. K. Batchelor, The Theory of Homogeneous Turbulence (1953), eq. 3.4.18 (from memory), with
    the spectrum of MIL-F-8785C (1980), section 3.7.1.2.

    Examples
    --------
    >>> round(gust_energy_spectrum(1.0, 1.0, 1.0), 6)
    0.31831
    """
    square = (length * wavenumber) ** 2
    return 8.0 * deviation**2 * length / pi * square**2 / (1.0 + square) ** 3


def gust_energy_share(scaled: float) -> float:
    r"""Share of the energy of an isotropic Dryden field that lies below a wavenumber.

    .. math:: F = \frac{2}{\pi} \left(\arctan x - \frac{x\,(5 x^2 + 3)}{3 (1 + x^2)^2}\right),
        \qquad x = L k

    Parameters
    ----------
    scaled : float
        Size of the wave vector times the length scale, [-]

    Returns
    -------
    share : float
        Between 0 and 1, [-]

    Notes
    -----
    Range: all wavenumbers from 0.

    References
    ----------
    The integral of `gust_energy_spectrum` over its whole.

    Examples
    --------
    >>> round(gust_energy_share(1.0), 6)
    0.075587
    >>> round(gust_energy_share(1e9), 6)
    1.0
    """
    square = scaled * scaled
    below = scaled * (5.0 * square + 3.0) / (3.0 * (1.0 + square) ** 2)
    return 2.0 / pi * (atan(scaled) - below)


def gust_corner(speed: float, length: float) -> float:
    r"""Corner frequency of gusts met at a speed.

    .. math:: \omega = V / L

    Parameters
    ----------
    speed : float
        Speed through the field, [m/s]
    length : float
        Length scale, [m]

    Returns
    -------
    corner : float
        Angular frequency above which the gusts' energy falls, [rad/s]

    Notes
    -----
    Range: a field that does not change while it is crossed.

    References
    ----------
    MIL-F-8785C (1980), section 3.7.1.2 (from memory); G. I. Taylor, Proc. R. Soc. A 164 (1938)
    476.

    Examples
    --------
    >>> round(gust_corner(10.0, 100.0), 6)
    0.1
    """
    return speed / length


def gust_autocorrelation(time: float, speed: float, length: float) -> float:
    r"""Correlation of gusts along the line that is flown, with themselves a while later.

    .. math:: \rho = e^{-V \tau / L}

    Parameters
    ----------
    time : float
        The while, [s]
    speed : float
        Speed through the field, [m/s]
    length : float
        Length scale, [m]

    Returns
    -------
    correlation : float
        Between 0 and 1, [-]

    Notes
    -----
    Range: a field that does not change while it is crossed; times from 0.

    References
    ----------
    Fourier transform of the along-line spectrum of MIL-F-8785C (1980), section 3.7.1.2.

    Examples
    --------
    >>> round(gust_autocorrelation(10.0, 10.0, 100.0), 6)
    0.367879
    """
    return exp(-gust_corner(speed, length) * time)


def vertical_gust_share(height: float, full_height: float) -> float:
    r"""Share of a vertical gust that the ground leaves, for air cannot blow through it.

    .. math:: s = z\,(2 - z), \qquad z = \min\left(\frac{h}{h_f}, 1\right)

    Parameters
    ----------
    height : float
        Height above ground, [m]
    full_height : float
        Height from which gusts are whole, [m]

    Returns
    -------
    share : float
        0 at and below the ground, 1 from the full height, [-]

    Notes
    -----
    Range: a smooth stand-in for the blocking of eddies by the ground, which reaches about as far
    up as they are long; theory and tank give a cube root of the height close to the ground
    instead (J. C. R. Hunt and J. M. R. Graham, J. Fluid Mech. 84 (1978) 209, from memory), so the
    lowest metre is calmer here.

    References
    ----------
    Judgement; no published form both ends at the ground and joins the standard's constant
    deviation.

    Examples
    --------
    >>> vertical_gust_share(5.0, 10.0)
    0.75
    """
    z = min(max(height, 0.0) / full_height, 1.0)
    return z * (2.0 - z)
