"""The question that a search answers: what is varied, what is aimed at, what must hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.study.evaluate import Draws, evaluate, refusal
from loftwright.study.optimum import Outcome, Room
from loftwright.study.phrases import NEVER, Aim, Limit
from loftwright.study.spans import Span, placed

__all__ = ["Question"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Question:
    """What is varied, what is aimed at (one aim or two), and what must hold."""

    campaign: Campaign
    spans: tuple[Span, ...]
    aims: tuple[Aim, ...]
    limits: tuple[Limit, ...]
    draws: Draws | None = None

    @property
    def wanted(self) -> list[str]:
        """Return the figures that aims and limits look at."""
        return [*(aim.figure for aim in self.aims), *(limit.figure for limit in self.limits)]

    def values(self, share: Floats) -> dict[str, float]:
        """Return the values of one point by path."""
        return {
            span.path: float(span.at(np.array([part]))[0])
            for span, part in zip(self.spans, share, strict=True)
        }

    def aimed(self, costs: Floats) -> tuple[float, ...]:
        """Return the aims' own values from their costs; of ``near`` it is the distance left."""
        signs = [-1.0 if aim.direction == "most" else 1.0 for aim in self.aims]
        return tuple(sign * float(cost) for sign, cost in zip(signs, costs, strict=True))

    def outcome(self, shares: Floats) -> Outcome:
        """Fly points of the cube and hold them against aims and limits.

        The last excess stands for the documents: whether they would read so at all.
        """
        points = {span.path: span.at(shares[:, k]) for k, span in enumerate(self.spans)}
        flown = evaluate(self.campaign, points, self.draws, wanted=self.wanted)
        costs = np.column_stack([aim.cost(flown.columns[aim.figure]) for aim in self.aims])
        kept = [limit.excess(flown.columns[limit.figure]) for limit in self.limits]
        unread = np.array([NEVER if why else -1.0 for why in flown.refused])
        return Outcome(costs, np.column_stack([*kept, unread]))

    def room(self, share: Floats) -> Room:
        """Return how far each range reaches around a point before the documents refuse."""
        low, high = np.zeros(len(share)), np.ones(len(share))
        for axis in range(len(share)):
            low[axis] = self._reach(share, axis, 0.0)
            high[axis] = self._reach(share, axis, 1.0)
        return Room(low, high, np.array([not span.whole for span in self.spans]))

    def _reach(self, share: Floats, axis: int, end: float) -> float:
        """Halve the way to where the documents begin to refuse; the end where they never do."""

        def readable(part: float) -> bool:
            there = np.array(share)
            there[axis] = part
            return not refusal(placed(self.campaign, self.values(there)))

        if readable(end):
            return end
        inside, outside = float(share[axis]), end
        for _ in range(30):
            middle = 0.5 * (inside + outside)
            inside, outside = (middle, outside) if readable(middle) else (inside, middle)
        return inside
