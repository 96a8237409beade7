"""From numbers to places on the page: linear scales and round tick values."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

__all__ = ["Scale", "nice_ticks", "tick_texts"]


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight map from ``low..high`` in the data to ``start..end`` on the page."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the place of ``value``; of an empty range, the start."""
        width = self.high - self.low
        if width == 0.0:
            return self.start
        return self.start + (value - self.low) / width * (self.end - self.start)


def _nice_step(rough: float) -> float:
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * m for m in (1.0, 2.0, 5.0, 10.0) if power * m >= rough * (1 - 1e-9))


def nice_ticks(low: float, high: float, about: int) -> list[float]:
    """Return round values inside ``low..high``, no more than ``about + 1`` of them.

    An empty or non-finite range gives the one finite value there is, or nothing.
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return []
    if high <= low:
        return [low]
    step = _nice_step((high - low) / max(about, 1))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [0.0 if k == 0 else k * step for k in range(first, last + 1)]


def tick_texts(ticks: list[float]) -> list[str]:
    """Return the ticks as text with just the decimals that tell them apart."""
    if len(ticks) < 2:
        return [f"{t:.3g}".replace("-", "−") for t in ticks]
    step = min(b - a for a, b in pairwise(ticks))
    decimals = next((d for d in range(9) if abs(round(step, d) - step) < 1e-6 * step), 9)
    # Four whole digits read well as they are, as in `quantities.digits`.
    gap = "\u202f" if max(map(abs, ticks)) >= 10_000 else ""
    shown = ["0" if t == 0 else f"{t:,.{decimals}f}" for t in ticks]
    return [each.replace(",", gap).replace("-", "−") for each in shown]
