"""The static check of a release program: everything that can be known without flying it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf

from loftwright.documents.finding import Finding, apply
from loftwright.documents.source import Source
from loftwright.errors import Problem
from loftwright.program.graph import Runs, must_do, runs_of
from loftwright.program.logic import truths
from loftwright.program.promises import Bounds, Verdict, bounds_of, judge
from loftwright.program.reading import ReadProgram
from loftwright.program.table import Seen

__all__ = ["Checked", "Facts", "Subject", "check_program"]


@dataclass(frozen=True, slots=True)
class Facts:
    """What a forecast and the instruments say, as plain SI numbers; all of it optional.

    ``events`` are earliest and latest times [s] after liftoff of ``"burnout"``, ``"apogee"`` and
    ``"release"`` (the climb falls to where the payload is to be let go, ``release_climb`` [m/s];
    any climb above zero counts as that one when it is left out). ``ranges`` are least and
    largest values over all flights, by ``"height"``, ``"climb"``, ``"drop"``, ``"push"`` and
    ``"pressure"``. ``height_noise`` is the spread of one sample's height [m], ``height_step`` the
    step in which heights are read [m].
    """

    events: dict[str, tuple[float, float]] = field(default_factory=dict)
    ranges: dict[str, tuple[float, float]] = field(default_factory=dict)
    height_noise: float | None = None
    height_step: float | None = None
    release_climb: float | None = None

    def seen(self) -> dict[Seen, tuple[float, float]]:
        """Return the ranges by what a condition sees."""
        return {Seen[name.upper()]: span for name, span in self.ranges.items()}


@dataclass(frozen=True, slots=True)
class Subject:
    """A program under check, with what all checks need."""

    read: ReadProgram
    facts: Facts
    never: frozenset[tuple[int, int]]  # ways whose condition cannot hold
    runs: Runs
    bounds: tuple[Bounds, ...]  # of each output, switched on
    verdicts: tuple[Verdict, ...]

    def name(self, stage: int) -> str:
        """Return the name of a stage."""
        return self.read.table.stages[stage].name


@dataclass(frozen=True, slots=True)
class Checked:
    """What the check found."""

    problems: tuple[Problem, ...]  # warnings and errors, by line
    bounds: tuple[Bounds, ...]
    verdicts: tuple[Verdict, ...]

    @property
    def broken(self) -> bool:
        """Tell whether any of it is an error."""
        return any(problem.severity == "error" for problem in self.problems)


def check_program(read: ReadProgram, facts: Facts | None = None) -> Checked:
    """Check a program that reads without an error; ``facts`` sharpen what is found."""
    from loftwright.program.checks_conditions import CONDITION_CHECKS
    from loftwright.program.checks_stages import STAGE_CHECKS, launch_clock_runs
    from loftwright.program.checks_times import TIME_CHECKS

    subject = _subject(read, Facts() if facts is None else facts)
    found = Source(read.source.file, read.source.sha256, read.source.spans, read.source.data)
    apply((launch_clock_runs,), found, subject)
    if not found.broken:  # without the clock of its ways the rest would follow from that
        apply((*STAGE_CHECKS, promises_are_kept), found, subject)
    apply((*CONDITION_CHECKS, *TIME_CHECKS), found, subject)
    problems = [*read.source.problems, *found.problems]
    problems.sort(key=lambda each: (each.where.line or 0, each.where.column or 0))
    return Checked(tuple(problems), subject.bounds, subject.verdicts)


def _subject(read: ReadProgram, facts: Facts) -> Subject:
    table = read.table
    never = frozenset(
        (int(path[1]), int(path[3]))
        for path, node in read.conditions.items()
        if True not in truths(node)
    )
    return Subject(
        read=read,
        facts=facts,
        never=never,
        runs=runs_of(table, never),
        bounds=tuple(
            bounds_of(table, output, "open", never) for output in range(len(table.outputs))
        ),
        verdicts=judge(read.program, table, never),
    )


def promises_are_kept(subject: Subject) -> Iterator[Finding]:
    """Report every promise that a run can break, with that run."""
    for verdict in subject.verdicts:
        if verdict.kept:
            continue
        early = verdict.promise.not_before is not None
        late = verdict.promise.no_later_than is not None
        word = "no_later_than" if late and (not early or verdict.is_late) else "not_before"
        message = f"this can be broken: {verdict.says}{path_of(verdict.path)}"
        mend = (
            "give a way on this path a backup, or an earlier one"
            if word == "no_later_than"
            else "give the ways on this path a not_before"
        )
        yield Finding("program-promise-broken", ("promise", verdict.number, word), message, mend)


def path_of(path: tuple[str, ...]) -> str:
    """Return a run as the end of a sentence, nothing where none is known."""
    return f", on this path: {' > '.join(path)}" if path else ""


def unswitched(subject: Subject) -> Iterator[tuple[int, Bounds]]:
    """Yield the outputs that must be switched and that some run leaves as they are."""
    for output in must_do(subject.read.table):
        if subject.bounds[output].latest_ms == inf:
            yield output, subject.bounds[output]
