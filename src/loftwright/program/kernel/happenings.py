"""What happens rarely to a lane: power-up, entering a stage, the end of a pulse. Lane by lane."""

import numpy as np

from loftwright.program.kernel.places import row_of
from loftwright.program.kernel.slots import (
    ACT_FOR,
    ACT_LEVEL,
    ACT_OUTPUT,
    ACT_ROW,
    ACT_ROWS,
    CLIMB,
    ENTERED,
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
    OPENED,
    OPENINGS,
    OUTPUTS,
    PEOPLED,
    PEOPLED_STAGES,
    PULSES,
    REFERENCE,
    SENSED,
    STAGE,
    STAGE_ACTS,
    STAGE_FIRST_ACT,
    STAGE_GROUND,
    STAGE_LAUNCH,
    STAGE_ROW,
    STAGE_ROWS,
    UNTIL,
    ZERO,
)

__all__ = ["end_pulses", "enter", "power_up", "restart_lanes", "take_stock"]

EXACT = True  # see `decide`

NO, YES = np.int32(0), np.int32(1)


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
    enter(k, 0, 0, ints, whole, single, lane)


def restart_lanes(lanes, k, ints, floats, whole, single, restart):
    """Bring those lanes to power-up whose power has just come back."""
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
    stages, next_end, openings = 0, np.int32(NEVER), NO
    for lane in range(lanes):
        if not _is_peopled(whole[STAGE + lane], stages, whole):
            whole[PEOPLED + stages] = whole[STAGE + lane]
            stages += 1
        next_end = min(next_end, whole[NEXT_END + lane])
    for output in range(ints[OUTPUTS]):
        opened = row_of(ints[OPENED], output)
        for lane in range(lanes):
            openings = np.int32(openings + (YES if whole[opened + lane] != NOT_YET else NO))
    whole[PEOPLED_STAGES] = stages
    whole[PULSES] = NO if next_end == NEVER else YES
    whole[OPENINGS] = openings


def _is_peopled(stage, stages, whole):
    found = False
    for number in range(stages):
        found |= whole[PEOPLED + number] == stage
    return found


def end_pulses(lanes, ints, whole, now, alive):
    """End the pulses that are over."""
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


def enter(k, stage, moment, ints, whole, single, lane):
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
