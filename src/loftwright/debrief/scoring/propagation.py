"""Uncertainty through a function, with covariances, as the GUM propagates it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["correlation_of", "covariance_of", "propagate"]

Floats = NDArray[np.float64]


def propagate(
    function: Callable[[Floats], Sequence[float] | Floats], values: Floats, covariance: Floats
) -> tuple[Floats, Floats]:
    r"""Return what a function gives, and the covariance of that.

    .. math:: \mathbf{V}_y = \mathbf{J} \mathbf{V}_x \mathbf{J}^T

    Parameters
    ----------
    function : callable
        From the (n,) inputs to (m,) results; smooth over a standard deviation or so.
    values : (n,) array
        Inputs.
    covariance : (n, n) array
        Theirs; symmetric, no variance below zero. An input without variance is certain.

    Returns
    -------
    results : (m,) array
        The function of the values.
    covariance : (m, m) array
        Theirs.

    Notes
    -----
    Sensitivities are differences over one standard deviation to either side, not tangents: that
    is what the Guide allows for a function that bends, and it needs no derivative. First order;
    the mean is not moved.

    References
    ----------
    JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, 5.1.3 note 2, 5.2.2
    and H.2.3; JCGM 102:2011, section 6 (from memory).
    """
    at = np.asarray(values, dtype=float)
    given = np.asarray(covariance, dtype=float)
    sds = np.sqrt(np.diagonal(given))
    results = np.asarray(function(at), dtype=float)
    slopes = np.zeros((len(results), len(at)))
    for place in np.flatnonzero(sds > 0.0):
        step = np.zeros(len(at))
        step[place] = sds[place]
        above, below = (np.asarray(function(at + way * step)) for way in (1.0, -1.0))
        slopes[:, place] = (above - below) / (2.0 * sds[place])
    return results, np.asarray(slopes @ given @ slopes.T)


def covariance_of(sds: Sequence[float] | Floats, correlation: Floats | None = None) -> Floats:
    """Return the covariance of values with these standard deviations, independent by default."""
    spread = np.asarray(sds, dtype=float)
    if correlation is None:
        return np.diag(spread**2)
    found: Floats = np.asarray(correlation) * np.outer(spread, spread)
    return found


def correlation_of(covariance: Floats) -> Floats:
    """Return the correlations of a covariance; 0 with what has no variance, 1 with itself."""
    sds = np.sqrt(np.diagonal(covariance))
    scale = np.outer(sds, sds)
    found: Floats = np.divide(covariance, scale, out=np.zeros_like(covariance), where=scale > 0.0)
    np.fill_diagonal(found, 1.0)
    return found
