"""Rolling moments of canted fins by strip theory.

Both derivatives are geometry only (no dynamic pressure, no reference area), so the kernel has
two products left to do. All is arithmetic: arrays may stand where floats do.
"""

from __future__ import annotations

__all__ = ["fin_lift_slope", "roll_damping", "roll_forcing", "roll_rate_ratio"]


def fin_lift_slope(set_slope: float, count: float, reference_area: float, fin_area: float) -> float:
    r"""Lift slope of one fin on its own area, from the slope of the set.

    .. math:: a = \frac{2\, C_{N\alpha}}{N} \frac{A}{A_f}

    Parameters
    ----------
    set_slope : float
        Normal-force slope of the set on the reference area, [1/rad]
    count : float
        Number of fins in the set, [-]
    reference_area : float
        Reference area of the set's slope, [m^2]
    fin_area : float
        Area of one fin, one side, [m^2]

    Returns
    -------
    slope : float
        Lift slope of one fin on its own area, [1/rad]

    Notes
    -----
    Range: as for the set; of N fins in a cross-flow, N / 2 count.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> fin_lift_slope(6.0, 3.0, 0.01, 0.02)
    2.0
    """
    return 2.0 * set_slope / count * (reference_area / fin_area)


def roll_forcing(
    count: float,
    lift_slope: float,
    root_chord: float,
    tip_chord: float,
    span: float,
    body_radius: float,
) -> float:
    r"""Give the rolling moment over dynamic pressure and cant.

    .. math:: \frac{M}{q\,\delta} = N a \int_R^{R+s} c(y)\, y\, dy
        = N a \left[\tfrac12 (c_r + c_t) R s + \tfrac16 (c_r + 2 c_t) s^2\right]

    Parameters
    ----------
    count : float
        Number of fins in the set, [-]
    lift_slope : float
        Lift slope of one fin on its own area, [1/rad]
    root_chord : float
        Chord at the body, [m]
    tip_chord : float
        Chord at the tip, [m]
    span : float
        Exposed span of one fin, [m]
    body_radius : float
        Radius of the body at the fins, [m]

    Returns
    -------
    forcing : float
        Rolling moment over dynamic pressure and cant angle, [m^3/rad]

    Notes
    -----
    Range: small cants, subsonic. Strip theory with one slope along the span; interference with
    the body left out, for forcing and damping alike.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(roll_forcing(2.0, 1.0, 1.0, 1.0, 1.0, 0.0), 12)
    1.0
    """
    return (
        count
        * lift_slope
        * (
            (root_chord + tip_chord) * body_radius * span / 2.0
            + (root_chord + 2.0 * tip_chord) * span**2 / 6.0
        )
    )


def roll_damping(
    count: float,
    lift_slope: float,
    root_chord: float,
    tip_chord: float,
    span: float,
    body_radius: float,
) -> float:
    r"""Give the moment against the roll, over dynamic pressure and roll rate over airspeed.

    .. math:: \frac{-M}{q\, p / V} = N a \int_R^{R+s} c(y)\, y^2\, dy = N a \left[
        \tfrac12 (c_r + c_t) R^2 s + \tfrac13 (c_r + 2 c_t) R s^2
        + \tfrac1{12} (c_r + 3 c_t) s^3\right]

    Parameters
    ----------
    count : float
        Number of fins in the set, [-]
    lift_slope : float
        Lift slope of one fin on its own area, [1/rad]
    root_chord : float
        Chord at the body, [m]
    tip_chord : float
        Chord at the tip, [m]
    span : float
        Exposed span of one fin, [m]
    body_radius : float
        Radius of the body at the fins, [m]

    Returns
    -------
    damping : float
        Moment against the roll over dynamic pressure and over rate per airspeed, [m^4/rad]

    Notes
    -----
    Range: tips moving sideways by less than a fifth of the airspeed, subsonic.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> round(roll_damping(3.0, 1.0, 1.0, 1.0, 1.0, 0.0), 12)
    1.0
    """
    return (
        count
        * lift_slope
        * (
            (root_chord + tip_chord) * body_radius**2 * span / 2.0
            + (root_chord + 2.0 * tip_chord) * body_radius * span**2 / 3.0
            + (root_chord + 3.0 * tip_chord) * span**3 / 12.0
        )
    )


def roll_rate_ratio(forcing: float, damping: float, cant: float) -> float:
    r"""Steady roll rate over airspeed, where forcing and damping balance.

    .. math:: \frac pV = \frac{F}{D}\,\delta

    Parameters
    ----------
    forcing : float
        From `roll_forcing`, [m^3/rad]
    damping : float
        From `roll_damping`, [m^4/rad]
    cant : float
        Angle of the fins to the axis, [rad]

    Returns
    -------
    ratio : float
        Roll rate over airspeed, [rad/m]

    Notes
    -----
    Range: as for forcing and damping; the roll of a body that has had time to spin up.

    References
    ----------
    J. S. Barrowman, MS thesis (1967), NTRS 20010047838.

    Examples
    --------
    >>> roll_rate_ratio(2.0, 0.5, 0.01)
    0.04
    """
    return forcing / damping * cant
