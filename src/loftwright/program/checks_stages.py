"""Checks of the stage graph: what is reached, what is done, and what could happen on the pad."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.finding import Finding
from loftwright.documents.spans import Path
from loftwright.errors.problem import Severity
from loftwright.program.checks import Subject, path_of, unswitched
from loftwright.program.graph import Edge, must_do, shortest
from loftwright.program.phrases import Compare, comparisons
from loftwright.program.promises import switching
from loftwright.program.table import ALWAYS, NO_TIME, Clock

__all__ = ["STAGE_CHECKS", "launch_clock_runs"]


def stages_are_reached(subject: Subject) -> Iterator[Finding]:
    """Report stages that no run enters."""
    table, reached = subject.read.table, subject.runs.stages()
    named = {way.to for stage in table.stages for way in stage.exits} | {0}
    for number in range(len(table.stages)):
        if number in reached:
            continue
        message = "no way leads to this stage"
        if number in named:
            message = "no run comes here: the ways that lead here can never be taken"
        mend = f'write [[stage.way]] with to = "{subject.name(number)}", or take the stage out'
        yield Finding(
            "program-unreachable", ("stage", number, "name"), message, mend, severity="warning"
        )


def ways_are_taken(subject: Subject) -> Iterator[Finding]:
    """Report ways that no run takes though it comes to their stage."""
    reached = subject.runs.stages()
    taken = {(edge.start, edge.way) for edge in subject.runs.edges()}
    launched = {node.stage for found in subject.runs.after.values() for node in found.arrivals}
    for number, stage in enumerate(subject.read.table.stages):
        for way, each in enumerate(stage.exits):
            alone = (number, way) in subject.never and each.backup_ms == NO_TIME
            unclocked = each.clock == Clock.LAUNCH and number not in launched
            if number not in reached or (number, way) in taken or alone or unclocked:
                continue
            message = "this way is never taken: another must be taken before it can"
            mend = "move it up, or correct its times and those of the ways above it"
            path = ("stage", number, "way", way)
            yield Finding("program-way-never", path, message, mend, "warning", key=True)


def outputs_are_switched(subject: Subject) -> Iterator[Finding]:
    """Report outputs that no run ever touches."""
    table, reached = subject.read.table, subject.runs.stages()
    for number, output in enumerate(table.outputs):
        acts = {
            stage
            for stage, each in enumerate(table.stages)
            if any(act.output == number for act in each.acts)
        }
        if acts & reached:
            continue
        message = "nothing is ever done to this output"
        if acts:
            message = "no run comes to a stage that does something to this output"
        mend = f'write [[stage.do]] with output = "{output}", or take it out'
        path = ("output", number, "name")
        yield Finding("program-output-never", path, message, mend, severity="warning")


def ends_come_last(subject: Subject) -> Iterator[Finding]:
    """Report stages without a way out in which a run can end with something left undone."""
    table, edges = subject.read.table, subject.runs.edges()
    ends = {number for number, stage in enumerate(table.stages) if not stage.exits}
    for end in sorted(ends & subject.runs.stages()):
        for output in must_do(table):
            path = shortest(edges, 0, end.__eq__, switching(table, output, "open"))
            if path is None:
                continue
            message = (
                f'a run can end here and never open "{table.outputs[output]}": '
                f"{_names(subject, path)}"
            )
            mend = "add a [[stage.way]] out of this stage, or do it here"
            yield Finding(
                "program-end-early", ("stage", end, "name"), message, mend, severity="warning"
            )


def _names(subject: Subject, path: tuple[Edge, ...]) -> str:
    return " > ".join(subject.name(stage) for stage in [0, *(edge.to for edge in path)])


def nothing_waits_for_ever(subject: Subject) -> Iterator[Finding]:
    """Report outputs that a sensor can keep from ever being switched after launch."""
    table = subject.read.table
    promised = {
        each.promise.output
        for each in subject.verdicts
        if each.promise.no_later_than is not None and each.promise.does == "open"
    }
    ended = {number for number, stage in enumerate(table.stages) if not stage.exits}
    for output, bounds in unswitched(subject):
        name = table.outputs[output]
        early_end = any(
            shortest(subject.runs.edges(), 0, end.__eq__, switching(table, output, "open"))
            for end in ended
        )
        if not subject.runs.after or name in promised or early_end or not bounds.late_path:
            continue
        message = f"nothing makes sure that {name} opens{path_of(bounds.late_path)}"
        mend = "give a way out of the last of these stages a backup"
        path = ("output", output, "name")
        yield Finding("program-may-never", path, message, mend, severity="warning")


# ---------------------------------------------------------------- on the pad


def pad_is_safe(subject: Subject) -> Iterator[Finding]:
    """Report outputs that can be switched on before launch was sensed."""
    table, edges = subject.read.table, subject.runs.unlaunched_edges()
    for output in must_do(table):
        firing = switching(table, output, "open")
        marks = frozenset(n for n, stage in enumerate(table.stages) if stage.marks_launch)
        path = shortest(edges, 0, firing.__contains__, marks)
        if path is None:
            continue
        unguarded = [edge for edge in edges if not _is_guarded(subject, edge)]
        bare = shortest(unguarded, 0, firing.__contains__, marks)
        shown = path if bare is None else bare
        stage = shown[-1].to if shown else 0
        act = next(n for n, each in enumerate(table.stages[stage].acts) if each.output == output)
        name = table.outputs[output]
        message = f'"{name}" can open on the pad, before launch is sensed: {_names(subject, shown)}'
        if not shown:
            message = f'"{name}" opens at power-up, with people at the pad'
        mend = "put a stage with launch = true before it, entered on a condition with a hold"
        severity: Severity = "warning" if bare is None else "error"
        place: Path = ("stage", stage, "do", act, "output")
        yield Finding("program-opens-on-pad", place, message, mend, severity)


def _is_guarded(subject: Subject, edge: Edge) -> bool:
    """Tell whether a way asks for a condition in two samples or more, and has no other way."""
    way = subject.read.table.stages[edge.start].exits[edge.way]
    held = way.hold_ms >= subject.read.table.step_ms and way.condition != ALWAYS
    return held and way.backup_ms == NO_TIME


def launch_is_sensed(subject: Subject) -> Iterator[Finding]:
    """Report ways by which launch is marked by time alone, or by one sample."""
    table = subject.read.table
    for edge in sorted(subject.runs.unlaunched_edges(), key=lambda each: (each.start, each.way)):
        if not table.stages[edge.to].marks_launch:
            continue
        way = table.stages[edge.start].exits[edge.way]
        path: Path = ("stage", edge.start, "way", edge.way)
        if way.condition == ALWAYS or way.backup_ms != NO_TIME:
            message = "launch is marked by time alone, whether or not the vehicle has left the pad"
            mend = 'give it a condition and no backup, e.g. when = "push > 3 g", hold = "60 ms"'
            yield Finding("program-launch-by-time", path, message, mend, "warning", key=True)
        elif way.hold_ms == 0 and _compares(subject, path):
            message = "a single sample marks launch: a knock or a gust is enough"
            mend = f'add hold = "{3 * table.step_ms} ms"'
            yield Finding("program-launch-one-sample", path, message, mend, "warning", key=True)


def _compares(subject: Subject, path: Path) -> bool:
    node = subject.read.conditions[(*path, "when")]
    return any(isinstance(each, Compare) for each, _ in comparisons(node))


def launch_clock_runs(subject: Subject) -> Iterator[Finding]:
    """Report ways whose clock never starts, or has not started when their stage is entered."""
    table = subject.read.table
    marked = any(stage.marks_launch for stage in table.stages)
    unlaunched = subject.runs.unlaunched()
    for number, stage in enumerate(table.stages):
        for way, each in enumerate(stage.exits):
            if each.clock != Clock.LAUNCH:
                continue
            path: Path = ("stage", number, "way", way, "clock")
            if not marked:
                message = "no stage marks launch, so that this clock never runs"
                mend = "write launch = true in the stage that is entered at liftoff"
                yield Finding("program-no-launch", path, message, mend)
            elif number in unlaunched:
                message = (
                    "this stage can be entered before launch is sensed; until then this way is shut"
                )
                mend = 'write clock = "stage", or lead here through the stage with launch = true'
                yield Finding("program-clock-not-started", path, message, mend, severity="warning")


STAGE_CHECKS = (
    stages_are_reached,
    ways_are_taken,
    outputs_are_switched,
    ends_come_last,
    nothing_waits_for_ever,
    pad_is_safe,
    launch_is_sensed,
)
