"""What holds a payload on its side: strengths that add up, and how far a load uses them."""

from __future__ import annotations

from math import sqrt

__all__ = ["hold_use", "margin_of_safety", "shared_strength", "tipping_pull"]

LEAST_STRENGTH = 1e-9  # N, keeps a hold that has no strength at all out of a division by zero


def shared_strength(count: float, strength: float, friction: float, preload: float) -> float:
    r"""Strength of several equal retainers, what their preload grips included.

    .. math:: N (S + \mu F_0)

    Parameters
    ----------
    count : float
        Number of retainers, [-]
    strength : float
        Strength of one, [N]
    friction : float
        Coefficient of friction where the payload rests, [-]
    preload : float
        Force with which one presses the payload onto its rest, [N]

    Returns
    -------
    strength : float
        Strength of all together, [N]

    Notes
    -----
    Range: retainers that give a little before they break, so that all carry their share; stiff and
    brittle ones fail one after the other at less.

    References
    ----------
    Coulomb friction, any text of statics; equal sharing, J. E. Shigley and C. R. Mischke,
    *Mechanical Engineering Design*, 5th ed. (1989), ch. 8, joints in shear (from memory).

    Examples
    --------
    >>> shared_strength(2.0, 10.0, 0.25, 4.0)
    22.0
    """
    return count * (strength + friction * preload)


def hold_use(
    along: float,
    across: float,
    outward: float,
    strength_along: float,
    strength_across: float,
    strength_peel: float,
    friction: float,
) -> float:
    r"""Share of a hold's strength that a combined load uses.

    .. math::
        U = \sqrt{\left(\frac{F_x}{S_x + \mu P}\right)^2 + \left(\frac{F_t}{S_t + \mu P}\right)^2
        + \left(\frac{\max(F_r, 0)}{S_r}\right)^2}, \qquad P = \max(-F_r, 0)

    Parameters
    ----------
    along : float
        Load along the axis, either way, [N]
    across : float
        Load around the body, either way, [N]
    outward : float
        Load straight off the body; a negative one presses it on, [N]
    strength_along : float
        Strength along the axis, [N]
    strength_across : float
        Strength around the body, [N]
    strength_peel : float
        Strength off the body, [N]
    friction : float
        Coefficient of friction where the payload rests, [-]

    Returns
    -------
    use : float
        Share that is used; at 1 the hold gives way, [-]

    Notes
    -----
    Range: loads through the payload's balance point. The round interaction lies between the
    straight line, which is safe for all materials, and no interaction at all.

    References
    ----------
    Round interaction of pull and shear: E. F. Bruhn, *Analysis and Design of Flight Vehicle
    Structures* (1973), ch. D1 (from memory); ANSI/AISC 360, commentary on section J3.7 (from
    memory).

    Examples
    --------
    >>> round(hold_use(3.0, 0.0, 4.0, 6.0, 6.0, 8.0, 0.2), 4)
    0.7071
    >>> round(hold_use(3.0, 0.0, -10.0, 4.0, 4.0, 8.0, 0.2), 4)
    0.5
    """
    grip = friction * max(-outward, 0.0)
    one = along / max(strength_along + grip, LEAST_STRENGTH)
    two = across / max(strength_across + grip, LEAST_STRENGTH)
    three = max(outward, 0.0) / max(strength_peel, LEAST_STRENGTH)
    return sqrt(one * one + two * two + three * three)


def margin_of_safety(use: float) -> float:
    r"""Give by how much a load may still grow before the hold gives way, as a share of it.

    .. math:: M = \frac1U - 1

    Parameters
    ----------
    use : float
        Share of the strength that is used, [-]

    Returns
    -------
    margin : float
        Margin; negative where the hold gives way, [-]

    Raises
    ------
    ValueError
        If the use is not above 0: nothing is loaded then.

    Notes
    -----
    Range: any load above nothing.

    References
    ----------
    E. F. Bruhn, *Analysis and Design of Flight Vehicle Structures* (1973), ch. C1 (from memory).

    Examples
    --------
    >>> margin_of_safety(0.5)
    1.0
    """
    if not use > 0.0:
        raise ValueError(f"the use {use} is not above 0")
    return 1.0 / use - 1.0


def tipping_pull(load: float, height: float, base: float) -> float:
    r"""Pull off the body at the front of a payload that its own inertia tips over its rear end.

    .. math:: F_r = \frac{F_x h}{b}

    Parameters
    ----------
    load : float
        Load along the axis, aft, through the balance point, [N]
    height : float
        Balance point above the skin that takes the load, [m]
    base : float
        Foremost retainer to the rear end, about which it tips, [m]

    Returns
    -------
    pull : float
        Pull straight off the body at the foremost retainer, [N]

    Notes
    -----
    Range: a stiff payload on a stiff body.

    References
    ----------
    Balance of moments, any text of statics.

    Examples
    --------
    >>> tipping_pull(10.0, 0.01, 0.2)
    0.5
    """
    return load * height / base
