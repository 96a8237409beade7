"""Trying what may mend single points of failure, on the draws of the flights that found them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loftwright.rehearsal.cases import fault_name
from loftwright.rehearsal.chances import shift_of
from loftwright.rehearsal.mends import Proposal, Timings, proposals
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.results import Case, Mend, Stay
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.trials import run_trials
from loftwright.rehearsal.watching import stays

__all__ = ["try_mends"]

Bools = NDArray[np.bool_]

MOST_FLIGHTS = 1000  # of each case, before and after
WATCHED = 64  # flights that backups are reckoned from


def try_mends(
    plan: Plan, weak: Sequence[Case], trial_of: Mapping[int, Trial], flights: int
) -> tuple[Mend, ...]:
    """Fly each proposal on the draws of the flights that found the weakness.

    Parameters
    ----------
    plan : Plan
        Of the campaign as it is.
    weak : sequence of Case
        Single points of failure.
    trial_of : mapping
        The trial of each case, by its identity.
    flights : int
        As many as the rehearsal flew of each case; no more than `MOST_FLIGHTS` are taken.
    """
    groups = {
        fault_name(each): each.fault.group for case in weak for each in trial_of[id(case)].happening
    }
    found = []
    count = min(flights, MOST_FLIGHTS)
    for proposal in proposals(plan.campaign, weak, groups, timings(plan)):
        trials = [Trial(), *(trial_of[id(case)] for case in proposal.meant_for)]
        before = _flags(plan, trials, count)
        after = _flags(_plan(plan, proposal), trials, count)
        names = ["no fault", *(case.name for case in proposal.meant_for)]
        lost = {name: shift_of(before[k].lost, after[k].lost) for k, name in enumerate(names)}
        good = shift_of(before[0].good, after[0].good)
        found.append(Mend(proposal.words, proposal.how, lost, good))
    return tuple(found)


def _plan(plan: Plan, proposal: Proposal) -> Plan:
    return plan_of(proposal.campaign, plan.seed)


class _Flags:
    """Which flights of one trial were good, and which lost the vehicle or endangered people."""

    def __init__(self) -> None:
        self._good: list[Bools] = []
        self._lost: list[Bools] = []

    def add(self, flown: Flown, trial: int) -> None:
        judged = flown.of(trial)
        self._good.append(judged.good)
        self._lost.append(judged.lost | judged.endangers)

    @property
    def good(self) -> Bools:
        return np.concatenate(self._good)

    @property
    def lost(self) -> Bools:
        return np.concatenate(self._lost)


def _flags(plan: Plan, trials: Sequence[Trial], flights: int) -> list[_Flags]:
    found = [_Flags() for _ in trials]
    for _, flown in run_trials(plan, trials, flights):
        for number, each in enumerate(found):
            each.add(flown, number)
    return found


def timings(plan: Plan) -> Timings:
    """Return when flights without a fault do things, the latest of some."""
    flown = fly_block(plan, [Trial()], 0, WATCHED)
    canopy = None
    if "canopy" in plan.things:
        acts = flown.settled.branches.acts[:, plan.things.index("canopy")]
        canopy = float(np.nanmax(acts)) if np.isfinite(acts).any() else None
    leaves: dict[tuple[str, str, int], float] = {}
    for flight in range(WATCHED):
        for controller, row in stays(plan, flown, flight).items():
            for key, moment in _leaves(plan, controller, row):
                leaves[key] = max(moment, leaves.get(key, moment))
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
