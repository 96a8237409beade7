"""What a sensor's own filter, and the line that leads to it, do to what it reads."""

from __future__ import annotations

from math import pi, sqrt

__all__ = [
    "decimated_share",
    "filter_noise_gain",
    "filter_ramp_lag",
    "filter_response_time",
    "filter_step_left",
    "tube_lag",
]


def filter_ramp_lag(coefficient: float) -> float:
    r"""How many values a first-order filter trails a ramp.

    .. math:: y_n = y_{n-1} + \frac{x_n - y_{n-1}}{c}
        \quad\Rightarrow\quad \text{lag} = c - 1

    Parameters
    ----------
    coefficient : float
        Of the filter; 1 is off, [-]

    Returns
    -------
    lag : float
        Number of values, [-]

    Notes
    -----
    Range: coefficient of 1 or more; after the start has died away.

    References
    ----------
    The recursion itself; the form is that of filters built into barometers.

    Examples
    --------
    >>> filter_ramp_lag(4.0)
    3.0
    """
    return coefficient - 1.0


def filter_noise_gain(coefficient: float) -> float:
    r"""Noise behind a first-order filter over white noise before it.

    .. math:: g = \sqrt{\frac{1}{2c - 1}}

    Parameters
    ----------
    coefficient : float
        Of the filter; 1 is off, [-]

    Returns
    -------
    gain : float
        Ratio of standard deviations, [-]

    Notes
    -----
    Range: coefficient of 1 or more, and noise that does not remember itself.

    References
    ----------
    Variance of the recursion of `filter_ramp_lag`.

    Examples
    --------
    >>> round(filter_noise_gain(4.0), 5)
    0.37796
    """
    return sqrt(1.0 / (2.0 * coefficient - 1.0))


def filter_step_left(coefficient: float, values: float) -> float:
    r"""Share of a step that a first-order filter has not followed yet.

    .. math:: r = \left(1 - \frac{1}{c}\right)^n

    Parameters
    ----------
    coefficient : float
        Of the filter; 1 is off, [-]
    values : float
        Number of values since the step, [-]

    Returns
    -------
    left : float
        Share, [-]

    Notes
    -----
    Range: coefficient of 1 or more.

    References
    ----------
    The recursion of `filter_ramp_lag`.

    Examples
    --------
    >>> round(filter_step_left(4.0, 6.0), 4)
    0.178
    """
    left: float = (1.0 - 1.0 / coefficient) ** values
    return left


def filter_response_time(values: float, rate: float) -> float:
    r"""Time that a number of values takes at a rate.

    .. math:: t = n / f

    Parameters
    ----------
    values : float
        Number of values until most of a step has come through, [-]
    rate : float
        Values a second, [Hz]

    Returns
    -------
    time : float
        Response time, [s]

    Notes
    -----
    Range: data sheets give the number of values to three quarters of a step.

    References
    ----------
    Data sheet BST-BMP280-DS001 (2018), table of filter settings.

    Examples
    --------
    >>> round(filter_response_time(11.0, 13.51), 4)
    0.8142
    """
    return values / rate


def decimated_share(coefficient: float, values: float) -> float:
    r"""Share that a filter moves in one reading when several values lie between two readings.

    .. math:: a = 1 - \left(1 - \frac{1}{c}\right)^n

    Parameters
    ----------
    coefficient : float
        Of the filter; 1 is off, [-]
    values : float
        Values of the sensor for each reading; one where it is slower, [-]

    Returns
    -------
    share : float
        Share of the distance to a steady input, [-]

    Notes
    -----
    Range: an input that changes little between two readings.

    References
    ----------
    The recursion of `filter_ramp_lag`, n times over.

    Examples
    --------
    >>> decimated_share(4.0, 1.0), round(decimated_share(4.0, 4.0), 4)
    (0.25, 0.6836)
    """
    return 1.0 - filter_step_left(coefficient, values)


def tube_lag(
    length: float, diameter: float, volume: float, pressure: float, viscosity: float
) -> float:
    r"""Time constant of a sensor at the end of a thin tube.

    .. math:: \tau = \frac{128\,\mu L V}{\pi d^4 p}

    Parameters
    ----------
    length : float
        Length of the tube, [m]
    diameter : float
        Inner diameter of the tube, [m]
    volume : float
        Air behind the tube, [m^3]
    pressure : float
        Absolute pressure, [Pa]
    viscosity : float
        Dynamic viscosity of the air, [Pa s]

    Returns
    -------
    lag : float
        Time constant; in a steady climb heights trail by climb speed times this, [s]

    Notes
    -----
    Range: laminar flow, and a tube that holds much less air than what is behind it.

    References
    ----------
    Poiseuille's law; the form of W. Gracey, *Measurement of Aircraft Speed and Altitude*, NASA
    RP-1046 (1980), after NACA Report 919 (from memory).

    Examples
    --------
    >>> round(1e3 * tube_lag(0.3, 1e-3, 5e-6, 101325.0, 1.789e-5), 3)
    10.791
    """
    return 128.0 * viscosity * length * volume / (pi * diameter**4 * pressure)
