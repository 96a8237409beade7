"""A parachute: how it fills, what it does to what hangs on it, how fast it lets it fall."""

from __future__ import annotations

__all__ = ["filled_fraction"]


def filled_fraction(time_since_opening: float, filling_time: float) -> float:
    r"""Share of the canopy's drag area that stands while it fills.

    .. math:: \frac{C_D S(t)}{C_D S} = \min\!\left(1, \left(\frac{t}{t_f}\right)^2\right)

    Parameters
    ----------
    time_since_opening : float
        Time since line stretch, nothing stands before it, [s]
    filling_time : float
        Time until the canopy is full, [s]

    Returns
    -------
    fraction : float
        Drag area over full drag area, 0 to 1, [-]

    Notes
    -----
    Range: solid cloth canopies, whose area grows about quadratically; slotted ones grow more
    nearly linearly. A filling time of zero opens at once.

    References
    ----------
    T. W. Knacke, *Parachute Recovery Systems Design Manual*, NWC TP 6575 (1991), ch. 5
    (from memory).

    Examples
    --------
    >>> filled_fraction(0.1, 0.2)
    0.25
    """
    share = min(max(time_since_opening / max(filling_time, 1e-9), 0.0), 1.0)
    return share * share
