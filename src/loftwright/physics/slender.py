"""Normal force of noses, shoulders and boat-tails at small incidence.

Slopes are per radian on a reference area that the caller names; places are aft of the part's own
front end. All is arithmetic: arrays may stand where floats do.
"""

from __future__ import annotations

__all__ = [
    "cone_centre",
    "conical_change_centre",
    "conical_change_slope",
    "ellipsoid_centre",
    "nose_slope",
    "ogive_centre",
    "parabola_centre",
]


def nose_slope(base_diameter: float, reference_diameter: float) -> float:
    r"""Normal-force slope of a nose, whatever its profile.

    .. math:: C_{N\alpha} = 2 \left(\frac{d_n}{d}\right)^2

    Parameters
    ----------
    base_diameter : float
        Diameter where the nose ends, [m]
    reference_diameter : float
        Diameter of the reference area, [m]

    Returns
    -------
    slope : float
        Normal-force slope, [1/rad]

    Notes
    -----
    Range: slender noses at small incidence, subsonic.

    References
    ----------
    J. S. Barrowman, *The practical calculation of the aerodynamic characteristics of slender
    finned vehicles*, MS thesis, Catholic University of America (1967), NTRS 20010047838.

    Examples
    --------
    >>> nose_slope(0.108, 0.108)
    2.0
    """
    return 2.0 * (base_diameter / reference_diameter) ** 2


def cone_centre(length: float) -> float:
    r"""Where the normal force of a cone acts.

    .. math:: X = \tfrac23 L

    Parameters
    ----------
    length : float
        Length of the nose, [m]

    Returns
    -------
    centre : float
        Centre of the normal force aft of the tip, [m]

    Notes
    -----
    Range: slender-body theory, X = L - V / A with V the volume and A the base area.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(cone_centre(0.30), 6)
    0.2
    """
    return 2.0 / 3.0 * length


def ogive_centre(length: float) -> float:
    r"""Where the normal force of a tangent ogive acts.

    .. math:: X = 0.466\, L

    Parameters
    ----------
    length : float
        Length of the nose, [m]

    Returns
    -------
    centre : float
        Centre of the normal force aft of the tip, [m]

    Notes
    -----
    Range: slender tangent ogives; 0.466 is the value for long ones.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(ogive_centre(0.25), 6)
    0.1165
    """
    return 0.466 * length


def ellipsoid_centre(length: float) -> float:
    r"""Where the normal force of half an ellipsoid acts.

    .. math:: X = \tfrac13 L

    Parameters
    ----------
    length : float
        Length of the nose, [m]

    Returns
    -------
    centre : float
        Centre of the normal force aft of the tip, [m]

    Notes
    -----
    Range: slender-body theory, X = L - V / A with V = 2 A L / 3.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838 (the volume rule; result computed).

    Examples
    --------
    >>> round(ellipsoid_centre(0.15), 6)
    0.05
    """
    return length / 3.0


def parabola_centre(length: float) -> float:
    r"""Where the normal force of a paraboloid with a round tip acts.

    .. math:: X = \tfrac12 L

    Parameters
    ----------
    length : float
        Length of the nose, [m]

    Returns
    -------
    centre : float
        Centre of the normal force aft of the tip, [m]

    Notes
    -----
    Range: slender-body theory, X = L - V / A with V = A L / 2 (radius as the root of the
    distance from the tip).

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838 (the volume rule; result computed).

    Examples
    --------
    >>> parabola_centre(0.2)
    0.1
    """
    return 0.5 * length


def conical_change_slope(
    front_diameter: float, aft_diameter: float, reference_diameter: float
) -> float:
    r"""Normal-force slope of a conical shoulder or boat-tail.

    .. math:: C_{N\alpha} = 2 \left[\left(\frac{d_2}{d}\right)^2
        - \left(\frac{d_1}{d}\right)^2\right]

    Parameters
    ----------
    front_diameter : float
        Diameter at its front end, [m]
    aft_diameter : float
        Diameter at its aft end, [m]
    reference_diameter : float
        Diameter of the reference area, [m]

    Returns
    -------
    slope : float
        Normal-force slope, negative for a narrowing, [1/rad]

    Notes
    -----
    Range: gentle changes without separation; a steep boat-tail loses part of its (negative) share.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(conical_change_slope(0.090, 0.030, 0.090), 6)
    -1.777778
    """
    return 2.0 * ((aft_diameter / reference_diameter) ** 2) - 2.0 * (
        (front_diameter / reference_diameter) ** 2
    )


def conical_change_centre(front_diameter: float, aft_diameter: float, length: float) -> float:
    r"""Where the normal force of a conical shoulder or boat-tail acts.

    .. math:: X = \frac{L}{3}\left[1 + \frac{1 - d_1/d_2}{1 - (d_1/d_2)^2}\right]
        = \frac{L}{3}\left[1 + \frac{d_2}{d_1 + d_2}\right]

    Parameters
    ----------
    front_diameter : float
        Diameter at its front end, [m]
    aft_diameter : float
        Diameter at its aft end, [m]
    length : float
        Its length, [m]

    Returns
    -------
    centre : float
        Centre of the normal force aft of its front end, [m]

    Notes
    -----
    Range: as for the slope. The second form also holds for equal diameters.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(1.06 + conical_change_centre(0.090, 0.030, 0.10), 6)
    1.101667
    """
    return length / 3.0 * (1.0 + aft_diameter / (front_diameter + aft_diameter))
