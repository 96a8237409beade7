"""How much of what holds a carried thing a load takes."""

from __future__ import annotations

from math import sqrt

__all__ = ["hold_use"]


def hold_use(
    along: float,
    across: float,
    out: float,
    grip: float,
    strength_along: float,
    strength_across: float,
    strength_peel: float,
) -> float:
    r"""Share of a hold's strength that a load takes; at 1 the hold gives way.

    .. math::
        u = \sqrt{\left(\frac{s F_a}{S_a}\right)^2 + \left(\frac{s F_c}{S_c}\right)^2
        + \left(\frac{F_p}{S_p}\right)^2}, \qquad
        s = \frac{\max(\sqrt{F_a^2 + F_c^2} - \mu F_n, 0)}{\sqrt{F_a^2 + F_c^2}}

    Parameters
    ----------
    along : float
        Force that keeps the thing in place along the vehicle's axis, [N]
    across : float
        The same around the vehicle, [N]
    out : float
        The same away from the axis: positive where the body presses on the thing
        (:math:`F_n`), negative where the hold must keep it from coming off (:math:`F_p`), [N]
    grip : float
        Friction coefficient where the thing rests on the body, [-]
    strength_along, strength_across, strength_peel : float
        What the hold bears in each direction, [N]

    Returns
    -------
    use : float
        Share of the strength that is taken, [-]

    Notes
    -----
    Range: holds that give way at once, without yielding first. Loads in several directions
    combine as an ellipse. What the body presses on carries part of a sideways load by friction.

    References
    ----------
    R. C. Juvinall and K. M. Marshek, *Fundamentals of Machine Component Design*, chapter on
    threaded fasteners: elliptic interaction of tension and shear (from memory); Coulomb friction.

    Examples
    --------
    >>> hold_use(3.0, 0.0, 0.0, 0.2, 6.0, 6.0, 6.0)
    0.5
    >>> hold_use(3.0, 0.0, 15.0, 0.2, 6.0, 6.0, 6.0)
    0.0
    """
    pull = sqrt(along * along + across * across + 1e-24)
    carried = max(pull - grip * max(out, 0.0), 0.0) / pull
    first = carried * along / strength_along
    second = carried * across / strength_across
    third = max(-out, 0.0) / strength_peel
    return sqrt(first * first + second * second + third * third)
