"""A block of flights of many cases, from draws to words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.instruments.cases import CaseInputs, Happening, inputs, scene_of
from loftwright.instruments.wiring import Wiring
from loftwright.program.table import Table
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import Settled, settle
from loftwright.rehearsal.hearing import Ears, Hearer
from loftwright.rehearsal.outcomes import Judged, judge
from loftwright.rehearsal.plan import Plan

__all__ = ["Flown", "Trial", "fly_block"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Trial:
    """A case to be flown: what happens in it, and programs other than the campaign's own."""

    happening: tuple[Happening, ...] = ()
    tables: Mapping[str, Table] | None = None


class Flown(NamedTuple):
    """A block of flights of every trial.

    ``judged`` and ``columns`` have a row a branch; ``settled.which`` tells which branch each trial
    flew in each flight.
    """

    block: Block
    wiring: Wiring
    hearers: list[Hearer]
    ears: Ears
    settled: Settled
    columns: dict[str, Floats]
    judged: Judged

    def of(self, trial: int) -> Judged:
        """Return what became of the flights of one trial."""
        return self.judged.take(self.settled.which[trial])

    def figures(self, trial: int, name: str) -> Floats:
        """Return a figure of the flights of one trial."""
        found: Floats = self.columns[name][self.settled.which[trial]]
        return found


def fly_block(plan: Plan, trials: Sequence[Trial], first: int, count: int) -> Flown:
    """Fly flights ``first`` to ``first + count`` of every trial, on the calling thread.

    Where the plan has a recorded truth, that is what controllers sense, and what they decide on it
    is what flies.
    """
    block = Block(plan.recipe, first, count, plan.things)
    scene = scene_of(plan.campaign, block.values[0], plan.recipe.words, plan.seed, first, count)
    hearers, groups = [], []
    for trial in trials:
        case = inputs(scene, *trial.happening)
        groups.append(0 if case.values is None else block.ascend(case.values))
        hearers.append(_hearer(plan, trial, case))
    ears = Ears(block, scene.wiring, hearers, groups, plan.recorded)
    settled = settle(np.array(groups), count, len(plan.things), ears)
    columns = block.flights(settled.branches)
    scrubbed, touched = _on_the_pad(plan, settled)
    judged = judge(plan.campaign, plan.shapes, columns, scrubbed, touched)
    return Flown(block, scene.wiring, hearers, ears, settled, columns, judged)


def _hearer(plan: Plan, trial: Trial, case: CaseInputs) -> Hearer:
    own = trial.tables or plan.tables
    tables = {name: own[runs] for name, runs in case.programs.items()}
    return Hearer(tables, case.programs, case.lanes, case.actuators)


def _on_the_pad(
    plan: Plan, settled: Settled
) -> tuple[NDArray[np.bool_], dict[str, NDArray[np.bool_]]]:
    """Where something was let go before first motion; and of each payload whether it was that."""
    acts = settled.branches.acts
    with np.errstate(invalid="ignore"):
        early = acts < 0.0
    roots = {
        thing: early[:, number] for number, thing in enumerate(plan.things) if thing != "canopy"
    }
    return np.asarray(early.any(axis=1)), roots
