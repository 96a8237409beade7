"""Drag of spheres and of cylinders across the flow."""

from __future__ import annotations

from math import exp, log

__all__ = ["cylinder_drag", "sphere_drag", "sphere_drag_morrison", "stokes_drag"]


def _checked(reynolds: float, highest: float) -> float:
    if not 0 < reynolds <= highest:
        raise ValueError(f"Reynolds number {reynolds} is not between 0 and {highest}")
    return reynolds


def _power(base: float, exponent: float) -> float:
    return exp(exponent * log(base))


def stokes_drag(reynolds: float) -> float:
    r"""Drag coefficient of a sphere in creeping flow.

    .. math:: C_D = \frac{24}{Re}

    Parameters
    ----------
    reynolds : float
        Reynolds number on the diameter, [-]

    Returns
    -------
    coefficient : float
        Drag coefficient on the frontal area, [-]

    Raises
    ------
    ValueError
        If the Reynolds number is not above 0, or above 1.

    Notes
    -----
    Range: Re below 0.1, within 13 % up to 1.

    References
    ----------
    G. G. Stokes, Trans. Cambridge Philos. Soc. 9 (1851) 8.

    Examples
    --------
    >>> round(stokes_drag(0.1), 6)
    240.0
    """
    return 24.0 / _checked(reynolds, 1.0)


def sphere_drag(reynolds: float) -> float:
    r"""Drag coefficient of a smooth sphere below the drag crisis (Clift and Gauvin).

    .. math:: C_D = \frac{24}{Re}\left(1 + 0.15\, Re^{0.687}\right)
        + \frac{0.42}{1 + 42500\, Re^{-1.16}}

    Parameters
    ----------
    reynolds : float
        Reynolds number on the diameter, [-]

    Returns
    -------
    coefficient : float
        Drag coefficient on the frontal area, [-]

    Raises
    ------
    ValueError
        If the Reynolds number is not above 0, or above 3e5.

    Notes
    -----
    Range: Re up to 3e5 within 6 %; it knows no drag crisis. The authors' earlier paper has
    slightly other constants.

    References
    ----------
    R. Clift, J. R. Grace, M. E. Weber, *Bubbles, Drops, and Particles* (1978), table 5.1, after
    R. Clift and W. H. Gauvin, Can. J. Chem. Eng. 49 (1971) 439-448
    (formula from memory).

    Examples
    --------
    >>> round(sphere_drag(1e3), 5)
    0.46615
    """
    re = _checked(reynolds, 3e5)
    return 24.0 / re * (1.0 + 0.15 * _power(re, 0.687)) + 0.42 / (1.0 + 42500.0 * _power(re, -1.16))


def sphere_drag_morrison(reynolds: float) -> float:
    r"""Drag coefficient of a smooth sphere through the drag crisis (Morrison).

    .. math:: C_D = \frac{24}{Re} + \frac{2.6\, (Re/5)}{1 + (Re/5)^{1.52}}
        + \frac{0.411\, (Re/2.63\times10^5)^{-7.94}}{1 + (Re/2.63\times10^5)^{-8}}
        + \frac{0.25\, (Re/10^6)}{1 + Re/10^6}

    Parameters
    ----------
    reynolds : float
        Reynolds number on the diameter, [-]

    Returns
    -------
    coefficient : float
        Drag coefficient on the frontal area, [-]

    Raises
    ------
    ValueError
        If the Reynolds number is not above 0, or above 1e6.

    Notes
    -----
    Range: Re up to 1e6; a tenth too low near Re = 1.

    References
    ----------
    F. A. Morrison, *An Introduction to Fluid Mechanics* (2013), eq. 8.83, with the constant 0.25
    (formula from memory).

    Examples
    --------
    >>> round(sphere_drag_morrison(1e3), 4)
    0.4838
    """
    re = _checked(reynolds, 1e6)
    slow, crisis, fast = re / 5.0, re / 2.63e5, re / 1e6
    return (
        24.0 / re
        + 2.6 * slow / (1.0 + _power(slow, 1.52))
        + 0.411 * _power(crisis, -7.94) / (1.0 + _power(crisis, -8.0))
        + 0.25 * fast / (1.0 + fast)
    )


def cylinder_drag(reynolds: float) -> float:
    r"""Drag coefficient of a long cylinder across the flow, below the drag crisis.

    .. math:: C_D = 1.18 + \frac{6.8}{Re^{0.89}} + \frac{1.96}{Re^{1/2}}
        - \frac{0.0004\, Re}{1 + 3.64\times10^{-7} Re^2}

    Parameters
    ----------
    reynolds : float
        Reynolds number on the diameter, [-]

    Returns
    -------
    coefficient : float
        Drag coefficient on diameter times length, [-]

    Raises
    ------
    ValueError
        If the Reynolds number is not above 0, or above 2e5.

    Notes
    -----
    Range: Re up to 2e5; beyond, the coefficient falls to 0.2 to 0.4 and rises to 0.7 above 3.5e6.

    References
    ----------
    D. Sucker and H. Brauer, "Fluiddynamik bei quer angestroemten Zylindern", Waerme- und
    Stoffuebertragung 8 (1975) 149-158 (formula from memory).

    Examples
    --------
    >>> round(cylinder_drag(100.0), 2)
    1.45
    """
    re = _checked(reynolds, 2e5)
    return (
        1.18
        + 6.8 * _power(re, -0.89)
        + 1.96 * _power(re, -0.5)
        - 0.0004 * re / (1.0 + 3.64e-7 * re * re)
    )
