"""An uncertain field as a function of a standard normal number, smooth up to its bounds.

Draws of an ensemble that fall outside a field's bounds are folded back, as in a mirror. The same
distribution is had here without the mirror's edge, on which no slope can be taken: each number goes
to the value that has as much of the folded distribution below it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

__all__ = ["FieldPrior"]

Floats = NDArray[np.float64]

NEAR = 5.0  # deviations within which a bound is felt
NODES = 4001


@dataclass(frozen=True)
class FieldPrior:
    """A normal value with its standard deviation, kept between two bounds as draws are."""

    value: float
    sd: float
    low: float
    high: float

    def at(self, numbers: Floats) -> Floats:
        """Return the values at standard normal numbers."""
        if self._is_free:
            return self.value + self.sd * numbers
        values, places = self._table
        return np.interp(numbers, places, values)

    def number_of(self, values: Floats) -> Floats:
        """Return the standard normal numbers of values, the inverse of `at`."""
        if self._is_free:
            return (values - self.value) / self.sd
        table, places = self._table
        return np.interp(values, table, places)

    @property
    def _is_free(self) -> bool:
        reach = NEAR * self.sd
        return self.low < self.value - reach and self.value + reach < self.high

    @cached_property
    def _table(self) -> tuple[Floats, Floats]:
        """Values, and the standard normal numbers that they belong to."""
        from scipy.special import ndtri

        reach = (NEAR + 2.0) * self.sd
        low, high = max(self.low, self.value - reach), min(self.high, self.value + reach)
        values = np.linspace(low, high, NODES)
        share = self._below(values)
        tiny = 1e-12
        inside = (share > tiny) & (share < 1.0 - tiny)
        # Strictly rising: where the distribution is out of digits there is no value.
        places, first = np.unique(ndtri(share[inside]), return_index=True)
        return values[inside][first], places

    def _below(self, values: Floats) -> Floats:
        """Share of the folded normal distribution below values."""

        def normal(x: Floats) -> Floats:
            found: Floats = ndtr((x - self.value) / self.sd)
            return found

        below = normal(values)
        if np.isfinite(self.low):
            below = below - normal(2.0 * self.low - values)
        if np.isfinite(self.high):
            below = below + 1.0 - normal(2.0 * self.high - values)
        return below
