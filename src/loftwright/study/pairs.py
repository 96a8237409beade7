"""Two ensembles flown with the same draws, flight by flight: what the change itself does.

Flight i of one and flight i of the other met the same wind and drew the same of every field that
both draw. What they share falls out of the difference, which is therefore known much more closely
than either figure is.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

__all__ = ["LEVEL", "Pair", "median_interval", "paired_amount", "paired_chance"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEVEL = 0.95
LEAST_PAIRS = 6  # of fewer, not even the whole range is a 95 % interval of the median
SLACK = 1e-4  # of the figure: nobody is shown less


@dataclass(frozen=True, slots=True)
class Pair:
    """A figure of both, and the difference; None for what neither or only one of them has.

    Of amounts, medians; of chances, shares. ``difference`` is of ``pairs`` flights in which the
    figure occurred in both, ``low`` to ``high`` its 95 % interval. ``same`` tells that no flight
    differs.
    """

    one: float | None
    other: float | None
    difference: float | None
    low: float | None
    high: float | None
    pairs: int
    same: bool

    @property
    def told_apart(self) -> bool:
        """Tell whether the interval leaves zero out; of single flights, whether they differ."""
        if self.low is None or self.high is None:
            return self.difference is not None and not self.same
        return self.low > 0.0 or self.high < 0.0


def paired_amount(one: Floats | None, other: Floats | None) -> Pair:
    """Compare an amount: medians, and the median of the differences with its interval.

    The interval is that of the sign test, between two of the ordered differences; it supposes no
    distribution.

    References
    ----------
    W. J. Conover, Practical Nonparametric Statistics, 3rd ed. (1999), section 3.2 (from memory).
    """
    if one is None or other is None:
        return Pair(_median(one), _median(other), None, None, None, 0, False)
    both = np.isfinite(one) & np.isfinite(other)
    same = bool(np.array_equal(np.isfinite(one), np.isfinite(other)))
    if not both.any():
        return Pair(_median(one), _median(other), None, None, None, 0, same)
    change = np.sort(other[both] - one[both])
    scale = float(np.max(np.abs(one[both])) + np.max(np.abs(other[both])))
    same = same and float(np.abs(change).max()) <= SLACK * scale
    low, high = median_interval(change)
    return Pair(_median(one), _median(other), _middle(change), low, high, len(change), same)


def _median(column: Floats | None) -> float | None:
    known = np.zeros(0) if column is None else column[np.isfinite(column)]
    return _middle(np.sort(known)) if known.size else None


def _middle(ordered: Floats) -> float:
    """Return the median of values in order; NumPy's own costs twenty times as much of a few."""
    half = len(ordered) // 2
    if len(ordered) % 2:
        return float(ordered[half])
    return float((ordered[half - 1] + ordered[half]) / 2.0)


def median_interval(ordered: Floats) -> tuple[float | None, float | None]:
    """Return the 95 % interval of a median: two of the ordered values, None of too few.

    They stand as far from either end as a fair coin allows.
    """
    count = len(ordered)
    if count < LEAST_PAIRS:
        return None, None
    # The normal form of the binomial, one place wider rather than narrower.
    z = NormalDist().inv_cdf(0.5 + LEVEL / 2.0)
    rank = max(floor((count - z * sqrt(count)) / 2.0), 1)
    return float(ordered[rank - 1]), float(ordered[count - rank])


def paired_chance(one: Bools | None, other: Bools | None) -> Pair:
    """Compare how often something happens: shares, and their difference with its interval.

    Only flights in which it happened in one and not in the other count; half a flight is added to
    each of the four cases, so that none at all still leaves an interval.

    References
    ----------
    A. Agresti and Y. Min, Simple improved confidence intervals for comparing matched proportions,
    *Statistics in Medicine* 24 (2005), 729-740 (from memory).
    """
    mine, theirs = (None if each is None else float(each.mean()) for each in (one, other))
    if one is None or other is None:
        return Pair(mine, theirs, None, None, None, 0, False)
    count = len(one)
    gained = int(np.count_nonzero(other & ~one))
    lost = int(np.count_nonzero(one & ~other))
    same, change = gained == lost == 0, (gained - lost) / count
    if count < LEAST_PAIRS:
        return Pair(mine, theirs, change, None, None, count, same)
    wide = count + 2.0
    middle = (gained - lost) / wide
    z = NormalDist().inv_cdf(0.5 + LEVEL / 2.0)
    half = z * sqrt((gained + lost + 1.0) - (gained - lost) ** 2 / wide) / wide
    low, high = max(middle - half, -1.0), min(middle + half, 1.0)
    return Pair(mine, theirs, change, low, high, count, same)
