"""One sample of a release program for LANES controllers side by side.

What it does is what ``interpreter`` does, to the bit. One compiled function serves every program:
it walks the rows of the flat table, each row for all lanes at once, and only those of stages in
which some lane is. What happens rarely (power-up, entering a stage) is done lane by lane.

Every number is of single precision or a whole number of 32 bits. Constants come from the table's
array, not from the code: beside a plain number the compiler would widen to double precision.
"""

import numpy as np

from loftwright.program.kernel.conditions import row_of, work_out
from loftwright.program.kernel.estimating import estimate
from loftwright.program.kernel.slots import (
    ACT_FOR,
    ACT_LEVEL,
    ACT_OUTPUT,
    ACT_ROW,
    ACT_ROWS,
    CLIMB,
    ENTERED,
    EXIT_BACKUP,
    EXIT_HOLD,
    EXIT_NOT_AFTER,
    EXIT_NOT_BEFORE,
    EXIT_ROW,
    EXIT_ROWS,
    EXIT_SINCE,
    EXIT_TO,
    GOING,
    HAS_HEIGHT,
    HEIGHT,
    HIGHEST,
    HOLDING,
    IS_GROUND,
    LANES,
    LAUNCHED,
    LEVEL,
    MOST_EXITS,
    NEVER,
    NEXT_END,
    NOT_YET,
    ONE_STAGE,
    OPENED,
    OPENINGS,
    OUTPUTS,
    PULSES,
    REFERENCE,
    SENSED,
    STACK,
    STAGE,
    STAGE_ACTS,
    STAGE_EXITS,
    STAGE_FIRST_ACT,
    STAGE_FIRST_EXIT,
    STAGE_GROUND,
    STAGE_LAUNCH,
    STAGE_ROW,
    STAGE_ROWS,
    STAGES,
    UNTIL,
    WIDTH,
    ZERO,
)

__all__ = ["decide", "power_up", "take_stock"]

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
    _restart(lanes, k, ints, floats, whole, single, restart)
    if whole[PULSES] != 0:
        _end_pulses(lanes, ints, whole, now, alive)
    estimate(lanes, ints, floats, whole, single, pressure, alive)
    readings = (pressure, pushed, line)
    _watch(lanes, k, ints, floats, whole, single, readings, now, alive)


# ---------------------------------------------------------------- power-up and pulses


def power_up(k, ints, floats, whole, single, lane):
    """Bring one lane to power-up, at 0 ms of its clock: in the first stage, its acts done."""
    single[REFERENCE + lane] = floats[ZERO]
    single[HEIGHT + lane] = floats[ZERO]
    single[CLIMB + lane] = floats[ZERO]
    single[HIGHEST + lane] = floats[ZERO]
    whole[LAUNCHED + lane] = NOT_YET
    whole[HAS_HEIGHT + lane] = 0
    for output in range(ints[OUTPUTS]):
        whole[ints[LEVEL] + output * LANES + lane] = 0
        whole[ints[UNTIL] + output * LANES + lane] = NEVER
    _enter(k, 0, 0, ints, whole, single, lane)


def _restart(lanes, k, ints, floats, whole, single, restart):
    some = NO
    for lane in range(lanes):
        some = np.int32(some | restart[lane])
    if some != 0:
        for lane in range(lanes):
            if restart[lane] != 0:
                power_up(k, ints, floats, whole, single, lane)
        take_stock(lanes, ints, whole)


def take_stock(lanes, ints, whole):
    """Note what goes for all lanes together, after something has happened to some of them."""
    stage, mixed, next_end, openings = whole[STAGE], NO, np.int32(NEVER), NO
    for lane in range(lanes):
        mixed = np.int32(mixed | (whole[STAGE + lane] ^ stage))
        next_end = min(next_end, whole[NEXT_END + lane])
    for output in range(ints[OUTPUTS]):
        opened = row_of(ints[OPENED], output)
        for lane in range(lanes):
            openings = np.int32(openings + (YES if whole[opened + lane] != NOT_YET else NO))
    whole[ONE_STAGE] = stage if mixed == 0 else NOT_YET
    whole[PULSES] = NO if next_end == NEVER else YES
    whole[OPENINGS] = openings


def _end_pulses(lanes, ints, whole, now, alive):
    some = NO
    for lane in range(lanes):
        over = (now[lane] >= whole[NEXT_END + lane]) & (alive[lane] != 0)
        some = np.int32(some | (YES if over else NO))
    if some != 0:
        for lane in range(lanes):
            if now[lane] >= whole[NEXT_END + lane] and alive[lane] != 0:
                _end_pulses_of(now[lane], ints, whole, lane)
        take_stock(lanes, ints, whole)


def _end_pulses_of(moment, ints, whole, lane):
    """End what is over in one lane."""
    for output in range(ints[OUTPUTS]):
        until = ints[UNTIL] + output * LANES + lane
        if moment >= whole[until]:
            whole[ints[LEVEL] + output * LANES + lane] = 0
            whole[until] = NEVER
    _find_next_end(ints, whole, lane)


def _find_next_end(ints, whole, lane):
    """Note when the next pulse of one lane is over."""
    next_end = np.int32(NEVER)
    for output in range(ints[OUTPUTS]):
        next_end = min(next_end, whole[ints[UNTIL] + output * LANES + lane])
    whole[NEXT_END + lane] = next_end


# ---------------------------------------------------------------- the stages


def _watch(lanes, k, ints, floats, whole, single, readings, now, alive):
    """See which lanes leave their stage, and let them enter the next."""
    one = whole[ONE_STAGE]
    going = False
    if one != NOT_YET:
        going = _watch_stage(lanes, one, ints, floats, whole, single, readings, now, alive)
    else:
        for number in range(ints[STAGES]):
            stage = np.int32(number)
            if _has_lanes(lanes, stage, whole):
                going |= _watch_stage(
                    lanes, stage, ints, floats, whole, single, readings, now, alive
                )
    if going:
        for lane in range(lanes):
            if whole[GOING + lane] != NOT_YET:
                _enter(k, whole[GOING + lane], now[lane], ints, whole, single, lane)
                whole[GOING + lane] = NOT_YET
        take_stock(lanes, ints, whole)


def _has_lanes(lanes, stage, whole):
    some = NO
    for lane in range(lanes):
        some = np.int32(some | (YES if whole[STAGE + lane] == stage else NO))
    return some != 0


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


def _enter(k, stage, moment, ints, whole, single, lane):
    """Let one lane enter a stage and do what it asks for."""
    row = ints[STAGE_ROWS] + stage * STAGE_ROW
    whole[STAGE + lane] = stage
    whole[ENTERED + lane] = moment
    whole[IS_GROUND + lane] = ints[row + STAGE_GROUND]
    for number in range(ints[MOST_EXITS]):
        whole[ints[HOLDING] + number * LANES + lane] = NOT_YET
    if ints[row + STAGE_LAUNCH] != 0 and whole[LAUNCHED + lane] == NOT_YET:
        whole[LAUNCHED + lane] = moment
        single[HIGHEST + lane] = single[HEIGHT + lane]
        if whole[SENSED + lane] == NOT_YET:
            whole[SENSED + lane] = k
    first = ints[row + STAGE_FIRST_ACT]
    for act in range(first, first + ints[row + STAGE_ACTS]):
        _act(ints[ACT_ROWS] + act * ACT_ROW, moment, ints, whole, lane)
    _note_opened(k, ints, whole, lane)
    _find_next_end(ints, whole, lane)


def _act(row, moment, ints, whole, lane):
    """Do one thing to one output."""
    output = ints[row + ACT_OUTPUT] * LANES + lane
    for_ms = ints[row + ACT_FOR]
    whole[ints[LEVEL] + output] = ints[row + ACT_LEVEL]
    whole[ints[UNTIL] + output] = NEVER if for_ms == NEVER else moment + for_ms


def _note_opened(k, ints, whole, lane):
    """Note for each output whether this is the first sample in which its level is up."""
    for output in range(ints[OUTPUTS]):
        opened = ints[OPENED] + output * LANES + lane
        if whole[opened] == NOT_YET and whole[ints[LEVEL] + output * LANES + lane] == 1:
            whole[opened] = k
