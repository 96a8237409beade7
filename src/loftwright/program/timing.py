"""When a program can be in which stage, whatever its sensors say.

The stage graph is a timed one: conditions may hold or fail as they like in any sample, times
decide. Samples come one step apart by the controller's own clock, the first at power-up. Moments
are counted in samples. For each stage the set of moments at which it can be entered is carried
forward as intervals until nothing is added; a loop that keeps adding is widened to "for ever".
What is found contains every run of the interpreter. It is wider than all runs together only where
conditions cannot be met as assumed (two ways that ask for contrary things), or after widening.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import inf
from typing import NamedTuple

from loftwright.program.table import NO_TIME, Clock, Exit, Table

__all__ = ["Leave", "Node", "Span", "Spread", "spread"]

WIDEN_AFTER = 40  # times that the moments of a stage may grow before they are widened
MOST_SPANS = 24  # apart from each other, in one stage


class Span(NamedTuple):
    """Moments from ``first`` to ``last``, both included, in samples; ``last`` may be infinite."""

    first: int
    last: float


class Node(NamedTuple):
    """A stage, whether launch has been sensed, and when it is first looked at after its entry.

    ``wait`` is 1, for exits are watched from the next sample on; 0 at power-up.
    """

    stage: int
    launched: bool
    wait: int = 1


class Leave(NamedTuple):
    """Leaving ``node`` by its way ``way`` to ``to`` during ``moments``.

    ``entered`` are the moments of entry from which that can be.
    """

    node: Node
    way: int
    by_backup: bool
    to: int
    entered: Span
    moments: Span


@dataclass(slots=True)
class Spread:
    """What was found: for each node its moments of entry, and every way in which it is left.

    ``waits`` are nodes in which a run can stay for ever.
    """

    roots: dict[Node, Span]
    arrivals: dict[Node, list[Span]] = field(default_factory=dict)
    leaves: dict[Leave, None] = field(default_factory=dict)
    waits: dict[Node, int] = field(default_factory=dict)  # with a moment of entry
    launches: dict[int, list[Span]] = field(
        default_factory=dict
    )  # by stage, where launch is marked


@dataclass(frozen=True, slots=True)
class _Line:
    """A bound as a function of the moment of entry: at least ``floor``, else entry + ``after``."""

    after: float
    floor: float = -inf

    def at(self, entry: int) -> float:
        return max(entry + self.after, self.floor)


class _Watch:
    """One way of a node, in samples: from when, until when, and when it must be taken."""

    def __init__(self, way: Exit, node: Node, step: int, *, can_hold: bool) -> None:
        launch = way.clock == Clock.LAUNCH
        self.dead = launch and not node.launched
        begins, hold = _up(way.not_before_ms, step), _up(way.hold_ms, step)
        ends = inf if way.not_after_ms == NO_TIME else float(way.not_after_ms // step)
        backup = inf if way.backup_ms == NO_TIME else float(_up(way.backup_ms, step))
        self.can_hold, self.certain = can_hold, not way.condition
        self.launch, self.ends, self.has_backup = launch, ends, backup < inf
        if launch:
            self.ready = _Line(node.wait + hold, begins + hold)
            self.backup = _Line(node.wait, backup)
            self.marks = [float(begins + hold), ends, backup]
            self.steps = [float(node.wait), float(node.wait + hold)]
        else:
            self.ready = _Line(max(node.wait, begins) + hold)
            self.backup = _Line(max(node.wait, backup))
            self.marks = []
            self.steps = []

    def closes(self, entry: int) -> float:
        """Return the last moment of the window."""
        return self.ends if self.launch else entry + self.ends

    def forced(self, entry: int) -> float:
        """Return the moment at which this way is ready whatever is sensed."""
        if self.dead:
            return inf
        latest = self.backup.at(entry) if self.has_backup else inf
        ready = self.ready.at(entry)
        return min(latest, ready) if self.certain and ready <= self.closes(entry) else latest


def _by_order(forced: list[float]) -> list[float]:
    """Return for each way the last moment that the others leave it: those before it come first."""
    before = inf
    lasts = []
    for number, own in enumerate(forced):
        lasts.append(min(before - 1, min(forced[number:], default=inf)))
        before = min(before, own)
    return lasts


def _up(ms: int, step: int) -> int:
    return -(-ms // step)


class _Stay:
    """What can happen between entering a node and leaving it."""

    def __init__(self, table: Table, node: Node, never: frozenset[tuple[int, int]]) -> None:
        self.node = node
        self.ways = table.stages[node.stage].exits
        self.watches = [
            _Watch(way, node, table.step_ms, can_hold=(node.stage, number) not in never)
            for number, way in enumerate(self.ways)
        ]
        self.known: dict[int, list[float]] = {}
        self.breaks = self._breaks()

    def _breaks(self) -> list[int]:
        """Return every moment of entry at which a bound may change from one form to the other.

        Each bound is a mark of the launch clock, or the entry and some steps: they cross where the
        entry is a mark less steps, give or take the one sample by which the order of ways counts.
        """
        marks = {mark for each in self.watches for mark in each.marks if mark < inf}
        steps = {step for each in self.watches for step in each.steps} | {float(self.node.wait)}
        own = [inf if each.launch else each.forced(0) for each in self.watches]
        steps |= {last for last in _by_order(own) if last < inf}
        found = {int(m - s) + d for m in marks for s in steps for d in (-1, 0, 1)}
        return sorted(each for each in found if each >= 0)

    def _lasts(self, entry: int) -> list[float]:
        """Return the last moment at which each way may be taken: until another must be."""
        known = self.known.get(entry)
        if known is None:
            known = self.known[entry] = _by_order([each.forced(entry) for each in self.watches])
        return known

    def leaves(self, entered: Span) -> Iterator[Leave]:
        """Yield in which moments each way may be taken, for entries during ``entered``."""
        for piece in self._pieces(entered):
            for number, watch in enumerate(self.watches):
                if watch.dead:
                    continue
                if watch.can_hold:
                    yield from self._leave(number, piece, by_backup=False)
                if watch.has_backup:
                    yield from self._leave(number, piece, by_backup=True)

    def _pieces(self, entered: Span) -> Iterator[Span]:
        start = entered.first
        for each in self.breaks[bisect_right(self.breaks, start) :]:
            if each > entered.last:
                break
            yield Span(start, each - 1)
            start = each
        yield Span(start, entered.last)

    def bounds(self, number: int, entry: int, *, by_backup: bool) -> tuple[float, float]:
        """Return first and last moment of a way for one moment of entry."""
        watch, last = self.watches[number], self._lasts(entry)[number]
        if by_backup:
            moment = watch.backup.at(entry)
            return moment, min(moment, last)
        return watch.ready.at(entry), min(watch.closes(entry), last)

    def _leave(self, number: int, piece: Span, *, by_backup: bool) -> Iterator[Leave]:
        """Yield the leaving by one way; within ``piece`` its bounds are straight lines."""
        start = piece.first
        low, high = self.bounds(number, start, by_backup=by_backup)
        room = high - low
        tail = piece.last == inf
        end = start + 1 if tail else int(piece.last)
        low_end, high_end = self.bounds(number, end, by_backup=by_backup)
        room_end = high_end - low_end
        if room == inf or (room >= 0 and (room_end >= 0 or room_end == inf)):
            run = piece
            if tail and room_end < room:  # it closes later on
                run = Span(start, start + room)
        elif room >= 0:
            run = Span(start, start + room)
        elif room_end >= 0:
            run = Span(int(end - room_end), piece.last)
        elif tail and room_end > room:
            run = Span(int(start - room), inf)
        else:
            return
        first, _ = self.bounds(number, run.first, by_backup=by_backup)
        last = self._last(number, run, by_backup=by_backup)
        to = self.ways[number].to
        yield Leave(self.node, number, by_backup, to, run, Span(int(first), last))

    def _last(self, number: int, run: Span, *, by_backup: bool) -> float:
        if run.last < inf:
            return self.bounds(number, int(run.last), by_backup=by_backup)[1]
        here = self.bounds(number, run.first, by_backup=by_backup)[1]
        then = self.bounds(number, run.first + 1, by_backup=by_backup)[1]
        return inf if then > here else here

    def may_wait(self, entered: Span) -> int | None:
        """Return a moment of entry from which nothing forces a run to leave, or None."""
        for piece in self._pieces(entered):
            ends = {piece.first, piece.first + 1 if piece.last == inf else int(piece.last)}
            for entry in sorted(ends):
                if all(each.forced(entry) == inf for each in self.watches):
                    return entry
        return None


def spread(
    table: Table,
    roots: Mapping[Node, Span],
    never: frozenset[tuple[int, int]] = frozenset(),
    absorbing: frozenset[int] = frozenset(),
) -> Spread:
    """Carry the moments of entry forward from ``roots``.

    ``never`` are ways (stage, way) whose condition cannot hold; stages in ``absorbing`` are
    reached and not left again. Where launch is marked for the first time the run ends too, under
    ``launches``: from there moments count anew.
    """
    found = Spread(dict(roots))
    stays: dict[Node, _Stay] = {}
    growth: dict[Node, int] = {}
    waiting = deque(roots.items())
    while waiting:
        node, span = waiting.popleft()
        here = found.arrivals.setdefault(node, [])
        new = _added(here, span)
        if not new or node.stage in absorbing:
            continue
        growth[node] = growth.get(node, 0) + 1
        if growth[node] > WIDEN_AFTER or len(here) > MOST_SPANS:
            first = 0 if growth[node] > 4 * WIDEN_AFTER else new[0].first
            first = min(each.first for each in here) if len(here) > MOST_SPANS else first
            new += _added(here, Span(first, inf))
        if node not in stays:
            stays[node] = _Stay(table, node, never)
        for each in new:
            _follow(table, found, stays[node], each, waiting)
    return found


def _follow(
    table: Table, found: Spread, stay: _Stay, entered: Span, waiting: deque[tuple[Node, Span]]
) -> None:
    """Note how a node is left when it is entered during ``entered``, and what is entered then."""
    node = stay.node
    entry = stay.may_wait(entered)
    if entry is not None:
        found.waits.setdefault(node, entry)
    for leave in stay.leaves(entered):
        found.leaves[leave] = None
        if table.stages[leave.to].marks_launch and not node.launched:
            _added(found.launches.setdefault(leave.to, []), leave.moments)
        else:
            waiting.append((Node(leave.to, node.launched), leave.moments))


def _added(spans: list[Span], new: Span) -> list[Span]:
    """Join ``new`` to ``spans``, which are in order and apart; return what was not in them."""
    fresh = []
    start: float = new.first
    for each in spans:
        if each.last < start or each.first > new.last:
            continue
        if start < each.first:
            fresh.append(Span(int(start), each.first - 1))
        start = max(start, each.last + 1)
    if start <= new.last and start < inf:
        fresh.append(Span(int(start), new.last))
    if fresh:
        spans[:] = _joined([*spans, *fresh])
    return fresh


def _joined(spans: list[Span]) -> list[Span]:
    """Return spans in order, those that touch each other as one."""
    joined: list[Span] = []
    for each in sorted(spans):
        if joined and each.first <= joined[-1].last + 1:
            joined[-1] = Span(joined[-1].first, max(joined[-1].last, each.last))
        else:
            joined.append(each)
    return joined


def moments_of(found: Spread, stages: Iterable[int]) -> list[tuple[Node, Span]]:
    """Return the moments at which any of ``stages`` is entered, node by node."""
    wanted = set(stages)
    return [
        (node, span)
        for node, spans in found.arrivals.items()
        if node.stage in wanted
        for span in spans
    ]


class Visit(NamedTuple):
    """A stage on a path, the moment of its entry in samples, and the way that led there."""

    stage: int
    moment: int
    way: int | None
    by_backup: bool


def path_to(
    table: Table, found: Spread, node: Node, moment: int, never: frozenset[tuple[int, int]]
) -> tuple[Visit, ...] | None:
    """Return a path from a root that enters ``node`` at ``moment``; None if none is found soon."""
    back = _Back(table, found, never)
    visits = back.search(node, moment)
    return None if visits is None else tuple(visits)


class _Back:
    """A search backwards through what was found; moments fall, so it ends."""

    def __init__(self, table: Table, found: Spread, never: frozenset[tuple[int, int]]) -> None:
        self.table, self.found, self.never = table, found, never
        # Where a backup and a condition lead there in the same moment, the backup says more.
        self.leaves = sorted(found.leaves, key=lambda each: not each.by_backup)
        self.budget = 400

    def search(self, node: Node, moment: int) -> list[Visit] | None:
        root = self.found.roots.get(node)
        if root is not None and root.first <= moment <= root.last:
            return [Visit(node.stage, moment, None, False)]
        for leave in self.leaves:
            arrives = Node(leave.to, leave.node.launched)
            if arrives != node or not leave.moments.first <= moment <= leave.moments.last:
                continue
            self.budget -= 1
            if self.budget < 0:
                return None
            entry = self._entry(leave, moment)
            if entry is None or (entry >= moment and leave.node.wait):
                continue
            before = self.search(leave.node, entry)
            if before is not None:
                return [*before, Visit(node.stage, moment, leave.way, leave.by_backup)]
        return None

    def _entry(self, leave: Leave, moment: int) -> int | None:
        """Return the first moment of entry from which ``leave`` can happen at ``moment``."""
        stay = _Stay(self.table, leave.node, self.never)
        low, high = leave.entered.first, int(min(leave.entered.last, moment))
        while low < high:
            middle = (low + high) // 2
            if stay.bounds(leave.way, middle, by_backup=leave.by_backup)[1] >= moment:
                high = middle
            else:
                low = middle + 1
        first, last = stay.bounds(leave.way, low, by_backup=leave.by_backup)
        return low if first <= moment <= last else None
