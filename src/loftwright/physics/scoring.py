"""Proper scores of a forecast that is a distribution, and how a value stands in it."""

from __future__ import annotations

from math import erf, exp, pi, sqrt

__all__ = ["crps_of_normal", "mean_distance", "normal_share"]


def normal_share(value: float, mean: float, sd: float) -> float:
    r"""Share of a normal distribution that lies below a value.

    .. math:: \Phi\left(\frac{y - \mu}{\sigma}\right)

    Parameters
    ----------
    value : float
        Where to look, any unit
    mean : float
        Mean, in the unit of the value, [same]
    sd : float
        Standard deviation; 0 for a value that is certain, [same]

    Returns
    -------
    share : float
        From 0 to 1; half where the value is certain and met exactly, [-]

    Notes
    -----
    Range: all.

    References
    ----------
    M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions* (1964), 26.2.29 (from
    memory).

    Examples
    --------
    >>> round(normal_share(1.959964, 0.0, 1.0), 6)
    0.975
    """
    if sd <= 0.0:
        return 0.5 if value == mean else float(value > mean)
    return 0.5 * (1.0 + erf((value - mean) / (sd * sqrt(2.0))))


def mean_distance(mean: float, sd: float) -> float:
    r"""Mean distance from zero of a normal variable.

    .. math:: A(\mu, \sigma) = 2\sigma\,\varphi\left(\frac{\mu}{\sigma}\right)
              + \mu\left(2\Phi\left(\frac{\mu}{\sigma}\right) - 1\right)

    Parameters
    ----------
    mean : float
        Mean, any unit
    sd : float
        Standard deviation; 0 for a value that is certain, [same]

    Returns
    -------
    distance : float
        Mean of its absolute value, in the same unit

    Notes
    -----
    Range: all. Of two independent variables, the mean distance between them is that of their
    difference.

    References
    ----------
    E. P. Grimit, T. Gneiting, V. J. Berrocal and N. A. Johnson, "The continuous ranked
    probability score for circular variables and its application to mesoscale forecast ensemble
    verification", *Q. J. R. Meteorol. Soc.* 132 (2006), 2925-2942, equation 5 (from memory).

    Examples
    --------
    >>> round(mean_distance(0.0, 1.0), 6)  # the square root of 2 over pi
    0.797885
    >>> mean_distance(-3.0, 0.0)
    3.0
    """
    if sd <= 0.0:
        return abs(mean)
    ratio = mean / sd
    density = exp(-0.5 * ratio * ratio) / sqrt(2.0 * pi)
    return 2.0 * sd * density + mean * erf(ratio / sqrt(2.0))


def crps_of_normal(value: float, mean: float, sd: float) -> float:
    r"""Continuous ranked probability score of a normal forecast; less is better.

    .. math:: \mathrm{CRPS} = \mathrm{E}|X - y| - \tfrac12 \mathrm{E}|X - X'|
              = A(\mu - y, \sigma) - \tfrac12 A(0, \sqrt2\,\sigma)

    with :math:`A` as in `mean_distance`.

    Parameters
    ----------
    value : float
        What came about, any unit
    mean : float
        Mean of the forecast, [same]
    sd : float
        Its standard deviation, [same]

    Returns
    -------
    score : float
        In the unit of the value; its distance from a forecast without spread

    Notes
    -----
    Range: all. It is proper: whoever believes in a distribution expects the best score from
    forecasting that one.

    References
    ----------
    T. Gneiting and A. E. Raftery, "Strictly proper scoring rules, prediction, and estimation",
    *J. Am. Stat. Assoc.* 102 (2007), 359-378, section 4.2, with the sign turned so that less is
    better (from memory).

    Examples
    --------
    >>> round(crps_of_normal(0.0, 0.0, 1.0), 6)  # (the square root of 2, less 1) over that of pi
    0.233695
    """
    return mean_distance(mean - value, sd) - 0.5 * mean_distance(0.0, sqrt(2.0) * sd)
