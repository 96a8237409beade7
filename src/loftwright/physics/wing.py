"""What a wing of finite span does with the lift of its sections.

All is arithmetic: arrays may stand where floats do.
"""

from __future__ import annotations

from math import asin, sqrt

__all__ = [
    "broadside_drag",
    "downwash_slope",
    "elliptic_mean",
    "mean_chord",
    "swept_slope",
]

PI = 3.141592653589793


def _root(value: float) -> float:
    """Square root that also takes arrays."""
    root: float = value**0.5
    return root


def swept_slope(aspect_ratio: float, sweep_tangent: float) -> float:
    r"""Lift slope of a thin wing of any aspect ratio.

    .. math:: a = \frac{2 \pi A}{2 + \sqrt{4 + A^2 (1 + \tan^2 \Lambda_{1/2})}}

    Parameters
    ----------
    aspect_ratio : float
        Span squared over area, A, [-]
    sweep_tangent : float
        Tangent of the sweep of the mid-chord line, [-]

    Returns
    -------
    slope : float
        Lift slope on the wing's area, [1/rad]

    Notes
    -----
    Range: any aspect ratio, incompressible, attached flow, section slope of 2 pi. Without sweep it
    is Helmbold's formula, which tends to pi A / 2 for slender wings and to 2 pi for long ones.

    References
    ----------
    H. B. Helmbold, Jahrbuch 1942 der deutschen Luftfahrtforschung; with sweep J. G. Lowry and
    E. C. Polhamus, NACA TN 3911 (1957) (both from memory).

    Examples
    --------
    >>> round(swept_slope(4.0, 0.0), 4)
    3.8832
    """
    square = aspect_ratio * aspect_ratio
    return 2.0 * PI * aspect_ratio / (2.0 + _root(4.0 + square * (1.0 + sweep_tangent**2)))


def broadside_drag(aspect_ratio: float) -> float:
    r"""Drag coefficient of a rectangular plate square to the flow.

    .. math:: C_{D90} = 1.10 + 0.02 \left(A + \frac{1}{A}\right)

    Parameters
    ----------
    aspect_ratio : float
        Length over width of the plate, [-]

    Returns
    -------
    coefficient : float
        Drag coefficient on the area of the plate, [-]

    Notes
    -----
    Range: 1/20 to 20.

    References
    ----------
    Fit to S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 3 (from memory).

    Examples
    --------
    >>> round(broadside_drag(5.0), 3)
    1.204
    """
    return 1.10 + 0.02 * (aspect_ratio + 1.0 / aspect_ratio)


def elliptic_mean(inner: float, outer: float) -> float:
    r"""Mean height of a quarter ellipse of height one over a piece of its length.

    .. math:: \frac{1}{y_2 - y_1} \int_{y_1}^{y_2} \sqrt{1 - y^2}\, \mathrm{d}y

    Parameters
    ----------
    inner, outer : float
        Ends of the piece, as shares of the half span, [-]

    Returns
    -------
    mean : float
        Mean height, [-]

    Notes
    -----
    Range: 0 to 1. A wing's load lies half way between its chord and an ellipse of the same area:
    a strip's slope is that of the wing times ``(1 + (4/pi) mean / chord ratio) / 2``.

    References
    ----------
    O. Schrenk, NACA TM 948 (1940).

    Examples
    --------
    >>> round(4.0 / PI * elliptic_mean(0.0, 1.0), 12)
    1.0
    """

    def below(y: float) -> float:
        return 0.5 * (y * sqrt(1.0 - y * y) + asin(y))

    return (below(outer) - below(inner)) / (outer - inner)


def mean_chord(root_chord: float, tip_chord: float) -> float:
    r"""Mean aerodynamic chord of a straight-tapered wing.

    .. math:: \bar c = \frac23\, \frac{c_r^2 + c_r c_t + c_t^2}{c_r + c_t}

    Parameters
    ----------
    root_chord : float
        Chord in the middle, [m]
    tip_chord : float
        Chord at the tips, [m]

    Returns
    -------
    chord : float
        Mean aerodynamic chord, [m]

    Notes
    -----
    Range: straight edges.

    References
    ----------
    Any text on aerodynamics, e.g. B. Etkin and L. D. Reid, *Dynamics of Flight*, 3rd ed. (1996),
    appendix C (from memory).

    Examples
    --------
    >>> round(mean_chord(0.12, 0.06), 6)
    0.093333
    """
    chords = root_chord + tip_chord
    return 2.0 / 3.0 * (root_chord**2 + root_chord * tip_chord + tip_chord**2) / chords


def downwash_slope(aspect_ratio: float, taper: float, arm: float, height: float) -> float:
    r"""How much of a change of incidence the wing's wake takes away from the tail.

    .. math::
        \frac{\partial \varepsilon}{\partial \alpha} = 4.44 \left[
        \left(\frac1A - \frac{1}{1 + A^{1.7}}\right) \frac{10 - 3 \lambda}{7}\,
        \frac{1 - |h|}{l^{1/3}} \right]^{1.19}

    Parameters
    ----------
    aspect_ratio : float
        Of the wing, A, [-]
    taper : float
        Tip chord over root chord of the wing, [-]
    arm : float
        Distance of the tail behind the wing over the half span, l, [-]
    height : float
        Distance of the tail off the wing's plane over the span, h, [-]

    Returns
    -------
    slope : float
        Change of downwash over change of incidence, [-]

    Notes
    -----
    Range: aspect ratios 2 to 10 or so, little sweep, attached flow, tail one half to three half
    spans behind. The wake is taken to reach the tail at once.

    References
    ----------
    D. E. Hoak, *USAF Stability and Control DATCOM*, section 4.4.1 (from memory).

    Examples
    --------
    >>> round(downwash_slope(5.0, 1.0, 1.0, 0.0), 3)
    0.425
    """
    slenderness = 1.0 / aspect_ratio - 1.0 / (1.0 + aspect_ratio**1.7)
    shape = (10.0 - 3.0 * taper) / 7.0
    place = (1.0 - abs(height)) / arm ** (1.0 / 3.0)
    slope: float = 4.44 * (slenderness * shape * place) ** 1.19
    return slope
