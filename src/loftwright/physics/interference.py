"""What fins and body do to each other's normal force.

All is arithmetic: arrays may stand where floats do.
"""

from __future__ import annotations

__all__ = [
    "body_carry_over",
    "fin_body_interference",
    "fin_carry_over",
    "simple_interference",
]

PI = 3.141592653589793
HALF_PI = 0.5 * PI


def _root(value: float) -> float:
    """Square root that also takes arrays."""
    root: float = value**0.5
    return root


def _arctangent(ratio: float) -> float:
    r"""Arc tangent of a number between -1 and 1 by arithmetic alone, for floats and arrays.

    Two halvings of the angle bring the argument below 0.2, where nine odd terms of the series
    leave less than 1e-15.
    """
    half = ratio / (1.0 + _root(1.0 + ratio * ratio))
    quarter = half / (1.0 + _root(1.0 + half * half))
    square = quarter * quarter
    series = 0.0
    for odd in (19, 17, 15, 13, 11, 9, 7, 5, 3, 1):
        series = 1.0 / odd - square * series
    return 4.0 * quarter * series


def simple_interference(span: float, body_radius: float) -> float:
    r"""Gain of the fins' normal force by the body between them, the common simple form.

    .. math:: K = 1 + \frac{R}{s + R}

    Parameters
    ----------
    span : float
        Exposed span of one fin, [m]
    body_radius : float
        Radius of the body at the fins, [m]

    Returns
    -------
    factor : float
        Factor on the slope of the fins alone, [-]

    Notes
    -----
    Range: R / (s + R) below 0.6. It stands for the fins in the presence of the body (within 4 %)
    and leaves out what the fins induce on the body.

    References
    ----------
    J. S. Barrowman and J. A. Barrowman (1966), as for the fin set.

    Examples
    --------
    >>> round(simple_interference(0.12, 0.054), 6)
    1.310345
    """
    return 1.0 + body_radius / (span + body_radius)


def fin_body_interference(ratio: float) -> float:
    r"""Gain of the normal force of fins on a body over fins alone, slender-body theory.

    .. math:: K_{W(B)} + K_{B(W)} = (1 + \tau)^2

    Parameters
    ----------
    ratio : float
        Body radius over radius to the fin's tip, [-]

    Returns
    -------
    factor : float
        Force of fins and body together over force on the fins alone, [-]

    Notes
    -----
    Range: ratio 0 to below 1; about 10 % on lift.

    References
    ----------
    W. C. Pitts, J. N. Nielsen, G. E. Kaattari, NACA Report 1307 (1957).

    Examples
    --------
    >>> round(fin_body_interference(0.3), 2)
    1.69
    """
    return (1.0 + ratio) ** 2


def fin_carry_over(ratio: float) -> float:
    r"""Gain of the fins' own normal force by the body's upwash, slender-body theory.

    .. math:: K_{W(B)} = \frac{2}{\pi (1-\tau)^2}\left\{(1+\tau^4)\left[
        \tfrac12 \arctan\tfrac12\left(\tfrac1\tau-\tau\right)+\tfrac\pi4\right]
        - \tau^2\left[\left(\tfrac1\tau-\tau\right)+2\arctan\tau\right]\right\}

    Parameters
    ----------
    ratio : float
        Body radius over radius to the fin's tip, [-]

    Returns
    -------
    factor : float
        Force on the fins beside the body over force on the fins alone, [-]

    Notes
    -----
    Range: ratio 0 to below 1, slender fins; the charts of the report claim 10 % on lift. The
    first arc tangent is written as pi/2 - 2 arctan(ratio), its equal, which holds at ratio 0.

    References
    ----------
    W. C. Pitts, J. N. Nielsen, G. E. Kaattari, *Lift and center of pressure of wing-body-tail
    combinations*, NACA Report 1307 (1957).

    Examples
    --------
    >>> round(fin_carry_over(0.3), 5)
    1.25276
    """
    angle = _arctangent(ratio)
    square = ratio * ratio
    return (
        2.0
        / (PI * (1.0 - ratio) ** 2)
        * (
            (1.0 + square * square) * (HALF_PI - angle)
            - ratio * (1.0 - square)
            - 2.0 * square * angle
        )
    )


def body_carry_over(ratio: float) -> float:
    r"""Give the normal force that the fins induce on the body, slender-body theory.

    .. math:: K_{B(W)} = (1+\tau)^2 - K_{W(B)}

    Parameters
    ----------
    ratio : float
        Body radius over radius to the fin's tip, [-]

    Returns
    -------
    factor : float
        Force on the body over force on the fins alone, [-]

    Notes
    -----
    Range: as for `fin_carry_over`, with a body that goes on behind the fins; without an
    afterbody the carry-over is smaller.

    References
    ----------
    W. C. Pitts, J. N. Nielsen, G. E. Kaattari, NACA Report 1307 (1957).

    Examples
    --------
    >>> round(body_carry_over(0.3), 5)
    0.43724
    """
    return fin_body_interference(ratio) - fin_carry_over(ratio)
