"""Choosing thresholds, hold times, backups and gains of a program by flying every choice alike.

All settings listen to the same flights with the same noise, so that two of them differ by what was
turned and by nothing else. A setting that breaks a promise of its program is not flown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.program import Program
from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.results import Provenance
from loftwright.instruments.cases import Happening
from loftwright.program.assemble import assemble
from loftwright.program.promises import judge as judge_promises
from loftwright.rehearsal.aims import FIGURES, Figure, Limit, Measured, Sample, combined
from loftwright.rehearsal.cases import chosen, known_happenings
from loftwright.rehearsal.knobs import Knob, turned
from loftwright.rehearsal.outcomes import knows_people
from loftwright.rehearsal.plan import Plan, made_by, plan_of
from loftwright.rehearsal.run import Trial
from loftwright.rehearsal.trials import run_trials
from loftwright.study.front import kept_front
from loftwright.units import DIMENSIONS

__all__ = ["Setting", "Tuned", "tune"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

ALONG_ONE = 17  # settings along one range
AMONG_MORE = 48  # settings of a scrambled Sobol sequence over several ranges


@dataclass(frozen=True, slots=True)
class Setting:
    """A choice of values, SI, and what its flights came to, by figure."""

    values: dict[str, float]  # by the knob's path
    figures: dict[str, Measured]
    broken: tuple[str, ...] = ()  # promises and limits that it does not keep, in words
    is_written: bool = False
    is_on_front: bool = False
    is_chosen: bool = False


@dataclass(frozen=True, slots=True)
class Tuned:
    """What tuning found; ``chosen`` is None where no setting keeps all limits and promises."""

    knobs: tuple[Knob, ...]
    aims: tuple[Figure, Figure]
    limits: tuple[Limit, ...]
    settings: tuple[Setting, ...]
    chosen: Setting | None
    faults: tuple[str, ...]
    provenance: Provenance
    notes: tuple[str, ...] = field(default=())

    @property
    def written(self) -> Setting:
        """The setting as the documents have it now."""
        return next(each for each in self.settings if each.is_written)


def tune(
    campaign: Campaign,
    knobs: Sequence[Knob],
    *,
    aim: str = "released_well",
    against: str = "release_height",
    limits: Sequence[Limit] = (),
    faults: str = "none",
    flights: int = 400,
    seed: int = 1,
    points: int | None = None,
    progress: Progress | None = None,
) -> Tuned:
    """Fly many settings of a campaign's programs, and choose one.

    Of the settings that keep every promise and limit, those count as best whose aim lies within
    the interval of the very best; of these the one is chosen that does best in what it is traded
    against.

    Parameters
    ----------
    knobs : sequence of Knob
        With their ranges, as ``knobs.read_knobs`` gives them.
    aim, against : str
        Names in ``aims.FIGURES``.
    limits : sequence of Limit
        That a choice must keep, on its careful side.
    faults : str
        Faults that count with how likely they are, as in `rehearse`.
    flights : int
        Of each setting, and of each fault with it.
    points : int, optional
        Settings to try besides the one that is written.

    Raises
    ------
    ProblemError
        As `rehearse` does; and where people are asked for on a site that draws none.
    """
    plan = plan_of(campaign, seed)
    names = {aim, against, *(limit.figure for limit in limits)}
    if "endangers" in names and not knows_people(plan.shapes):
        raise ProblemError([_nobody_there()])
    happen = chosen(known_happenings(plan), faults)
    values = [
        {knob.path: knob.now for knob in knobs},
        *_values(knobs, points or (ALONG_ONE if len(knobs) == 1 else AMONG_MORE), seed),
    ]
    programs = [
        turned(campaign.programs, {knob: each[knob.path] for knob in knobs}) for each in values
    ]
    broken = [_promises_broken(each) for each in programs]
    # What breaks a promise need not be flown; the documents' own setting is, to be shown.
    flown = [k for k in range(len(values)) if k == 0 or not broken[k]]
    measured = _fly(plan, [programs[k] for k in flown], happen, flights, progress)
    found: list[Setting] = []
    for k, samples in zip(flown, measured, strict=True):
        figures = {name: combined(FIGURES[name], samples, happen) for name in sorted(names)}
        missed = tuple(limit.words for limit in limits if not limit.kept(figures[limit.figure]))
        found.append(Setting(values[k], figures, (*broken[k], *missed), is_written=k == 0))
    marked = _marked(found, FIGURES[aim], FIGURES[against])
    notes = _notes(len(values) - len(flown))
    return Tuned(
        knobs=tuple(knobs),
        aims=(FIGURES[aim], FIGURES[against]),
        limits=tuple(limits),
        settings=tuple(marked),
        chosen=next((each for each in marked if each.is_chosen), None),
        faults=tuple(each.fault.name for each in happen),
        provenance=made_by(plan, flights),
        notes=notes,
    )


def _notes(left_out: int) -> tuple[str, ...]:
    if not left_out:
        return ()
    were = (
        "setting breaks a promise of its program and was"
        if left_out == 1
        else ("settings break a promise of their program and were")
    )
    return (f"{left_out} {were} not flown.",)


def _nobody_there() -> Problem:
    message = "nobody knows whom this may endanger: no field edge, people or people line is drawn"
    mend = "draw them, each a [[shape]]; or leave the figure endangers out"
    return Problem("tune-no-people", message, Where(file="site.toml", field="shape"), mend)


def _values(knobs: Sequence[Knob], count: int, seed: int) -> list[dict[str, float]]:
    """Settings over the ranges: evenly along one, evenly scattered over several."""
    if len(knobs) == 1:
        shares = np.linspace(0.0, 1.0, count)[:, np.newaxis]
    else:
        from scipy.stats import qmc

        power = max(1, int(np.ceil(np.log2(count))))
        shares = qmc.Sobol(len(knobs), seed=seed).random_base2(power)[:count]
    return [
        {
            knob.path: _rounded(knob, knob.low + share * (knob.high - knob.low))
            for knob, share in zip(knobs, row, strict=True)
        }
        for row in shares.tolist()
    ]


def _rounded(knob: Knob, value: float) -> float:
    """Times in whole milliseconds, all else to what a person would write in the range's unit."""
    if knob.dimension == "time":
        return round(value, 3)
    unit = DIMENSIONS[knob.dimension].units[knob.unit]
    return unit.to_si(float(f"{value / unit.to_si(1.0):.4g}"))


def _promises_broken(programs: Mapping[str, Program]) -> tuple[str, ...]:
    return tuple(
        f"{name}: {verdict.says}"
        for name, program in programs.items()
        for verdict in judge_promises(program, assemble(program))
        if not verdict.kept
    )


def _fly(
    plan: Plan,
    programs: Sequence[Mapping[str, Program]],
    happen: Sequence[Happening],
    flights: int,
    progress: Progress | None,
) -> list[list[Sample]]:
    """Fly every setting without a fault and with each; return samples by setting and case."""
    trials = []
    for each in programs:
        tables = {name: assemble(program) for name, program in each.items()}
        trials += [Trial((), tables), *(Trial((one,), tables) for one in happen)]
    samples: list[Sample] = [Sample() for _ in trials]
    for _, flown in run_trials(plan, trials, flights, progress):
        for number, sample in enumerate(samples):
            sample.add(flown, number)
    cases = 1 + len(happen)
    return [samples[k * cases : (k + 1) * cases] for k in range(len(programs))]


def _marked(found: Sequence[Setting], aim: Figure, against: Figure) -> list[Setting]:
    """Mark the front of what is allowed, and the choice."""
    allowed = [k for k, each in enumerate(found) if not each.broken]
    costs = np.array(
        [[each.cost(found[k].figures[each.name]) for each in (aim, against)] for k in allowed]
    ).reshape(-1, 2)
    front = {allowed[i] for i in kept_front(costs).tolist()} if allowed else set()
    choice = _choice([found[k] for k in allowed], aim, against) if allowed else None
    return [
        _with(each, is_on_front=k in front, is_chosen=each is choice)
        for k, each in enumerate(found)
    ]


def _with(setting: Setting, **marks: Any) -> Setting:
    from dataclasses import replace

    return replace(setting, **marks)


def _choice(allowed: Sequence[Setting], aim: Figure, against: Figure) -> Setting:
    best = min(allowed, key=lambda each: aim.cost(each.figures[aim.name]))
    near = aim.careful(best.figures[aim.name])
    as_good = [each for each in allowed if aim.is_as_good(each.figures[aim.name].value, near)]
    return min(as_good, key=lambda each: against.cost(each.figures[against.name]))
