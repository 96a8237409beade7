"""Scores of an ensemble of flights against a figure that was measured with an uncertainty.

The record is not the truth: it is the truth with an error of a known spread. What is scored is the
forecast of the record, each flight with such an error added; so like is compared with like, and a
forecast is not blamed for what the measurement scatters.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.physics.scoring import normal_share

__all__ = ["crps", "rank"]

Floats = NDArray[np.float64]


def crps(samples: Floats, measured: float, measured_sd: float = 0.0, *, fair: bool = True) -> float:
    r"""Return the continuous ranked probability score of an ensemble; less is better.

    .. math:: \frac1m \sum_i A(x_i - y, \sigma)
              - \frac{1}{2 m (m - 1)} \sum_{i \ne j} A(x_i - x_j, \sqrt2\,\sigma)

    exactly, with :math:`A` the mean distance of `physics.scoring.mean_distance`, which is the
    distance itself where :math:`\sigma = 0`.

    Parameters
    ----------
    samples : (m,) array
        The figure in each flight, all finite.
    measured, measured_sd : float
        The record, and its standard uncertainty.
    fair : bool
        Fair: the expected score is that of the distribution that the flights were drawn from, not
        of so few flights. Else :math:`m^2` stands for :math:`m (m - 1)` and the sum goes over all
        pairs, which is the exact score of the samples taken as the whole distribution.

    Raises
    ------
    ValueError
        When there are no samples.

    References
    ----------
    T. Gneiting and A. E. Raftery, *J. Am. Stat. Assoc.* 102 (2007), 359-378, section 4.2, on
    samples; Grimit et al. (2006), equation 5, on sums of normals; C. A. T. Ferro, "Fair scores
    for ensemble forecasts", *Q. J. R. Meteorol. Soc.* 140 (2014), 1917-1923, on the fair form (all
    from memory).
    """
    number = len(samples)
    if number == 0:
        raise ValueError("a score needs samples")
    to_record = float(np.mean(_distance(samples - measured, measured_sd)))
    if number == 1:
        own = 0.0 if fair else float(_distance(np.zeros(1), np.sqrt(2.0) * measured_sd)[0])
        return to_record - 0.5 * own
    among = _among(samples, np.sqrt(2.0) * measured_sd)  # over i != j
    if fair:
        return to_record - 0.5 * among / (number * (number - 1))
    itself = number * float(_distance(np.zeros(1), np.sqrt(2.0) * measured_sd)[0])
    return to_record - 0.5 * (among + itself) / (number * number)


def _among(samples: Floats, sd: float) -> float:
    """Sum the mean distances of all pairs, each counted both ways."""
    ordered = np.sort(samples)
    number = len(ordered)
    if sd <= 0.0:
        weights = 2.0 * np.arange(number) - number + 1.0
        return float(2.0 * (weights @ ordered))
    return float(
        sum(2.0 * _distance(ordered[i + 1 :] - ordered[i], sd).sum() for i in range(number - 1))
    )


def _distance(means: Floats, sd: float) -> Floats:
    """Return `physics.scoring.mean_distance` of many means."""
    if sd <= 0.0:
        return np.abs(means)
    from scipy.special import erf

    ratio = means / sd
    density = np.exp(-0.5 * ratio * ratio) / np.sqrt(2.0 * np.pi)
    found: Floats = 2.0 * sd * density + means * erf(ratio / np.sqrt(2.0))
    return found


def rank(samples: Floats, measured: float, measured_sd: float = 0.0) -> float:
    """Return where a record stands among forecast records, from 0 to 1.

    The share of the forecast of the record that lies below it, of one flight more than were flown:
    uniform over many flights where the forecast is calibrated (the probability integral transform,
    A. P. Dawid, *J. R. Stat. Soc. A* 147 (1984), 278-292, from memory). Never 0 or 1: nobody has
    flown so many that the next could not lie outside all of them.

    Raises
    ------
    ValueError
        When there are no samples.
    """
    if len(samples) == 0:
        raise ValueError("a rank needs samples")
    below = sum(normal_share(measured, each, measured_sd) for each in samples.tolist())
    return (below + 0.5) / (len(samples) + 1.0)
