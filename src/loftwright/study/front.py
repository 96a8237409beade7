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

STEPS = 11  # points of the front that are sought between its ends
SHOWN = 40  # at most, spread evenly over the second aim


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
    _, seen, _ = archive.all()
    best = [best_of(archive, lambda costs, k=k: costs[:, k]) for k in (0, 1)]  # type: ignore[misc]
    least = best[1].cost
    other = float(seen[np.isclose(seen[:, 0], best[0].cost, rtol=0.0, atol=0.0), 1].min())
    for level in np.linspace(other, least, STEPS + 2)[1:-1]:
        _hold(question, archive, float(level), scales)
    return _shown(question, archive)


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


def _shown(question: Question, archive: Archive) -> list[Trade]:
    """Return the points that no other beats, thinned to what can be shown."""
    shares, costs, excess = archive.all()
    kept = (excess <= archive.slack) & np.isfinite(costs).all(axis=1)
    shares, costs = shares[kept], costs[kept]
    front = kept_front(costs)
    if len(front) > SHOWN:
        across = costs[front, 1]
        wanted = np.linspace(across[0], across[-1], SHOWN)
        front = front[np.unique([int(np.abs(across - each).argmin()) for each in wanted])]
    return [Trade(question.values(shares[i]), question.aimed(costs[i])) for i in front.tolist()]
