"""How long a sound is under way."""

from __future__ import annotations

from loftwright.physics.atmosphere import speed_of_sound

__all__ = ["sound_delay"]


def sound_delay(distance: float, temperature: float) -> float:
    r"""Time that a sound takes to somebody who hears it.

    .. math:: t = \frac{d}{\sqrt{\gamma R T}}

    Parameters
    ----------
    distance : float
        From where it is made to where it is heard, [m]
    temperature : float
        Of the air, [K]

    Returns
    -------
    delay : float
        By how much it is heard late, [s]

    Notes
    -----
    Range: still air, one temperature; a wind of 5 m/s along the way changes it by 1.5 %.

    References
    ----------
    Speed of sound as for `atmosphere.speed_of_sound`.

    Examples
    --------
    >>> round(sound_delay(100.0, 288.15), 5)
    0.29386
    """
    return distance / speed_of_sound(temperature)
