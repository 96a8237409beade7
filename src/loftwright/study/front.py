"""The trade-off between two aims: points at which neither improves without loss to the other."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.study.optimum import Archive, Outcome, best_of, polish
from loftwright.study.phrases import NEVER
from loftwright.study.question import Question

__all__ = ["Trade", "kept_front", "trade_off"]

Floats = NDArray[np.float64]

STEPS = 17  # levels of the second aim, the ends of the front among them


class Trade(NamedTuple):
    """One point of the front: the varied values, and both aims in their own units."""

    values: dict[str, float]
    aims: tuple[float, ...]


def kept_front(costs: Floats) -> NDArray[np.int64]:
    """Return the indices of rows ``(n, 2)`` that no other row beats in both, by the first cost."""
    order = np.lexsort((costs[:, 1], costs[:, 0]))
    least, kept = np.inf, []
    for i in order.tolist():
        if costs[i, 1] < least:
            least = costs[i, 1]
            kept.append(i)
    return np.array(kept, dtype=np.int64)


def trade_off(question: Question, archive: Archive, scales: Floats) -> list[Trade]:
    """Return the front, the first aim's best end first; what is looked at goes into ``archive``.

    Between its ends the first aim is made best while the second is held to one level after the
    other, each time from the best point already seen.

    References
    ----------
    Y. Y. Haimes, L. S. Lasdon and D. A. Wismer, IEEE Transactions on Systems, Man, and Cybernetics
    1 (1971) 296-297 (from memory): one aim held to a level.
    """
    ends = _seen(archive)[1][_front_of(archive)]
    levels = np.linspace(ends[0, 1], ends[-1, 1], STEPS)
    for level in levels[1:-1]:
        _hold(question, archive, float(level), scales)
    shares, costs = _seen(archive)
    front = _front_of(archive)
    # Of the many points that nothing beats, the best at each level are the best polished.
    at_level = [front[costs[front, 1] <= level * (1.0 + np.sign(level) * archive.slack)][:1]
                for level in levels]  # fmt: skip
    chosen = dict.fromkeys(int(i) for found in at_level for i in found)
    return [Trade(question.values(shares[i]), question.aimed(costs[i])) for i in chosen]


def _seen(archive: Archive) -> tuple[Floats, Floats]:
    """Return shares and costs of the points that keep all limits and have both aims."""
    shares, costs, excess = archive.all()
    kept = (excess <= archive.slack) & np.isfinite(costs).all(axis=1)
    return shares[kept], costs[kept]


def _front_of(archive: Archive) -> NDArray[np.int64]:
    return kept_front(_seen(archive)[1])


def _hold(question: Question, archive: Archive, level: float, scales: Floats) -> None:
    """Make the first aim best with the second at ``level`` or better."""

    def with_level(outcome: Outcome) -> Outcome:
        over = (outcome.costs[:, 1] - level) / scales[1]
        over = np.where(np.isfinite(over), over, NEVER)
        return Outcome(outcome.costs, np.column_stack([outcome.excesses, over]))

    def first(costs: Floats) -> Floats:
        return np.asarray(costs[:, 0] / scales[0])

    held = Archive(archive.slack)
    for shares, costs, excesses in zip(
        archive.shares, archive.costs, archive.excesses, strict=True
    ):
        held.add(shares, with_level(Outcome(costs, excesses)))
    start = best_of(held, first).share
    known = len(held.shares)
    polish(
        lambda shares: with_level(question.outcome(shares)),
        start, first, held, question.room(start),
    )  # fmt: skip
    for k in range(known, len(held.shares)):
        archive.add(held.shares[k], Outcome(held.costs[k], held.excesses[k][:, :-1]))
