"""A release program from its document into its table form. No NumPy: ``check`` calls this."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.program import Do, Estimate, Program, ProgramStage, Way
from loftwright.documents.spans import Path
from loftwright.errors import Problem, ProblemError, Where
from loftwright.physics.altimetry import height_coefficients
from loftwright.physics.estimation import low_pass_share, tracking_gains, tracking_index
from loftwright.program.phrases import Node, PhraseError, parse, postfix
from loftwright.program.single import single
from loftwright.program.table import (
    ALWAYS,
    NO_TIME,
    Act,
    Action,
    Clock,
    Estimator,
    Exit,
    Stage,
    Table,
)
from loftwright.units import Quantity

__all__ = ["assemble", "conditions", "milliseconds"]


def assemble(program: Program) -> Table:
    """Return the table form of a program that reads without an error.

    Raises ``ProblemError`` where a condition cannot be read; ``program.reading`` says so with the
    line of the file.
    """
    found = conditions(program)
    slips = {path: each for path, each in found.items() if isinstance(each, PhraseError)}
    if slips:
        raise ProblemError(_placeless(path, slip) for path, slip in slips.items())
    phrases = {path: each for path, each in found.items() if not isinstance(each, PhraseError)}
    numbers = {stage.name: number for number, stage in enumerate(program.stage)}
    outputs = [output.name for output in program.output]
    height_gain, climb_gain = _gains(program.estimate, program.sample_every.value)
    share = low_pass_share(program.sample_every.value, program.ground_follow.value)
    c1, c2, c3, c4, c5, c6 = map(single, height_coefficients(program.pad_temperature.value))
    return Table(
        name=program.name,
        outputs=tuple(outputs),
        stages=tuple(
            _stage(("stage", number), stage, numbers, outputs, phrases)
            for number, stage in enumerate(program.stage)
        ),
        step_ms=milliseconds(program.sample_every),
        estimator=Estimator[program.estimate.kind.upper()],
        height_gain=single(height_gain),
        climb_gain=single(climb_gain),
        reference_gain=single(share),
        least_pa=single(program.least.value),
        most_pa=single(program.most.value),
        height_series=(c1, c2, c3, c4, c5, c6),
    )


def conditions(program: Program) -> dict[Path, Node | PhraseError]:
    """Return every condition, or what is wrong with it, by the path of its ``when``."""
    return {path: _read(phrase) for path, phrase in _phrases(program)}


def _phrases(program: Program) -> Iterator[tuple[Path, str]]:
    for s, stage in enumerate(program.stage):
        for w, way in enumerate(stage.way):
            if way.when is not None:
                yield ("stage", s, "way", w, "when"), way.when


def _read(phrase: str) -> Node | PhraseError:
    try:
        return parse(phrase)
    except PhraseError as error:
        return error


def _placeless(path: Path, slip: PhraseError) -> Problem:
    field = ".".join(str(part) for part in path)
    return Problem(slip.code, slip.message, Where(field=field), slip.mend)


def milliseconds(time: Quantity | None, default: int = 0) -> int:
    """Return a time in whole milliseconds, ``default`` where none is given."""
    return default if time is None else round(time.value * 1000.0)


def _gains(estimate: Estimate, step: float) -> tuple[float, float]:
    """Return the gains of height and climb as the table holds them."""
    if estimate.kind == "raw":
        return 1.0, 1.0
    if estimate.height_gain is not None and estimate.climb_gain is not None:
        height, climb = estimate.height_gain.value, estimate.climb_gain.value
    elif estimate.kind == "filter":
        assert estimate.height_time is not None
        assert estimate.climb_time is not None
        height = low_pass_share(step, estimate.height_time.value)
        climb = low_pass_share(step, estimate.climb_time.value)
    else:
        assert estimate.unsteadiness is not None
        assert estimate.noise is not None
        index = tracking_index(estimate.unsteadiness.value, step, estimate.noise.value)
        height, climb = tracking_gains(index)
    return height, climb / step if estimate.kind == "tracking" else climb


def _stage(
    path: Path,
    stage: ProgramStage,
    numbers: dict[str, int],
    outputs: list[str],
    phrases: dict[Path, Node],
) -> Stage:
    return Stage(
        name=stage.name,
        exits=tuple(
            _exit(way, numbers[way.to], phrases.get((*path, "way", number, "when")))
            for number, way in enumerate(stage.way)
        ),
        acts=tuple(_act(each, outputs) for each in stage.do),
        is_ground=stage.ground,
        marks_launch=stage.launch,
    )


def _exit(way: Way, to: int, condition: Node | None) -> Exit:
    clock = Clock[way.clock.upper()]
    if condition is None:  # by time alone: its backup, or the start of its window, is its moment
        moment = way.not_before if way.not_before is not None else way.backup
        return Exit(to, ALWAYS, not_before_ms=milliseconds(moment), clock=clock)
    return Exit(
        to=to,
        condition=postfix(condition),
        hold_ms=milliseconds(way.hold),
        not_before_ms=milliseconds(way.not_before),
        not_after_ms=milliseconds(way.not_after, NO_TIME),
        backup_ms=milliseconds(way.backup, NO_TIME),
        clock=clock,
    )


def _act(each: Do, outputs: list[str]) -> Act:
    return Act(outputs.index(each.output), Action[each.does.upper()], milliseconds(each.time))
