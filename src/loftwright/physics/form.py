"""Form factors: how much more drag than a flat plate a thick shape has at the same friction.

All is arithmetic: arrays may stand where floats do.
"""

from __future__ import annotations

__all__ = ["body_form_factor", "fin_form_factor", "fuselage_form_factor"]


def body_form_factor(fineness: float) -> float:
    r"""Drag of a streamlined body of revolution over the friction of its wetted area.

    .. math:: 1 + 1.5 \left(\frac dl\right)^{1.5} + 7 \left(\frac dl\right)^3

    Parameters
    ----------
    fineness : float
        Length over diameter, [-]

    Returns
    -------
    factor : float
        Form factor, [-]

    Notes
    -----
    Range: fineness 4 or more, turbulent boundary layer, no separation ahead of the base.

    References
    ----------
    S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 6, eq. 28 (from memory).

    Examples
    --------
    >>> round(body_form_factor(10.0), 5)
    1.05443
    """
    slenderness: float = fineness**-1.5
    return 1.0 + 1.5 * slenderness + 7.0 * slenderness * slenderness


def fuselage_form_factor(fineness: float) -> float:
    r"""Drag of a fuselage over the friction of its wetted area; an independent opinion.

    .. math:: 1 + \frac{60}{(l/d)^3} + 0.0025\, \frac ld

    Parameters
    ----------
    fineness : float
        Length over diameter, [-]

    Returns
    -------
    factor : float
        Form factor, [-]

    Notes
    -----
    Range: fineness 4 to 20, streamlined fuselages, subsonic.

    References
    ----------
    *USAF Stability and Control DATCOM*, section 4.2.3.1 (from memory).

    Examples
    --------
    >>> round(fuselage_form_factor(10.0), 3)
    1.085
    """
    return 1.0 + 60.0 / fineness**3 + 0.0025 * fineness


def fin_form_factor(thickness_ratio: float) -> float:
    r"""Drag of a fin section over the friction of its two sides.

    .. math:: 1 + 2 \frac tc + 60 \left(\frac tc\right)^4

    Parameters
    ----------
    thickness_ratio : float
        Thickness over chord, [-]

    Returns
    -------
    factor : float
        Form factor, [-]

    Notes
    -----
    Range: streamlined sections, thickest near 30 % of the chord, thinner than 25 %. Square edges
    cost more than this.

    References
    ----------
    S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 6, eq. 6 (from memory).

    Examples
    --------
    >>> round(fin_form_factor(0.1), 3)
    1.206
    """
    return 1.0 + 2.0 * thickness_ratio + 60.0 * thickness_ratio**4
