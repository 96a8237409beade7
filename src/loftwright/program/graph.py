"""The stages as a graph, without times: what leads where, what is done on the way."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from loftwright.program.table import Action, Table
from loftwright.program.timing import Node, Span, Spread, spread

__all__ = ["Edge", "Runs", "must_do", "runs_of", "shortest"]

Ways = frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Edge:
    """The way ``way`` from the stage ``start`` to ``to``."""

    start: int
    way: int
    to: int


@dataclass(frozen=True, slots=True)
class Runs:
    """Every run of a program, from power-up until launch is sensed, and from each launch on."""

    before: Spread
    after: dict[int, Spread]  # by the stage that marks launch

    @property
    def spreads(self) -> list[Spread]:
        """All of them."""
        return [self.before, *self.after.values()]

    def stages(self) -> frozenset[int]:
        """Return the stages that some run enters."""
        return frozenset(node.stage for each in self.spreads for node in each.arrivals)

    def unlaunched(self) -> frozenset[int]:
        """Return the stages that some run enters before launch is sensed."""
        return frozenset(node.stage for node in self.before.arrivals)

    def edges(self) -> frozenset[Edge]:
        """Return the ways that some run takes."""
        return frozenset(
            Edge(each.node.stage, each.way, each.to) for one in self.spreads for each in one.leaves
        )

    def unlaunched_edges(self) -> frozenset[Edge]:
        """Return the ways that some run takes before launch is sensed, or by which it is."""
        return frozenset(Edge(each.node.stage, each.way, each.to) for each in self.before.leaves)


def runs_of(table: Table, never: Ways = frozenset()) -> Runs:
    """Return every run of ``table``. ``never``: ways whose condition cannot hold."""
    marks = table.stages[0].marks_launch
    start = Node(0, launched=False, wait=0)
    before = spread(table, {} if marks else {start: Span(0, 0)}, never)
    launches = {0, *before.launches} if marks else set(before.launches)
    after = {
        stage: spread(
            table, {Node(stage, launched=True, wait=0 if marks else 1): Span(0, 0)}, never
        )
        for stage in sorted(launches)
    }
    return Runs(before, after)


def must_do(table: Table) -> tuple[int, ...]:
    """Return the outputs that must have been switched before a program ends: all but sounds."""
    acts = (act for stage in table.stages for act in stage.acts)
    done = {act.output for act in acts if act.action in (Action.OPEN, Action.PULSE)}
    return tuple(sorted(done))


def shortest(
    edges: Iterable[Edge],
    start: int,
    goal: Callable[[int], bool],
    avoid: frozenset[int] = frozenset(),
) -> tuple[Edge, ...] | None:
    """Return the fewest ways from ``start`` to a stage that is a ``goal``, None where none lead.

    Stages in ``avoid`` are not entered; an empty path means that ``start`` is a goal itself.
    """
    if start in avoid:
        return None
    onward: dict[int, list[Edge]] = {}
    for edge in sorted(edges, key=lambda each: (each.start, each.way)):
        onward.setdefault(edge.start, []).append(edge)
    found: dict[int, tuple[Edge, ...]] = {start: ()}
    waiting = deque([start])
    while waiting:
        stage = waiting.popleft()
        if goal(stage):
            return found[stage]
        for edge in onward.get(stage, []):
            if edge.to not in found and edge.to not in avoid:
                found[edge.to] = (*found[stage], edge)
                waiting.append(edge.to)
    return None
