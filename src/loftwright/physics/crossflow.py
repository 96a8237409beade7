"""Normal force of a bare body at incidence: the potential share and the viscous cross-flow."""

from __future__ import annotations

from math import cos, sin

__all__ = ["body_normal_force", "crossflow_proportion", "potential_normal_force"]


def crossflow_proportion(fineness: float) -> float:
    r"""Cross-flow drag of a body of finite length over that of an endless cylinder.

    .. math:: \eta = 0.6 + 0.08\,\frac{l/d - 4}{6} \ (l/d \le 10), \qquad
        \eta = 0.68 + 0.008\,(l/d - 10)\ (l/d > 10)

    Parameters
    ----------
    fineness : float
        Length over diameter, [-]

    Returns
    -------
    proportion : float
        Share of the endless cylinder's drag, [-]

    Notes
    -----
    Range: length over diameter 4 to 20, cross-flow below critical Reynolds number; straight lines
    through three points of the report's figure.

    References
    ----------
    H. J. Allen and E. W. Perkins, *A study of effects of viscosity on flow over slender inclined
    bodies of revolution*, NACA Report 1048 (1951) (points from memory).

    Examples
    --------
    >>> round(crossflow_proportion(10.0), 3)
    0.68
    """
    short = 0.6 + (fineness - 4.0) * (0.08 / 6.0)
    long = 0.68 + (fineness - 10.0) * 0.008
    return 0.5 * (short + long - abs(short - long))


def potential_normal_force(incidence: float) -> float:
    r"""Normal-force coefficient of a closed-nosed body by slender-body theory.

    .. math:: C_N = \sin 2\alpha\, \cos\tfrac\alpha2

    Parameters
    ----------
    incidence : float
        Angle of the flow to the axis, [rad]

    Returns
    -------
    coefficient : float
        Normal-force coefficient on the base area, [-]

    Notes
    -----
    Range: up to 30 degrees or so, flat base as thick as the body.

    References
    ----------
    H. J. Allen and E. W. Perkins, NACA Report 1048 (1951) (formula from memory).

    Examples
    --------
    >>> round(potential_normal_force(0.174532925), 6)
    0.340719
    """
    return sin(2.0 * incidence) * cos(0.5 * incidence)


def body_normal_force(
    incidence: float, proportion: float, crossflow_drag: float, planform_ratio: float
) -> float:
    r"""Normal-force coefficient of a body, potential flow and cross-flow together.

    .. math:: C_N = \sin 2\alpha \cos\tfrac\alpha2
        + \eta\, c_{dc} \frac{A_p}{A} \sin^2\alpha

    Parameters
    ----------
    incidence : float
        Angle of the flow to the axis, [rad]
    proportion : float
        Cross-flow drag proportion of the finite body, [-]
    crossflow_drag : float
        Drag coefficient of a cylinder across the flow, 1.2 below the drag crisis, [-]
    planform_ratio : float
        Side-view area over reference area, [-]

    Returns
    -------
    coefficient : float
        Normal-force coefficient on the reference area, [-]

    Notes
    -----
    Range: up to 30 degrees or so, cross-flow Reynolds number below 2e5.

    References
    ----------
    H. J. Allen and E. W. Perkins, NACA Report 1048 (1951) (formula from memory).

    Examples
    --------
    >>> round(body_normal_force(0.174532925, 0.68, 1.2, 14.55973), 6)
    0.698967
    """
    across = sin(incidence)
    return (
        potential_normal_force(incidence)
        + proportion * crossflow_drag * planform_ratio * across * across
    )
