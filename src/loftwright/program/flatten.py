"""A release program as flat arrays, and what LANES controllers that run it remember.

These are what ``kernel/decide`` reads and writes; ``kernel/slots`` names the places.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import accumulate
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.program.kernel import slots
from loftwright.program.table import NO_TIME, Action, Clock, Exit, Op, Table

__all__ = ["Flat", "Lanes", "flat", "new_state"]

Whole = NDArray[np.int32]
Single = NDArray[np.float32]


class Flat(NamedTuple):
    """A release program: whole numbers and single-precision ones, as ``slots`` names them."""

    ints: Whole
    floats: Single


class Lanes(NamedTuple):
    """What LANES controllers remember: rows of whole numbers, rows of single-precision ones."""

    whole: Whole
    single: Single

    def copy(self) -> Lanes:
        """Return a copy that shares nothing."""
        return Lanes(self.whole.copy(), self.single.copy())


def flat(table: Table) -> Flat:
    """Return a release program as the two arrays that ``decide`` takes."""
    exits = [way for stage in table.stages for way in stage.exits]
    acts = [act for stage in table.stages for act in stage.acts]
    steps = [step for way in exits for step in way.condition]
    rows = [*_stage_rows(table), *_exit_rows(exits)]
    for act in acts:
        ends = act.action in (Action.PULSE, Action.SOUND)
        for_ms = act.for_ms if ends else slots.NEVER
        rows += [act.output, 0 if act.action == Action.CLOSE else 1, for_ms]
    for step in steps:
        rows += [step.op, slots.SEEN + step.seen * slots.LANES]
    counts = (len(table.stages), len(exits), len(acts), len(steps))
    floats = [*_numbers(table), *(step.constant for step in steps)]
    ints = [*_header(table, counts, exits), *rows]
    return Flat(np.array(ints, np.int32), np.array(floats, np.float32))


def _header(table: Table, counts: tuple[int, int, int, int], exits: list[Exit]) -> list[int]:
    """Return how much there is of everything, and where it begins."""
    most_exits = max((len(stage.exits) for stage in table.stages), default=0)
    depth = max((_depth(way) for way in exits), default=1)
    outputs = len(table.outputs)
    stages, exit_count, acts, _ = counts
    sizes = (stages * slots.STAGE_ROW, exit_count * slots.EXIT_ROW, acts * slots.ACT_ROW)
    rows = accumulate(sizes, initial=slots.HEADER)
    state = accumulate((most_exits, outputs, outputs, outputs, depth), initial=slots.WHOLE_ROWS)
    places = [slots.LANES * row for row in state]
    return [slots.LANES, table.estimator, stages, outputs, most_exits, *rows, *places]


def _depth(way: Exit) -> int:
    """Return how many values of a condition wait at most; one that always holds is one."""
    changes = {Op.AND: -1, Op.OR: -1, Op.NOT: 0}
    waiting = accumulate(changes.get(step.op, 1) for step in way.condition)
    return max(waiting, default=1)


def _stage_rows(table: Table) -> list[int]:
    rows: list[int] = []
    exits = acts = 0
    for stage in table.stages:
        rows += [exits, len(stage.exits), acts, len(stage.acts)]
        rows += [int(stage.is_ground), int(stage.marks_launch)]
        exits += len(stage.exits)
        acts += len(stage.acts)
    return rows


def _exit_rows(exits: list[Exit]) -> list[int]:
    rows: list[int] = []
    steps = 0
    for way in exits:
        since = slots.LAUNCHED if way.clock == Clock.LAUNCH else slots.ENTERED
        window = [way.not_before_ms, _or_never(way.not_after_ms), _or_never(way.backup_ms)]
        rows += [way.to, steps, len(way.condition), way.hold_ms, *window, since]
        steps += len(way.condition)
    return rows


def _or_never(time: int) -> int:
    return slots.NEVER if time == NO_TIME else time


def _numbers(table: Table) -> list[float]:
    gains = [table.height_gain, table.climb_gain, table.reference_gain]
    seconds = float(np.float32(table.step_ms) / np.float32(1000.0))
    series = [*table.height_series]
    return [table.least_pa, table.most_pa, *gains, seconds, *series, 0.0, float("nan")]


def new_state(table: Table) -> Lanes:
    """Return what LANES controllers remember at power-up, each at 0 ms of its own clock.

    Outputs that the first stage raises count as opened in sample 0.
    """
    from loftwright.program.kernel import decide

    power_up: Callable[..., None] = decide.power_up
    take_stock: Callable[..., None] = decide.take_stock
    program = flat(table)
    whole = np.full(program.ints[slots.WHOLE_SIZE], slots.NOT_YET, np.int32)
    single = np.zeros(slots.SINGLE_ROWS * slots.LANES, np.float32)
    for lane in range(slots.LANES):
        power_up(0, program.ints, program.floats, whole, single, lane)
    take_stock(slots.LANES, program.ints, whole)
    return Lanes(whole, single)
