"""What truth a condition can take: interval reasoning, one quantity after the other.

The constants of a condition cut each quantity into points and open intervals between them; within
one of these every comparison has one outcome. All of them together are tried, and left as soon
as the outcome is settled.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, isnan, nan

from loftwright.program.phrases import Both, Compare, Line, Node, Not, comparisons
from loftwright.program.single import single, spacing
from loftwright.program.table import Op, Seen

__all__ = ["Ranges", "truths"]

Ranges = Mapping[Seen, tuple[float, float]]

BUDGET = 50_000  # combinations; a condition that needs more is taken to be able to be either

# What a quantity can be at all: a drop is measured from the highest height, never below zero.
_POSSIBLE: dict[Seen, tuple[float, float]] = {Seen.DROP: (0.0, inf)}


def truths(node: Node, ranges: Ranges | None = None, *, unmeasured: bool = True) -> frozenset[bool]:
    """Return which truth values ``node`` can take.

    ``ranges`` narrow what quantities can be, SI; with ``unmeasured`` each may also be
    not-a-number, as it is where nothing measures it or before the first good reading.
    """
    cuts: dict[Seen, set[float]] = {}
    for each, _ in comparisons(node):
        if isinstance(each, Compare):
            cuts.setdefault(each.seen, set()).add(single(each.value))
        else:
            cuts.setdefault(Seen.SWITCH, set()).add(0.5)
    values = {seen: _values(seen, cut, ranges or {}, unmeasured) for seen, cut in cuts.items()}
    return _Search(node, values).run()


def _values(seen: Seen, cuts: set[float], ranges: Ranges, unmeasured: bool) -> list[float]:
    """Return one value of each point and interval that the cuts make within the range."""
    if seen == Seen.SWITCH:
        return [0.0, 1.0]
    low, high = ranges.get(seen, (-inf, inf))
    least, most = _POSSIBLE.get(seen, (-inf, inf))
    low, high = max(low, least), min(high, most)
    points = sorted(cut for cut in cuts if low <= cut <= high)
    found = [*points]
    for below, above in zip([low, *points], [*points, high], strict=True):
        between = _between(below, above, is_low=below == low, is_high=above == high)
        found += [] if between is None else [between]
    return [*found, nan] if unmeasured else found


def _between(below: float, above: float, *, is_low: bool, is_high: bool) -> float | None:
    """Return a number of single precision between two, or an end that belongs to the range."""
    if below == -inf:
        return 0.0 if above == inf else above - 2.0 * spacing(above) - 1.0
    if above == inf:
        return below + 2.0 * spacing(below) + 1.0
    middle = single(0.5 * (below + above))
    if below < middle < above:
        return middle
    if is_low and below < above:
        return below
    return above if is_high and below < above else None


class _Search:
    """One search through all combinations."""

    def __init__(self, node: Node, values: dict[Seen, list[float]]) -> None:
        self.node, self.values = node, values
        self.order = sorted(values, key=lambda seen: len(values[seen]))
        self.found: set[bool] = set()
        self.tried = 0

    def run(self) -> frozenset[bool]:
        self._try({}, 0)
        if self.tried > BUDGET:
            return frozenset({True, False})
        return frozenset(self.found)

    def _try(self, known: dict[Seen, float], depth: int) -> None:
        self.tried += 1
        if len(self.found) == 2 or self.tried > BUDGET:
            return
        settled = _truth(self.node, known)
        if settled is not None:
            if all(self.values[seen] for seen in self.order[depth:]):
                self.found.add(settled)
            return
        seen = self.order[depth]
        for value in self.values[seen]:
            self._try({**known, seen: value}, depth + 1)


def _truth(node: Node, known: Mapping[Seen, float]) -> bool | None:
    """Return what a condition comes to, None while that is not settled."""
    if isinstance(node, Compare):
        return None if node.seen not in known else _holds(node, known[node.seen])
    if isinstance(node, Line):
        return None if Seen.SWITCH not in known else (known[Seen.SWITCH] >= 0.5) == node.is_open
    if isinstance(node, Not):
        inner = _truth(node.inner, known)
        return None if inner is None else not inner
    parts = [_truth(part, known) for part in node.parts]
    decides = not isinstance(node, Both)  # one true part settles "or", one false part "and"
    if decides in parts:
        return decides
    return None if None in parts else not decides


def _holds(node: Compare, value: float) -> bool:
    constant = single(node.value)
    if isnan(value):
        return False
    if node.op == Op.LESS:
        return value < constant
    if node.op == Op.AT_MOST:
        return value <= constant
    return value > constant if node.op == Op.MORE else value >= constant
