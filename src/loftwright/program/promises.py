"""Promises about outputs: proved from the stage graph, or refuted with the path that breaks them.

Bounds hold for every run of a program from its power-up on, whatever its sensors say, by the
controller's own clock, as long as it keeps its power and samples come one step apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from loftwright.documents.program import Program, Promise
from loftwright.program.table import Action, Table
from loftwright.program.timing import Node, Span, Spread, Visit, moments_of, path_to, spread
from loftwright.program.words_path import path_words, seconds

__all__ = ["Bounds", "Verdict", "bounds_of", "judge"]

Ways = frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Bounds:
    """When an output is first switched, in ms; infinite or None where nothing says.

    ``earliest_ms`` and ``latest_ms`` count from when launch is sensed, the others from power-up.
    ``earliest_ms`` is None where it is never switched, and minus infinity where that can happen
    before launch is sensed. Latest moments are infinite where a run can go without it; those from
    launch are of runs in which launch is sensed and it was not switched before.
    ``early_path`` is a run that is as early as that, ``late_path`` one that is as late, or that
    ends where it can wait for ever.
    """

    output: int
    earliest_ms: float | None
    latest_ms: float
    earliest_power_ms: float | None
    latest_power_ms: float
    early_path: tuple[str, ...] = ()
    late_path: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a promise holds; if not, how it is broken."""

    number: int
    promise: Promise
    kept: bool
    says: str
    path: tuple[str, ...] = ()
    is_late: bool = False  # no_later_than is what is broken


def switching(table: Table, output: int, does: str) -> frozenset[int]:
    """Return the stages on whose entry ``output`` is switched on ("open") or off ("close")."""
    off = does == "close"
    return frozenset(
        number
        for number, stage in enumerate(table.stages)
        if any(act.output == output and (act.action == Action.CLOSE) == off for act in stage.acts)
    )


def bounds_of(table: Table, output: int, does: str = "open", never: Ways = frozenset()) -> Bounds:
    """Return when ``output`` is first switched. ``never``: ways whose condition cannot hold."""
    return _Analysis(table, output, does, never).bounds()


@dataclass(frozen=True, slots=True)
class _Found:
    """A moment in samples, and the run that leads there."""

    moment: float
    path: tuple[str, ...]


class _Analysis:
    """The runs of one program until one output is switched."""

    def __init__(self, table: Table, output: int, does: str, never: Ways) -> None:
        self.table, self.output, self.never = table, output, never
        self.stages = switching(table, output, does)
        marks = table.stages[0].marks_launch
        start = Node(0, launched=False, wait=0)
        self.before = spread(table, {} if marks else {start: Span(0, 0)}, never, self.stages)
        launches = dict(self.before.launches)
        if marks:
            launches[0] = [Span(0, 0)]
        self.after: dict[int, tuple[list[Span], Spread]] = {}
        for stage, spans in launches.items():
            root = Node(stage, launched=True, wait=0 if marks else 1)
            self.after[stage] = spans, spread(table, {root: Span(0, 0)}, never, self.stages)

    def bounds(self) -> Bounds:
        ready = [(span.first, node, self.before) for node, span in self._moments(self.before)]
        early = self._earliest()
        late = self._latest()
        power = min([each[0] for each in ready] + self._from_power(), default=None)
        latest_power = max(self._latest_from_power(), default=inf)
        if ready:
            moment, node, _ = min(ready, key=lambda each: each[0])
            early = _Found(-inf, self._path(self.before, node, moment, 0, None))
        step = self.table.step_ms
        return Bounds(
            output=self.output,
            earliest_ms=None if early is None else early.moment * step,
            latest_ms=late.moment * step,
            earliest_power_ms=None if power is None else power * step,
            latest_power_ms=latest_power * step,
            early_path=() if early is None else early.path,
            late_path=late.path,
        )

    def _moments(self, found: Spread) -> list[tuple[Node, Span]]:
        return moments_of(found, self.stages)

    def _earliest(self) -> _Found | None:
        """Return the earliest switching after launch."""
        candidates = [
            (span.first, node, stage)
            for stage, (_, found) in self.after.items()
            for node, span in self._moments(found)
        ]
        if not candidates:
            return None
        moment, node, stage = min(candidates, key=lambda each: each[0])
        spans, found = self.after[stage]
        return _Found(moment, self._path(found, node, moment, stage, spans))

    def _latest(self) -> _Found:
        """Return the latest switching after launch, with a run that is as late."""
        latest: _Found | None = None
        for stage, (spans, found) in self.after.items():
            here = self._latest_of(stage, spans, found)
            if latest is None or here.moment > latest.moment:
                latest = here
        return _Found(inf, ()) if latest is None else latest

    def _latest_of(self, stage: int, spans: list[Span], found: Spread) -> _Found:
        for node, entry in found.waits.items():
            return _Found(inf, self._path(found, node, entry, stage, spans, waits=True))
        endless = [
            (node, each)
            for node, many in found.arrivals.items()
            for each in many
            if each.last == inf
        ]
        if endless:
            node, span = endless[0]
            return _Found(inf, self._path(found, node, span.first, stage, spans, waits=True))
        last, node = max((int(span.last), node) for node, span in self._moments(found))
        return _Found(last, self._path(found, node, last, stage, spans))

    def _from_power(self) -> list[int]:
        """Return the earliest switching from power-up, of the runs through each launch."""
        return [
            min(each.first for each in spans) + span.first
            for spans, found in self.after.values()
            for _, span in self._moments(found)
        ]

    def _latest_from_power(self) -> list[float]:
        if self.before.waits or any(
            span.last == inf for many in self.before.arrivals.values() for span in many
        ):
            return [inf]
        found = [span.last for _, span in self._moments(self.before)]
        for stage, (spans, run) in self.after.items():
            found.append(
                max(each.last for each in spans) + self._latest_of(stage, spans, run).moment
            )
        return found

    def _path(
        self,
        found: Spread,
        node: Node,
        moment: int,
        stage: int,
        launched: list[Span] | None,
        *,
        waits: bool = False,
    ) -> tuple[str, ...]:
        """Return a run in words, one stage a line."""
        visits = path_to(self.table, found, node, moment, self.never)
        pad = self._to_launch(stage, launched)
        if visits is None:
            visits = (Visit(node.stage, moment, None, False),)
        return path_words(self.table, pad, visits, is_launched=launched is not None, waits=waits)

    def _to_launch(self, stage: int, launched: list[Span] | None) -> tuple[Visit, ...]:
        """Return the soonest way from power-up to the stage that marks launch."""
        if launched is None or not self.before.roots:
            return ()
        first = min(each.first for each in launched)
        for leave in self.before.leaves:
            if leave.to == stage and leave.moments.first == first:
                visits = path_to(
                    self.table, self.before, leave.node, leave.entered.first, self.never
                )
                if visits is not None:
                    return (*visits, Visit(stage, first, leave.way, leave.by_backup))
        return ()


# ---------------------------------------------------------------- verdicts


def judge(program: Program, table: Table, never: Ways = frozenset()) -> tuple[Verdict, ...]:
    """Return the verdict on each promise of ``program``, whose table form is ``table``."""
    verdicts = []
    for number, promise in enumerate(program.promise):
        bounds = bounds_of(table, table.outputs.index(promise.output), promise.does, never)
        verdicts.append(_verdict(number, promise, bounds))
    return tuple(verdicts)


def _verdict(number: int, promise: Promise, bounds: Bounds) -> Verdict:
    from_launch = promise.since == "launch"
    earliest = bounds.earliest_ms if from_launch else bounds.earliest_power_ms
    latest = bounds.latest_ms if from_launch else bounds.latest_power_ms
    since = "after launch is sensed" if from_launch else "after power-up"
    early, late = promise.not_before, promise.no_later_than
    name, does = promise.output, promise.does
    if early is not None and earliest is not None and earliest < early.value * 1000.0 - 1e-6:
        moment = f"{seconds(earliest)} {since}" if earliest > -inf else "before launch is sensed"
        return Verdict(number, promise, False, f"{name} can {does} {moment}", bounds.early_path)
    if late is not None and latest > late.value * 1000.0 + 1e-6:
        says = f"{name} may {does} only {seconds(latest)} {since}"
        if latest == inf:
            says = f"{name} may never {does}"
        return Verdict(number, promise, False, says, bounds.late_path, is_late=True)
    verb = f"{does}s"
    if earliest is None:
        return Verdict(number, promise, True, f"{name} never {verb}")
    said = [f"no earlier than {seconds(earliest)}"] if early is not None else []
    said += [f"no later than {seconds(latest)}"] if late is not None else []
    return Verdict(number, promise, True, f"{name} {verb} {' and '.join(said)} {since}")
