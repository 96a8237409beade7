"""Trying what may mend single points of failure, on the draws of the flights that found them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np

from loftwright.rehearsal.cases import fault_name, known_happenings
from loftwright.rehearsal.chances import shift_of
from loftwright.rehearsal.mends import Change, Proposal, Timings, proposals
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.results import NO_FAULT, Case, Mend, Stay
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.tally import Tally
from loftwright.rehearsal.trials import Progress, count_trials
from loftwright.rehearsal.watching import stays

__all__ = ["try_mends"]

WATCHED = 64  # flights that backups are reckoned from


def try_mends(
    plan: Plan,
    weak: Sequence[Case],
    flown: Mapping[str, tuple[Trial, Tally]],
    *,
    own: Sequence[Change] = (),
    proposed: bool = True,
    progress: Progress | None = None,
) -> tuple[Mend, ...]:
    """Fly each change on the draws of the flights that found the weakness.

    Parameters
    ----------
    plan : Plan
        Of the campaign as it is.
    weak : sequence of Case
        What a change is held against: single points of failure.
    flown : mapping
        Trial and tally of each case by its name, the nominal one among them. As many flights are
        taken as their tallies keep.
    own : sequence of Change
        Changes of the person's own, tried first.
    proposed : bool
        Whether to try what the library proposes as well.
    progress : callable, optional
        Called with flights done and their total, anew for each change.
    """
    changes = [
        Proposal(each.words, each.how, each.campaign, tuple(weak), writings=each.writings)
        for each in own
    ]
    if proposed and weak:
        groups = {
            fault_name(each): each.fault.group
            for case in weak
            for each in flown[case.name][0].happening
        }
        changes += proposals(plan.campaign, weak, groups, timings(plan))
    return tuple(_tried(plan, change, flown, progress) for change in changes)


def _tried(
    plan: Plan,
    proposal: Proposal,
    flown: Mapping[str, tuple[Trial, Tally]],
    progress: Progress | None,
) -> Mend:
    changed = plan_of(proposal.campaign, plan.seed, plan.recorded)
    # A fault at a part that the change has taken away cannot happen any more.
    known = {fault_name(each) for each in known_happenings(changed)}
    names = [NO_FAULT] + [case.name for case in proposal.meant_for if known.issuperset(case.faults)]
    trials = [flown[name][0] for name in names]
    before = [flown[name][1] for name in names]
    after = count_trials(changed, trials, len(before[0].first_good), progress)
    pairs = dict(zip(names, zip(before, after, strict=True), strict=True))
    return Mend(
        words=proposal.words,
        how=proposal.how,
        lost={
            name: shift_of(was.first_failed, now.first_failed) for name, (was, now) in pairs.items()
        },
        good=shift_of(before[0].first_good, after[0].first_good),
        writings=proposal.writings,
    )


def timings(plan: Plan) -> Timings:
    """Return when some flights without a fault do things."""
    flown = fly_block(plan, [Trial()], 0, WATCHED)
    canopy = None
    if "canopy" in plan.things:
        acts = flown.settled.branches.acts[:, plan.things.index("canopy")]
        canopy = float(np.nanmax(acts)) if np.isfinite(acts).any() else None
    leaves: dict[tuple[str, str, int], tuple[float, float]] = {}
    for flight in range(WATCHED):
        for controller, row in stays(plan, flown, flight).items():
            for key, moment in _leaves(plan, controller, row):
                early, late = leaves.get(key, (moment, moment))
                leaves[key] = (min(early, moment), max(late, moment))
    return Timings(canopy, leaves)


def _leaves(
    plan: Plan, controller: str, row: Sequence[Stay]
) -> Iterator[tuple[tuple[str, str, int], float]]:
    """Yield each way out that was taken, and when by its own clock."""
    program = plan.campaign.programs[controller]
    launched = None
    for stay, following in pairwise(row):
        stage = next((each for each in program.stage if each.name == stay.stage), None)
        if stage is None:
            continue
        if stage.launch and launched is None:
            launched = stay.start
        for number, way in enumerate(stage.way):
            if way.to != following.stage:
                continue
            begin = stay.start if way.clock == "stage" else launched
            if begin is not None:
                yield (controller, stage.name, number), stay.end - begin
            break
