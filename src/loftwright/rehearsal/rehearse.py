"""The verb: all cases flown, counted, and what follows from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from loftwright.documents.campaign import Campaign
from loftwright.instruments.wiring import common_causes as wired_causes
from loftwright.instruments.wiring import wire
from loftwright.rehearsal.cases import chosen, fault_name, known_happenings, pairs_of
from loftwright.rehearsal.failure_table import case_of, cut_sets_of_cases, ranked
from loftwright.rehearsal.mending import try_mends
from loftwright.rehearsal.mends import Change
from loftwright.rehearsal.outcomes import knows_people, wanted_of
from loftwright.rehearsal.plan import Plan, made_by, plan_of
from loftwright.rehearsal.recorded import PressureTruth
from loftwright.rehearsal.results import Case, CommonCause, Rehearsal
from loftwright.rehearsal.run import Trial
from loftwright.rehearsal.tally import Tally
from loftwright.rehearsal.trials import count_trials
from loftwright.rehearsal.watching import watch_cases

__all__ = ["LEVEL", "rehearse"]

Progress = Callable[[int, int], None]

LEVEL = 0.1
NOTHING_FAILS = "Nothing fails."


def rehearse(
    campaign: Campaign,
    *,
    flights: int = 1000,
    seed: int = 1,
    faults: str = "all",
    pairs: bool = False,
    level: float = LEVEL,
    mends: bool = True,
    tries: Sequence[Change] = (),
    recorded: PressureTruth | None = None,
    recorded_in: str = "",
    progress: Progress | None = None,
) -> Rehearsal:
    """Fly a campaign with its release programs at work, and with every fault asked for.

    Parameters
    ----------
    campaign : Campaign
        With avionics and programs.
    flights : int
        Of each case; all cases share wind, gusts, draws and noise flight by flight.
    seed : int
        The same seed gives the same answer on any number of threads.
    faults : str
        ``"all"``, ``"none"``, or names of faults between commas.
    pairs : bool
        Whether every two faults are tried together as well.
    level : float
        Share of flights above which a fault is a single point of failure.
    mends : bool
        Whether to try what may mend single points of failure.
    tries : sequence of Change
        Changes of the person's own, to be held against the same faults: single points of failure,
        or where there are none all that lose the vehicle or endanger people at all.
    recorded : PressureTruth, optional
        A recorded flight that controllers sense in place of the forecast one; ``recorded_in`` is
        its file.
    progress : callable, optional
        Called with flights done and their total.

    Raises
    ------
    ProblemError
        When there is nothing to rehearse, or a fault is not known.
    """
    plan = plan_of(campaign, seed, recorded)
    single = chosen(known_happenings(plan), faults)
    both = list(pairs_of(single)) if pairs else []
    trials = [Trial(), *(Trial((each,)) for each in single), *(Trial(two) for two in both)]
    tallies = count_trials(plan, trials, flights, progress)
    cases = [_case(plan, trial, tally, level) for trial, tally in zip(trials, tallies, strict=True)]
    nominal, alone, together = cases[0], cases[1 : 1 + len(single)], cases[1 + len(single) :]
    ordered = ranked(alone)
    weak = [case for case in ordered if case.is_single_point]
    flown = {
        case.name: (trial, tally) for case, trial, tally in zip(cases, trials, tallies, strict=True)
    }
    return Rehearsal(
        flights=flights,
        seed=seed,
        level=level,
        nominal=nominal,
        faults=ordered,
        provenance=made_by(plan, flights),
        pairs=ranked(together),
        cut_sets=cut_sets_of_cases(nominal, alone, together, level),
        common_causes=_common_causes(plan),
        mends=try_mends(
            plan,
            weak or [case for case in ordered if case.lost.count or case.endangered > 0.0],
            flown,
            own=tries,
            proposed=mends and bool(weak),
            progress=progress,
        ),
        watched=watch_cases(plan, [(each, flown[each.name][0]) for each in (nominal, *ordered)]),
        wanted=wanted_of(campaign).flat(),
        truth_from=recorded_in,
    )


def _case(plan: Plan, trial: Trial, tally: Tally, level: float) -> Case:
    says = " ".join(each.says for each in trial.happening) or NOTHING_FAILS
    happens = 1.0
    for each in trial.happening:
        happens *= each.chance
    names = [fault_name(each) for each in trial.happening]
    part = " and ".join(dict.fromkeys(each.part.name for each in trial.happening))
    return case_of(
        names,
        says,
        happens,
        part,
        tally,
        level,
        knows_ground=bool(plan.shapes),
        knows_people=knows_people(plan.shapes),
    )


def _common_causes(plan: Plan) -> tuple[CommonCause, ...]:
    assert plan.campaign.avionics is not None
    return tuple(
        CommonCause(each.part, each.kind, each.takes_along, each.leaves_no_way_down)
        for each in wired_causes(wire(plan.campaign.avionics))
    )
