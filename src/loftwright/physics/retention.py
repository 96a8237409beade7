"""What holds a payload on its side: strengths that add up, and how far a load uses them."""

from __future__ import annotations

from math import sqrt

__all__ = ["hold_use", "margin_of_safety", "shared_strength", "tipping_pull"]


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
        What the hold bears in each direction, above 0, [N]

    Returns
    -------
    use : float
        Share of the strength that is taken, [-]

    Notes
    -----
    Range: loads through the thing's balance point, holds that give way at once. What the body
    presses on carries part of a sideways load by friction; loads in several directions combine as
    an ellipse, which lies between the straight line, safe for all materials, and no interaction.

    References
    ----------
    Elliptic interaction of pull and shear: E. F. Bruhn, *Analysis and Design of Flight Vehicle
    Structures* (1973), ch. D1; ANSI/AISC 360, commentary on section J3.7 (both from memory).

    Examples
    --------
    >>> round(hold_use(3.0, 0.0, -4.0, 0.2, 6.0, 6.0, 8.0), 4)
    0.7071
    >>> round(hold_use(3.0, 0.0, 10.0, 0.2, 4.0, 4.0, 8.0), 4)
    0.25
    """
    pull = sqrt(along * along + across * across + 1e-24)
    borne = max(pull - grip * max(out, 0.0), 0.0) / pull
    first = borne * along / strength_along
    second = borne * across / strength_across
    third = max(-out, 0.0) / strength_peel
    return sqrt(first * first + second * second + third * third)


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
