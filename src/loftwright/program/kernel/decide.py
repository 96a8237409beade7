"""One sample of a release program for LANES controllers side by side.

What it does is what ``interpreter`` does, to the bit. One compiled function serves every program:
it walks the rows of the flat table, each row for all lanes at once, and only those of stages in
which some lane is. What happens rarely (power-up, entering a stage) is done lane by lane.

Every number is of single precision or a whole number of 32 bits. Constants come from the table's
array, not from the code: beside a plain number the compiler would widen to double precision.
"""

import numpy as np

from loftwright.program.kernel.slots import (
    ACT_FOR,
    ACT_LEVEL,
    ACT_OUTPUT,
    ACT_ROW,
    ACT_ROWS,
    C0,
    C1,
    C2,
    C3,
    C4,
    C5,
    CLIMB,
    CLIMB_GAIN,
    CONSTANTS,
    ENTERED,
    ESTIMATOR,
    EXIT_BACKUP,
    EXIT_FIRST_STEP,
    EXIT_HOLD,
    EXIT_NOT_AFTER,
    EXIT_NOT_BEFORE,
    EXIT_ROW,
    EXIT_ROWS,
    EXIT_SINCE,
    EXIT_STEPS,
    EXIT_TO,
    GOING,
    GOOD,
    HAS_HEIGHT,
    HEIGHT,
    HEIGHT_GAIN,
    HIGHEST,
    HOLDING,
    IS_GROUND,
    LANES,
    LAUNCHED,
    LEAST,
    LEVEL,
    MEASURED,
    MOST,
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
    REFERENCE_GAIN,
    SECONDS,
    SEEN_CLIMB,
    SEEN_DROP,
    SEEN_PRESSURE,
    SEEN_PUSH,
    SEEN_SWITCH,
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
    STEP_OP,
    STEP_ROW,
    STEP_ROWS,
    STEP_SEEN,
    UNKNOWN,
    UNTIL,
    WIDTH,
    ZERO,
)
from loftwright.program.table import Estimator, Op

__all__ = ["decide", "power_up", "take_stock"]

EXACT = True  # each operation rounds by itself

RAW, FILTER = int(Estimator.RAW), int(Estimator.FILTER)
LESS, AT_MOST, MORE = int(Op.LESS), int(Op.AT_MOST), int(Op.MORE)
AND, OR, NOT = int(Op.AND), int(Op.OR), int(Op.NOT)
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
    # To the compiler 0 or LANES: a loop of fixed length it would write out.
    lanes = ints[WIDTH] & LANES
    _restart(lanes, k, ints, floats, whole, single, restart)
    if whole[PULSES] != 0:
        _end_pulses(lanes, ints, whole, now, alive)
    _measure(lanes, floats, whole, single, pressure, alive)
    estimator = ints[ESTIMATOR]
    if estimator == RAW:
        _raw(lanes, floats, whole, single)
    elif estimator == FILTER:
        _filter(lanes, floats, whole, single)
    else:
        _track(lanes, floats, whole, single, alive)
    readings = (pressure, pushed, line)
    _watch(lanes, k, ints, floats, whole, single, readings, now, alive)


def _row(first, number):
    """Return where a row begins, as what the compiler knows not to be negative.

    It could not tell of a number read from a table, would look at every element from which end it
    counts, and would not vectorise.
    """
    return (first + number * LANES) & NEVER


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
        opened = _row(ints[OPENED], output)
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


# ---------------------------------------------------------------- the estimate


def _measure(lanes, floats, whole, single, pressure, alive):
    """Tell good readings from others, follow the pressure on the ground, and read the height.

    The height above where the reference was read is a series in x, the share of the reference by
    which the pressure has fallen.
    """
    least, most, gain = floats[LEAST], floats[MOST], floats[REFERENCE_GAIN]
    c0, c1, c2 = floats[C0], floats[C1], floats[C2]
    c3, c4, c5 = floats[C3], floats[C4], floats[C5]
    for lane in range(lanes):
        p, reference = pressure[lane], single[REFERENCE + lane]
        good = (p >= least) & (p <= most) & (alive[lane] != 0)
        first = good & (whole[HAS_HEIGHT + lane] == 0)
        ground = good & (whole[HAS_HEIGHT + lane] != 0) & (whole[IS_GROUND + lane] != 0)
        followed = reference + gain * (p - reference)
        reference = followed if ground else reference
        reference = p if first else reference
        x = (reference - p) / reference
        height = c4 + x * c5
        height = c3 + x * height
        height = c2 + x * height
        height = c1 + x * height
        height = c0 + x * height
        single[REFERENCE + lane] = reference
        single[MEASURED + lane] = x * height
        whole[GOOD + lane] = 1 if good else 0


def _raw(lanes, floats, whole, single):
    seconds = floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb, measured = (
            single[HEIGHT + lane],
            single[CLIMB + lane],
            single[MEASURED + lane],
        )
        rate = (measured - before) / seconds
        single[CLIMB + lane] = rate if good & had else climb
        height = measured if good else before
        single[HEIGHT + lane] = height
        single[HIGHEST + lane] = _higher(single[HIGHEST + lane], height, had | good)
        whole[HAS_HEIGHT + lane] = YES if had | good else NO


def _filter(lanes, floats, whole, single):
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb, measured = (
            single[HEIGHT + lane],
            single[CLIMB + lane],
            single[MEASURED + lane],
        )
        height = before + height_gain * (measured - before)
        rate = (height - before) / seconds
        turned = climb + climb_gain * (rate - climb)
        height = height if had else measured
        single[CLIMB + lane] = turned if good & had else climb
        height = height if good else before
        single[HEIGHT + lane] = height
        single[HIGHEST + lane] = _higher(single[HIGHEST + lane], height, had | good)
        whole[HAS_HEIGHT + lane] = YES if had | good else NO


def _track(lanes, floats, whole, single, alive):
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb, measured = (
            single[HEIGHT + lane],
            single[CLIMB + lane],
            single[MEASURED + lane],
        )
        ahead = before + climb * seconds
        off = measured - ahead
        turned = climb + climb_gain * off
        mended = ahead + height_gain * off
        height = ahead if had & (alive[lane] != 0) else before
        height = mended if good & had else height
        height = height if had | (not good) else measured
        single[CLIMB + lane] = turned if good & had else climb
        single[HEIGHT + lane] = height
        single[HIGHEST + lane] = _higher(single[HIGHEST + lane], height, had | good)
        whole[HAS_HEIGHT + lane] = YES if had | good else NO


def _higher(highest, height, has):
    return height if has & (height > highest) else highest


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
        _work_out(lanes, way, ints, floats, whole, single, readings)
        if _stirs(lanes, way, number, stage, ints, whole, now, alive):
            going |= _hold(lanes, way, number, stage, ints, whole, now, alive)
    return going


def _stirs(lanes, way, number, stage, ints, whole, now, alive):
    """Tell whether there is anything to be done about an exit, in most samples there is not."""
    backup, since = ints[way + EXIT_BACKUP], _row(ints[way + EXIT_SINCE], 0)
    holding, stack = _row(ints[HOLDING], number), _row(ints[STACK], 0)
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
    backup, since = ints[way + EXIT_BACKUP], _row(ints[way + EXIT_SINCE], 0)
    holding, stack = _row(ints[HOLDING], number), _row(ints[STACK], 0)
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


def _work_out(lanes, way, ints, floats, whole, single, readings):
    """Work a condition out, postfix, for all lanes; its value is left at the stack's foot."""
    first, count, foot = ints[way + EXIT_FIRST_STEP], ints[way + EXIT_STEPS], _row(ints[STACK], 0)
    if count == 0:
        for lane in range(lanes):
            whole[foot + lane] = 1
    waiting = 0
    for step in range(first, first + count):
        row = ints[STEP_ROWS] + step * STEP_ROW
        op = ints[row + STEP_OP]
        if op < AND:
            seen = _row(ints[row + STEP_SEEN], 0)
            _look(lanes, seen, floats, whole, single, readings)
            _compare(lanes, op, seen, floats[CONSTANTS + step], whole, single, _row(foot, waiting))
            waiting += 1
        elif op == NOT:
            _turn(lanes, whole, _row(foot, waiting - 1))
        else:
            waiting -= 1
            _join(lanes, op, whole, _row(foot, waiting - 1))


def _look(lanes, seen, floats, whole, single, readings):
    """Set out what a comparison sees; of the estimates nothing before there is a height."""
    pressure, pushed, line = readings
    unknown = floats[UNKNOWN]
    if seen == SEEN_PRESSURE:
        for lane in range(lanes):
            single[SEEN_PRESSURE + lane] = pressure[lane]
    elif seen == SEEN_PUSH:
        for lane in range(lanes):
            single[SEEN_PUSH + lane] = pushed[lane]
    elif seen == SEEN_SWITCH:
        for lane in range(lanes):
            single[SEEN_SWITCH + lane] = np.float32(line[lane])
    elif seen == SEEN_DROP:
        for lane in range(lanes):
            drop = single[HIGHEST + lane] - single[HEIGHT + lane]
            single[SEEN_DROP + lane] = drop if whole[HAS_HEIGHT + lane] != 0 else unknown
    else:
        estimate = CLIMB if seen == SEEN_CLIMB else HEIGHT
        for lane in range(lanes):
            value = single[estimate + lane]
            single[seen + lane] = value if whole[HAS_HEIGHT + lane] != 0 else unknown


def _compare(lanes, op, seen, constant, whole, single, top):
    if op == LESS:
        for lane in range(lanes):
            whole[top + lane] = 1 if single[seen + lane] < constant else 0
    elif op == AT_MOST:
        for lane in range(lanes):
            whole[top + lane] = 1 if single[seen + lane] <= constant else 0
    elif op == MORE:
        for lane in range(lanes):
            whole[top + lane] = 1 if single[seen + lane] > constant else 0
    else:
        for lane in range(lanes):
            whole[top + lane] = 1 if single[seen + lane] >= constant else 0


def _turn(lanes, whole, top):
    for lane in range(lanes):
        whole[top + lane] ^= 1


def _join(lanes, op, whole, left):
    if op == AND:
        for lane in range(lanes):
            whole[left + lane] &= whole[left + LANES + lane]
    else:
        for lane in range(lanes):
            whole[left + lane] |= whole[left + LANES + lane]


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
