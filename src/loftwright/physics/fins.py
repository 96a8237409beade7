"""Normal force of fins at small incidence, the body left out.

Slopes are per radian on a reference area that the caller names. All is arithmetic: arrays may stand
where floats do.
"""

from __future__ import annotations

__all__ = [
    "fin_set_centre",
    "fin_set_slope",
    "mid_chord_length",
    "single_fin_slope",
]

PI = 3.141592653589793


def _root(value: float) -> float:
    """Square root that also takes arrays."""
    root: float = value**0.5
    return root


def mid_chord_length(root_chord: float, tip_chord: float, span: float, sweep: float) -> float:
    r"""Length of the line through the middles of a fin's chords.

    .. math:: l = \sqrt{s^2 + \left(x_t + \tfrac12 (c_t - c_r)\right)^2}

    Parameters
    ----------
    root_chord : float
        Chord at the body, [m]
    tip_chord : float
        Chord at the tip, [m]
    span : float
        Exposed span of one fin, [m]
    sweep : float
        How far the tip's leading edge stands aft of the root's, [m]

    Returns
    -------
    length : float
        Length of the mid-chord line, [m]

    Notes
    -----
    Range: fins with straight edges.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(mid_chord_length(0.20, 0.10, 0.12, 0.10), 6)
    0.13
    """
    middle = sweep + 0.5 * (tip_chord - root_chord)
    return _root(span * span + middle * middle)


def fin_set_slope(
    count: float,
    root_chord: float,
    tip_chord: float,
    span: float,
    sweep: float,
    reference_diameter: float,
    mach: float,
) -> float:
    r"""Normal-force slope of a set of equal fins, the body's influence left out.

    .. math:: C_{N\alpha} = \frac{4 N (s/d)^2}
        {1 + \sqrt{1 + \beta^2 \left(\frac{2 l}{c_r + c_t}\right)^2}},
        \qquad \beta^2 = 1 - M^2

    Parameters
    ----------
    count : float
        Number of fins in the set, [-]
    root_chord : float
        Chord at the body, [m]
    tip_chord : float
        Chord at the tip, [m]
    span : float
        Exposed span of one fin, [m]
    sweep : float
        How far the tip's leading edge stands aft of the root's, [m]
    reference_diameter : float
        Diameter of the reference area, [m]
    mach : float
        Mach number, [-]

    Returns
    -------
    slope : float
        Normal-force slope of the set, [1/rad]

    Notes
    -----
    Range: three or more thin fins, evenly spaced, Mach below 0.8, small incidence.

    References
    ----------
    J. S. Barrowman and J. A. Barrowman, *The theoretical prediction of the center of pressure*
    (1966); J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(fin_set_slope(3, 0.20, 0.10, 0.12, 0.10, 0.108, 0.0), 6)
    6.376638
    """
    slenderness = (
        2.0 * mid_chord_length(root_chord, tip_chord, span, sweep) / (root_chord + tip_chord)
    )
    beta_squared = 1.0 - mach * mach
    return (
        4.0
        * count
        * (span / reference_diameter) ** 2
        / (1.0 + _root(1.0 + beta_squared * slenderness * slenderness))
    )


def single_fin_slope(
    root_chord: float,
    tip_chord: float,
    span: float,
    sweep: float,
    reference_area: float,
    mach: float,
) -> float:
    r"""Normal-force slope of one fin after Diederich's plan-form parameter.

    .. math:: C_{N\alpha,1} = \frac{C_{N\alpha,0} F_D \frac{A_f}{A} \cos\Gamma}
        {2 + F_D \sqrt{1 + 4 / F_D^2}}, \quad
        F_D = \frac{2 \pi\, a}{C_{N\alpha,0} \cos\Gamma}, \quad
        C_{N\alpha,0} = \frac{2\pi}{\beta}, \quad a = \frac{2 s^2}{A_f}

    Parameters
    ----------
    root_chord : float
        Chord at the body, [m]
    tip_chord : float
        Chord at the tip, [m]
    span : float
        Exposed span of the fin, [m]
    sweep : float
        How far the tip's leading edge stands aft of the root's, [m]
    reference_area : float
        Reference area, [m^2]
    mach : float
        Mach number, [-]

    Returns
    -------
    slope : float
        Normal-force slope of the fin at incidence in its own plane, [1/rad]

    Notes
    -----
    Range: Mach below 0.8. A set of N fins has N / 2 times this slope. The angle is the sweep of
    the mid-chord line.

    References
    ----------
    F. W. Diederich, *A plan-form parameter for correlating certain aerodynamic characteristics
    of swept wings*, NACA TN 2335 (1951); J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(single_fin_slope(0.20, 0.10, 0.12, 0.10, 0.25 * PI * 0.108**2, 0.0), 6)
    4.251092
    """
    fin_area = 0.5 * (root_chord + tip_chord) * span
    aspect_ratio = 2.0 * span * span / fin_area
    cosine = span / mid_chord_length(root_chord, tip_chord, span, sweep)
    section_slope = 2.0 * PI / _root(1.0 - mach * mach)
    parameter = 2.0 * PI * aspect_ratio / (section_slope * cosine)
    return (
        section_slope
        * parameter
        * (fin_area / reference_area)
        * cosine
        / (2.0 + parameter * _root(1.0 + 4.0 / (parameter * parameter)))
    )


def fin_set_centre(root_chord: float, tip_chord: float, sweep: float) -> float:
    r"""Where the normal force of a set of fins acts.

    .. math:: X = \frac{x_t}{3} \frac{c_r + 2 c_t}{c_r + c_t}
        + \frac16 \left(c_r + c_t - \frac{c_r c_t}{c_r + c_t}\right)

    Parameters
    ----------
    root_chord : float
        Chord at the body, [m]
    tip_chord : float
        Chord at the tip, [m]
    sweep : float
        How far the tip's leading edge stands aft of the root's, [m]

    Returns
    -------
    centre : float
        Centre of the normal force aft of the root's leading edge, [m]

    Notes
    -----
    Range: subsonic; it is the quarter point of the mean aerodynamic chord.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(1.10 + fin_set_centre(0.20, 0.10, 0.10), 6)
    1.183333
    """
    chords = root_chord + tip_chord
    return (
        sweep / 3.0 * (root_chord + 2.0 * tip_chord) / chords
        + (chords - root_chord * tip_chord / chords) / 6.0
    )
