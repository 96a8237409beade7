"""Estimates from noisy samples: the gains of simple filters, their noise, and how far they lag."""

from __future__ import annotations

from math import exp, sqrt

__all__ = [
    "low_pass_climb_lag",
    "low_pass_height_lag",
    "low_pass_share",
    "tracking_climb_lag",
    "tracking_gains",
    "tracking_height_lag",
    "tracking_index",
    "tracking_spread",
]


def tracking_index(acceleration_sd: float, interval: float, measurement_sd: float) -> float:
    r"""How far a body may stray between two measurements, in units of their noise.

    .. math:: \lambda = \frac{\sigma_a T^2}{\sigma_z}

    Parameters
    ----------
    acceleration_sd : float
        Standard deviation of the acceleration that the filter does not know of, [m/s2]
    interval : float
        Time from one measurement to the next, [s]
    measurement_sd : float
        Standard deviation of one measurement, [m]

    Returns
    -------
    index : float
        Tracking index, [-]

    Raises
    ------
    ValueError
        If the measurement's spread is not above zero.

    Notes
    -----
    Range: any; 0.01 is a smooth filter, 1 one that follows nearly every sample.

    References
    ----------
    P. R. Kalata, "The tracking index: a generalized parameter for alpha-beta and
    alpha-beta-gamma target trackers", *IEEE Transactions on Aerospace and Electronic Systems*
    20 (1984) 174-182 (from memory).

    Examples
    --------
    >>> round(tracking_index(5.0, 0.05, 1.0), 6)
    0.0125
    """
    if measurement_sd <= 0.0:
        raise ValueError("the spread of a measurement must be above zero")
    return acceleration_sd * interval * interval / measurement_sd


def tracking_gains(index: float) -> tuple[float, float]:
    r"""Steady gains of the best tracking filter for position and speed.

    .. math:: r = \frac{4 + \lambda - \sqrt{8\lambda + \lambda^2}}{4}, \qquad
        \alpha = 1 - r^2, \qquad \beta = 2(2 - \alpha) - 4\sqrt{1 - \alpha}

    Parameters
    ----------
    index : float
        Tracking index, [-]

    Returns
    -------
    position_gain : float
        Share of what a measurement differs by that goes into the position, [-]
    speed_gain : float
        The same into the speed, times the interval, [-]

    Raises
    ------
    ValueError
        If the index is negative.

    Notes
    -----
    Range: an acceleration that is white from one interval to the next; the gains are then those
    of the Kalman filter once it has settled.

    References
    ----------
    Kalata (1984), as for `tracking_index` (from memory); Y. Bar-Shalom, X. R. Li and
    T. Kirubarajan, *Estimation with Applications to Tracking and Navigation* (2001), sec. 6.5
    (from memory).

    Examples
    --------
    >>> tracking_gains(1.0)
    (0.75, 0.5)
    """
    if index < 0.0:
        raise ValueError("a tracking index cannot be negative")
    root = (4.0 + index - sqrt(8.0 * index + index * index)) / 4.0
    alpha = 1.0 - root * root
    return alpha, 2.0 * (2.0 - alpha) - 4.0 * root


def tracking_spread(
    position_gain: float, speed_gain: float, interval: float, measurement_sd: float
) -> tuple[float, float]:
    r"""Spread of what a settled tracking filter says, if it was tuned to what it tracks.

    .. math:: \sigma_h = \sigma_z \sqrt{\alpha}, \qquad
        \sigma_v = \frac{\sigma_z}{T}\sqrt{\beta\,\frac{\alpha - \beta/2}{1 - \alpha}}

    Parameters
    ----------
    position_gain, speed_gain : float
        Gains as `tracking_gains` gives them, [-]
    interval : float
        Time from one measurement to the next, [s]
    measurement_sd : float
        Standard deviation of one measurement, [m]

    Returns
    -------
    position_sd : float
        Standard deviation of the position, [m]
    speed_sd : float
        Standard deviation of the speed, [m/s]

    Raises
    ------
    ValueError
        If the position gain is not between 0 and 1.

    Notes
    -----
    Range: gains of one tracking index. Motion is part of this spread, not only noise.

    References
    ----------
    Bar-Shalom, Li and Kirubarajan (2001), sec. 6.5 (from memory).

    Examples
    --------
    >>> alpha, beta = tracking_gains(0.0125)
    >>> [round(each, 6) for each in tracking_spread(alpha, beta, 0.05, 1.0)]
    [0.382377, 0.871744]
    """
    if not 0.0 <= position_gain < 1.0:
        raise ValueError("a position gain must be between 0 and 1")
    share = speed_gain * (position_gain - 0.5 * speed_gain) / (1.0 - position_gain)
    return measurement_sd * sqrt(position_gain), measurement_sd / interval * sqrt(max(0.0, share))


def tracking_height_lag(
    acceleration: float, position_gain: float, speed_gain: float, interval: float
) -> float:
    r"""How far a tracking filter's position stays behind under a steady acceleration.

    .. math:: e_h = (1 - \alpha)\frac{a T^2}{\beta}

    Parameters
    ----------
    acceleration : float
        Acceleration of what is tracked, [m/s2]
    position_gain, speed_gain : float
        Gains as `tracking_gains` gives them, [-]
    interval : float
        Time from one measurement to the next, [s]

    Returns
    -------
    lag : float
        True position less the estimate, after a measurement was taken in, [m]

    Notes
    -----
    Range: settled, without noise. At steady speed there is no lag at all.

    References
    ----------
    The filter's difference equations with a constant error: the speed grows by :math:`aT` a
    step, which needs an innovation of :math:`aT^2/\beta`; same as in Bar-Shalom, Li and
    Kirubarajan (2001), sec. 6.5 (from memory).

    Examples
    --------
    >>> round(tracking_height_lag(-20.0, 0.75, 0.5, 0.1), 6)
    -0.1
    """
    return (1.0 - position_gain) * acceleration * interval * interval / speed_gain


def tracking_climb_lag(
    acceleration: float, position_gain: float, speed_gain: float, interval: float
) -> float:
    r"""How far a tracking filter's speed stays behind under a steady acceleration.

    .. math:: e_v = a T\left(\frac{\alpha}{\beta} - \frac{1}{2}\right)

    Parameters
    ----------
    acceleration : float
        Acceleration of what is tracked, [m/s2]
    position_gain, speed_gain : float
        Gains as `tracking_gains` gives them, [-]
    interval : float
        Time from one measurement to the next, [s]

    Returns
    -------
    lag : float
        True speed less the estimate, after a measurement was taken in, [m/s]

    Notes
    -----
    Range: settled, without noise. In time this is :math:`T(\alpha/\beta - 1/2)`: by so much a
    threshold in climb is crossed late.

    References
    ----------
    As for `tracking_height_lag`.

    Examples
    --------
    >>> round(tracking_climb_lag(-20.0, 0.75, 0.5, 0.1), 6)
    -2.0
    """
    return acceleration * interval * (position_gain / speed_gain - 0.5)


def low_pass_share(interval: float, time_constant: float) -> float:
    r"""Share of a new sample that a first-order low-pass filter takes in.

    .. math:: g = 1 - e^{-T/\tau}

    Parameters
    ----------
    interval : float
        Time from one sample to the next, [s]
    time_constant : float
        Time in which a step is followed to 63 %; 0 follows at once, [s]

    Returns
    -------
    share : float
        Share, [-]

    Notes
    -----
    Range: exact for an input that stays from one sample to the next.

    References
    ----------
    A. V. Oppenheim and R. W. Schafer, *Discrete-Time Signal Processing*, 3rd ed. (2010),
    sec. 7.2, impulse invariance (from memory).

    Examples
    --------
    >>> round(low_pass_share(0.02, 0.1), 6)
    0.181269
    """
    return 1.0 if time_constant <= 0.0 else 1.0 - exp(-interval / time_constant)


def low_pass_height_lag(speed: float, acceleration: float, share: float, interval: float) -> float:
    r"""How far a low-pass filter's position stays behind under a steady acceleration.

    .. math:: e_h = v T\,\frac{1 - g}{g} - \frac{a T^2}{2}\,\frac{(1-g)(2-g)}{g^2}

    Parameters
    ----------
    speed : float
        Speed of what is measured, now, [m/s]
    acceleration : float
        Its acceleration, [m/s2]
    share : float
        Share that the filter takes in, [-]
    interval : float
        Time from one sample to the next, [s]

    Returns
    -------
    lag : float
        True position less the estimate, [m]

    Notes
    -----
    Range: settled, without noise. The first factor is the filter's mean delay.

    References
    ----------
    Mean and mean square of the filter's weights :math:`g(1-g)^k`, those of a geometric
    distribution: W. Feller, *An Introduction to Probability Theory*, vol. 1, ch. XI (from memory).

    Examples
    --------
    >>> round(low_pass_height_lag(50.0, 0.0, 0.2, 0.02), 6)
    4.0
    """
    late = (1.0 - share) / share
    square = late * (2.0 - share) / share
    return speed * interval * late - 0.5 * acceleration * interval * interval * square


def low_pass_climb_lag(
    acceleration: float, height_share: float, climb_share: float, interval: float
) -> float:
    r"""How far the filtered rate of a filtered position stays behind under steady acceleration.

    .. math:: e_v = a T \left(\frac{1}{2} + \frac{1 - g_h}{g_h} + \frac{1 - g_v}{g_v}\right)

    Parameters
    ----------
    acceleration : float
        Acceleration of what is measured, [m/s2]
    height_share : float
        Share that the filter of the position takes in, [-]
    climb_share : float
        Share that the filter of the rate takes in, [-]
    interval : float
        Time from one sample to the next, [s]

    Returns
    -------
    lag : float
        True speed less the estimate, [m/s]

    Notes
    -----
    Range: settled, without noise. The half is that of a difference of two samples, which tells
    the speed halfway between them; with both shares 1 it is all that is left.

    References
    ----------
    Mean delays add, as for `low_pass_height_lag`.

    Examples
    --------
    >>> round(low_pass_climb_lag(-20.0, 0.2, 0.1, 0.02), 6)
    -5.4
    """
    late = (1.0 - height_share) / height_share + (1.0 - climb_share) / climb_share
    return acceleration * interval * (0.5 + late)
