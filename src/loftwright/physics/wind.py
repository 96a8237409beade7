"""Mean wind over height."""

from __future__ import annotations

from math import log

__all__ = ["log_wind_speed"]


def log_wind_speed(
    height: float, reference_speed: float, reference_height: float, roughness: float
) -> float:
    r"""Mean wind over open ground, logarithmic in height.

    .. math:: u = u_r \frac{\ln(h / z_0)}{\ln(h_r / z_0)}, \qquad u = 0 \text{ for } h < z_0

    Parameters
    ----------
    height : float
        Height above ground, [m]
    reference_speed : float
        Wind measured at the reference height, [m/s]
    reference_height : float
        Height of the measurement, above the roughness length, [m]
    roughness : float
        Roughness length of the ground upwind, [m]

    Returns
    -------
    speed : float
        Mean wind at that height, [m/s]

    Notes
    -----
    Range: the surface layer (some 100 m) in neutral air, that is with wind and clouds. On still
    sunny days and clear nights the profile differs; above the layer the law goes on growing.

    References
    ----------
    IEC 61400-1:2019, section 6.3.2 (logarithmic profile).

    Examples
    --------
    Four metres a second at 10 m over mown grass:

    >>> round(log_wind_speed(50.0, 4.0, 10.0, 0.03), 4)
    5.1082
    """
    return (
        reference_speed
        * log(max(height, roughness) / roughness)
        / log(reference_height / roughness)
    )
