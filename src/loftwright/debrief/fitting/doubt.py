"""What may part a record from the model of its flight, as a covariance whose scale is not known.

Residuals of a record are its noise, what gusts did that day, and what the model gets wrong. The
last of these is smooth: neighbouring readings are wrong alike, so that a thousand of them do not
count as a thousand. How large it is nobody knows beforehand; every scale of a grid counts with its
own weight, and the record itself says which are likely.

M. C. Kennedy, A. O'Hagan, J. R. Stat. Soc. B 63 (2001) 425 (from memory): a model's discrepancy as
a Gaussian process beside the noise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.physics.atmosphere import GRAVITY

__all__ = ["SCALES", "Doubt", "doubt_of", "scale_weights", "smooth_error", "vent_error"]

Floats = NDArray[np.float64]

# The model's own error as a share of the apogee's height, by judgement: two thirds of all models
# of amateurs' vehicles, measured parts and all, are taken to be right to within 0.25 % to 1 %.
MEDIAN_SCALE, SPREAD = 0.005, 0.7
SCALES = np.geomspace(0.0008, 0.04, 9)
VENT_WANDER = 0.003  # of the dynamic pressure
VENT_MEMORY = 0.3  # s
LENGTH = 0.3  # of the ascent, over which the error remembers itself (judgement)


def scale_weights() -> Floats:
    """Return how likely each of ``SCALES`` is before a record is looked at."""
    weights: Floats = np.exp(-0.5 * (np.log(SCALES / MEDIAN_SCALE) / SPREAD) ** 2)
    weights /= weights.sum()
    return weights


def smooth_error(one: Floats, other: Floats) -> Floats:
    """Return the covariance of the model's error between shares of two ascents, for a scale of 1.

    A Matern process of order 3/2, which has a slope everywhere, times the share of the ascent that
    has gone by: an error has to grow from nothing at first motion.

    C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), eq. 4.17
    (from memory).
    """
    apart = np.sqrt(3.0) * np.abs(one[:, None] - other[None, :]) / LENGTH
    covariance: Floats = one[:, None] * other[None, :] * (1.0 + apart) * np.exp(-apart)
    return covariance


def vent_error(time: Floats, climb: Floats) -> Floats:
    """Return the covariance of what the air does at the vents beside one coefficient [m2].

    A vehicle that wobbles and is pushed hard does not have one pressure coefficient: it is taken
    to wander by ``VENT_WANDER`` within some tenths of a second (judgement). The height that the
    dynamic pressure is worth is that of a fall without drag.
    """
    height = VENT_WANDER * np.square(climb) / (2.0 * GRAVITY)
    apart = np.sqrt(3.0) * np.abs(time[:, None] - time[None, :]) / VENT_MEMORY
    covariance: Floats = height[:, None] * height[None, :] * (1.0 + apart) * np.exp(-apart)
    return covariance


@dataclass(frozen=True, slots=True)
class Doubt:
    """A normal distribution of residuals whose covariance is one of several.

    All of them share axes: ``turned`` (k, k) makes a residual a row of independent numbers, whose
    variances under the s covariances are ``variances`` (s, k). ``logs`` (s,) are the logarithms of
    their prior weights and normalisations.
    """

    turned: Floats
    variances: Floats
    logs: Floats

    def log_likelihood(self, residuals: Floats) -> Floats:
        """Logarithm of the density of residuals (n, k), up to a constant, (n,)."""
        found: Floats = np.logaddexp.reduce(self._logs(residuals), axis=1)
        return found

    def weights(self, residual: Floats) -> Floats:
        """How likely each covariance is, seen one residual (k,)."""
        logs = self._logs(residual[None, :])[0]
        weights: Floats = np.exp(logs - logs.max())
        weights /= weights.sum()
        return weights

    def precision(self, residual: Floats) -> Floats:
        """Inverse covariance (k, k), averaged over the scales as the residual makes them likely.

        The step of expectation of A. P. Dempster, N. M. Laird, D. B. Rubin, J. R. Stat. Soc. B 39
        (1977) 1 (from memory): where it is used in a Newton step, the density of the mixture
        rises.
        """
        inverse = self.weights(residual) @ (1.0 / self.variances)
        found: Floats = (self.turned.T * inverse) @ self.turned
        return found

    def _logs(self, residuals: Floats) -> Floats:
        squares = np.square(residuals @ self.turned.T)
        found: Floats = self.logs - 0.5 * squares @ (1.0 / self.variances).T
        return found


def doubt_of(fixed: Floats, growing: Floats, scales: Floats, weights: Floats) -> Doubt:
    """Return the doubt whose covariances are ``fixed + scale**2 * growing``.

    Both are made diagonal at once, so that a scale costs as little as another.

    Parameters
    ----------
    fixed, growing : (k, k) arrays
        The second may be singular, or nothing at all.
    scales, weights : (s,) arrays
        The scales and how likely each is.
    """
    lower = np.linalg.cholesky(fixed)
    white = np.linalg.inv(lower)
    sizes, axes = np.linalg.eigh(white @ growing @ white.T)
    variances = 1.0 + np.square(scales)[:, None] * np.maximum(sizes, 0.0)
    logs = np.log(weights) - np.log(np.diag(lower)).sum() - 0.5 * np.log(variances).sum(axis=1)
    return Doubt(axes.T @ white, variances, logs)
