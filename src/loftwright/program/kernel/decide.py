"""One sample of a release program for LANES controllers side by side.

What it does is what ``interpreter`` does, to the bit. One compiled function serves every program:
it walks the rows of the flat table, each row for all lanes at once, and only those of stages in
which some lane is. What happens rarely (power-up, entering a stage) is done lane by lane.

Every number is of single precision or a whole number of 32 bits. Constants come from the table's
array, not from the code: beside a plain number the compiler would widen to double precision.
"""

import numpy as np

from loftwright.program.kernel.conditions import work_out
from loftwright.program.kernel.estimating import estimate
from loftwright.program.kernel.happenings import end_pulses, enter, restart_lanes, take_stock
from loftwright.program.kernel.places import row_of
from loftwright.program.kernel.slots import (
    EXIT_BACKUP,
    EXIT_HOLD,
    EXIT_NOT_AFTER,
    EXIT_NOT_BEFORE,
    EXIT_ROW,
    EXIT_ROWS,
    EXIT_SINCE,
    EXIT_TO,
    GOING,
    HOLDING,
    LANES,
    NEVER,
    NOT_YET,
    PEOPLED,
    PEOPLED_STAGES,
    PULSES,
    STACK,
    STAGE,
    STAGE_EXITS,
    STAGE_FIRST_EXIT,
    STAGE_ROW,
    STAGE_ROWS,
    WIDTH,
)

__all__ = ["decide"]

EXACT = True  # each operation rounds by itself

NO, YES = np.int32(0), np.int32(1)


def decide(k, ints, floats, whole, single, pressure, pushed, line, now, alive, restart):
    """Take one sample in every lane.

    Parameters
    ----------
    k : int
        Number of the sample, 0 or more: what OPENED and SENSED note.
    ints, floats
        The program, from ``flatten.flat``.
    whole, single
        What the lanes remember, from ``flatten.new_state``; changed in place.
    pressure, pushed : float32[LANES]
        What the sensors say [Pa, m/s2]; not-a-number where nothing measures it.
    line, now : int32[LANES]
        1 when the line is open; the controller's clock [ms], which never runs back but at restarts.
    alive, restart : int32[LANES]
        0 for a controller without power, which takes no step; 1 when its power has just come back:
        it begins as at power-up, at 0 ms of its clock, and then takes the sample.

    Notes
    -----
    The function that is compiled, with this one in it, must stand in a module with ``EXACT``.
    """
    # To the compiler this may be 0: a loop of fixed length it would write out, not vectorise.
    lanes = ints[WIDTH] & LANES
    restart_lanes(lanes, k, ints, floats, whole, single, restart)
    if whole[PULSES] != 0:
        end_pulses(lanes, ints, whole, now, alive)
    estimate(lanes, ints, floats, whole, single, pressure, alive)
    readings = (pressure, pushed, line)
    _watch(lanes, k, ints, floats, whole, single, readings, now, alive)


def _watch(lanes, k, ints, floats, whole, single, readings, now, alive):
    """See which lanes leave their stage, and let them enter the next."""
    going = False
    for number in range(whole[PEOPLED_STAGES]):
        stage = whole[PEOPLED + number]
        going |= _watch_stage(lanes, stage, ints, floats, whole, single, readings, now, alive)
    if going:
        for lane in range(lanes):
            if whole[GOING + lane] != NOT_YET:
                enter(k, whole[GOING + lane], now[lane], ints, whole, single, lane)
                whole[GOING + lane] = NOT_YET
        take_stock(lanes, ints, whole)


def _watch_stage(lanes, stage, ints, floats, whole, single, readings, now, alive):
    """Note for every lane that is in a stage where it goes, the first exit that is ready.

    Return whether any goes.
    """
    row = ints[STAGE_ROWS] + stage * STAGE_ROW
    first = ints[row + STAGE_FIRST_EXIT]
    going = False
    for number in range(ints[row + STAGE_EXITS]):
        way = ints[EXIT_ROWS] + (first + number) * EXIT_ROW
        work_out(lanes, way, ints, floats, whole, single, readings)
        if _stirs(lanes, way, number, stage, ints, whole, now, alive):
            going |= _hold(lanes, way, number, stage, ints, whole, now, alive)
    return going


def _stirs(lanes, way, number, stage, ints, whole, now, alive):
    """Tell whether there is anything to be done about an exit, in most samples there is not."""
    backup, since = ints[way + EXIT_BACKUP], row_of(ints[way + EXIT_SINCE], 0)
    holding, stack = row_of(ints[HOLDING], number), row_of(ints[STACK], 0)
    some = NO
    for lane in range(lanes):
        here = (whole[STAGE + lane] == stage) & (alive[lane] != 0)
        stirs = (whole[stack + lane] != 0) | (whole[holding + lane] != NOT_YET)
        some = np.int32(some | (YES if here & stirs else NO))
    if backup != NEVER:
        for lane in range(lanes):
            here = (whole[STAGE + lane] == stage) & (alive[lane] != 0)
            start = whole[since + lane]
            late = (np.int32(now[lane] - start) >= backup) & (start != NOT_YET)
            some = np.int32(some | (YES if here & late else NO))
    return some != 0


def _hold(lanes, way, number, stage, ints, whole, now, alive):
    """Keep up to date since when an exit holds, and note the lanes that it lets go.

    Return whether there are any.
    """
    to, hold = ints[way + EXIT_TO], ints[way + EXIT_HOLD]
    not_before, not_after = ints[way + EXIT_NOT_BEFORE], ints[way + EXIT_NOT_AFTER]
    backup, since = ints[way + EXIT_BACKUP], row_of(ints[way + EXIT_SINCE], 0)
    holding, stack = row_of(ints[HOLDING], number), row_of(ints[STACK], 0)
    some = NO
    for lane in range(lanes):
        here = (whole[STAGE + lane] == stage) & (alive[lane] != 0)
        start = whole[since + lane]
        clock = np.int32(now[lane] - start)
        inside = (clock >= not_before) & (clock <= not_after) & (start != NOT_YET)
        holds = inside & (whole[stack + lane] != 0)
        held = whole[holding + lane]
        began = now[lane] if held == NOT_YET else held
        ripe = holds & (np.int32(now[lane] - began) >= hold)
        late = (clock >= backup) & (start != NOT_YET)
        kept = began if holds else NOT_YET
        whole[holding + lane] = kept if here else held
        going = whole[GOING + lane]
        goes = here & (ripe | late) & (going == NOT_YET)
        whole[GOING + lane] = to if goes else going
        some = np.int32(some | (YES if goes else NO))
    return some != 0
