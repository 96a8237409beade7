"""An axis of chances that run over several powers of ten, with a place for none at its start."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from loftwright.report.scales import Scale
from loftwright.report.study_axis import Axis

__all__ = ["ChanceAxis", "chance_axis"]

WIDE = 30.0  # of the largest over the smallest: from here on a straight axis tells little
COMMON = 0.5  # where so much happens, what is rare is not what is looked at
UNIT = "in 100 flights"


@dataclass(frozen=True, slots=True)
class ChanceAxis(Axis):
    """Chances by their powers of ten; the scale runs over logarithms, its start stands for none."""

    def at(self, si: float) -> float:
        """Return the place of a chance from 0 to 1; what is too small to show is at the start."""
        if si <= 0.0:
            return self.scale.start
        return self.scale(min(max(math.log10(si), self.scale.low), self.scale.high))

    def ticks(self, about: int) -> list[tuple[float, str]]:
        """Return places and words of powers of ten, not more than ``about``, after none."""
        first, last = math.ceil(self.scale.low + 0.5), math.floor(self.scale.high + 1e-9)
        step = max(1, math.ceil((last - first + 1) / max(about - 1, 1)))
        powers = range(first, last + 1, step)
        return [
            (self.scale.start, "none"),
            *((self.scale(power), f"{100.0 * 10.0**power:g}") for power in powers),
        ]


def chance_axis(words: str, values: Sequence[float], start: float, end: float) -> Axis:
    """Return the axis of chances from 0 to 1: straight, or by powers of ten where they run far."""
    positive = [value for value in values if value > 0.0]
    top = max(positive, default=0.01)
    least = min(positive, default=top)
    if top < WIDE * least or top > COMMON:
        return Axis(words, UNIT, 0.01, 0.0, Scale(0.0, 107.0 * top, start, end))
    # Half a power of ten sets none apart from the least that there is.
    scale = Scale(math.floor(math.log10(least)) - 0.7, math.log10(top) + 0.1, start, end)
    return ChanceAxis(words, UNIT, 0.01, 0.0, scale)
