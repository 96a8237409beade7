"""A chance as counted in so many flights, and how sure that makes it."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

__all__ = ["LEVEL", "Chance", "chance_of", "wilson"]

LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class Chance:
    """How often something happened in ``flights``, and the range that the true share may have."""

    count: int
    flights: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Return the share that was counted; NaN of no flights."""
        return self.count / self.flights if self.flights else float("nan")


def wilson(count: int, flights: int, level: float = LEVEL) -> tuple[float, float]:
    """Return the score interval of a proportion; 0 to 1 where nothing was tried.

    References
    ----------
    E. B. Wilson, "Probable inference, the law of succession, and statistical inference", *Journal
    of the American Statistical Association* 22 (1927), 209-212; recommended by L. D. Brown, T. T.
    Cai and A. DasGupta, "Interval estimation for a binomial proportion", *Statistical Science*
    16(2), 2001, 101-133 (both from memory).
    """
    if flights == 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1.0 + level) / 2.0)
    share, weight = count / flights, z * z / flights
    middle = (share + weight / 2.0) / (1.0 + weight)
    half = z * sqrt(share * (1.0 - share) / flights + weight / (4.0 * flights)) / (1.0 + weight)
    # At none and at all the ends are exact; rounding must not move them.
    low = 0.0 if count == 0 else middle - half
    high = 1.0 if count == flights else middle + half
    return low, high


def chance_of(happened: NDArray[np.bool_]) -> Chance:
    """Return how often ``happened`` is true, with its interval."""
    count, flights = int(np.count_nonzero(happened)), int(happened.size)
    return Chance(count, flights, *wilson(count, flights))
