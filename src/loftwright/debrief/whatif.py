"""What would be if, with the release programs at work: they decide when things go and open.

Flights are those of a kept forecast and of a rehearsal without a fault: what controllers sense of
each flight, supplies, clocks and actuators are modelled. Beside the quantities of the documents,
the numbers of the programs can be turned.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.scoring.kept_flights import OverTime, fly_with_programs
from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError
from loftwright.flight.blocks import processors
from loftwright.flight.results import Band
from loftwright.rehearsal.knobs import Knob, read_setting, turned
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.study.asked import asked_campaign
from loftwright.study.whatif import Question, WhatIf, shares_of

__all__ = ["PROGRAM", "WhatIfPrograms"]

Floats = NDArray[np.float64]

PROGRAM = "program."  # before the name of a program's number: program.board.climbing.climb


class WhatIfPrograms(WhatIf):
    """A campaign that is asked what would be, its programs at work.

    Raises ``ProblemError`` on asking where there is nothing to rehearse (`see_that_it_rehearses`).
    """

    def ask(
        self,
        values: Mapping[str, str],
        *,
        sketched: bool = False,  # noqa: ARG002 - with programs at work all is written down
    ) -> Question:
        """Return the question; names with ``program.`` before them turn a program's number."""
        turns = {name: text for name, text in values.items() if name.startswith(PROGRAM)}
        fields = {name: text for name, text in values.items() if name not in turns}
        problems: list[Problem] = []
        there = self.campaign
        try:
            there = asked_campaign(self.campaign, fields)
        except ProblemError as error:
            problems += error.problems
        settings: dict[Knob, float] = {}
        for name, text in turns.items():
            try:
                settings.update([_turn(there, name, text)])
            except ProblemError as error:
                problems += error.problems
        if problems:
            raise ProblemError(problems)
        there = replace(there, programs=turned(there.programs, settings))
        by = _ByPrograms(plan_of(there, self.seed), self.pool)
        return Question(there, dict(values), self.seed, by)


def _turn(campaign: Campaign, name: str, text: str) -> tuple[Knob, float]:
    """Read the turning of a number; its problems are placed at the name as it was asked."""
    try:
        return read_setting(campaign.programs, f"{name.removeprefix(PROGRAM)}={text}")
    except ProblemError as error:
        placed = [
            replace(each, where=replace(each.where, field=name, value=text))
            for each in error.problems
        ]
        raise ProblemError(placed) from None


@dataclass(slots=True)
class _ByPrograms:
    """Flights with programs at work; those that a program ended on the pad have no figures."""

    plan: Plan
    pool: ThreadPoolExecutor
    seen: list[OverTime] = field(default_factory=list)

    def fly(self, first: int, count: int) -> dict[str, Floats]:
        parts = list(
            self.pool.map(lambda share: self._some(*share), shares_of(first, count, processors()))
        )
        self.seen += [over_time for _, over_time in parts]
        columns = [each for each, _ in parts]
        return {name: np.concatenate([part[name] for part in columns]) for name in columns[0]}

    def _some(self, first: int, count: int) -> tuple[dict[str, Floats], OverTime]:
        over_time = OverTime()
        columns = fly_with_programs(self.plan, first, count, over_time)
        scrubbed = columns["scrubbed"] > 0.0
        kept = {
            name: column if name == "scrubbed" else np.where(scrubbed, np.nan, column)
            for name, column in columns.items()
        }
        return kept, over_time

    def band(self) -> Band:
        together = OverTime()
        for each in self.seen:
            together.tapes += each.tapes
            together.pushed += each.pushed
        return together.band()
