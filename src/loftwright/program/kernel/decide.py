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
    MOST,
    MOST_EXITS,
    NEVER,
    NOT_YET,
    OPENED,
    OUTPUTS,
    REFERENCE,
    REFERENCE_GAIN,
    SECONDS,
    SEEN,
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
    ZERO,
)
from loftwright.program.table import Estimator, Op

__all__ = ["decide", "power_up"]

EXACT = True  # each operation rounds by itself

RAW, FILTER = int(Estimator.RAW), int(Estimator.FILTER)
LESS, AT_MOST, MORE = int(Op.LESS), int(Op.AT_MOST), int(Op.MORE)
AND, OR, NOT = int(Op.AND), int(Op.OR), int(Op.NOT)


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
    _restart(k, ints, floats, whole, single, restart)
    _end_pulses(ints, whole, now, alive)
    estimator = ints[ESTIMATOR]
    if estimator == RAW:
        _raw(floats, whole, single, pressure, alive)
    elif estimator == FILTER:
        _filter(floats, whole, single, pressure, alive)
    else:
        _track(floats, whole, single, pressure, alive)
    _look(floats, whole, single, pressure)
    _look_beside(single, pushed, line)
    _watch(k, ints, floats, whole, single, now, alive)


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


def _restart(k, ints, floats, whole, single, restart):
    some = 0
    for lane in range(LANES):
        some |= restart[lane]
    if some != 0:
        for lane in range(LANES):
            if restart[lane] != 0:
                power_up(k, ints, floats, whole, single, lane)


def _end_pulses(ints, whole, now, alive):
    for output in range(ints[OUTPUTS]):
        level = ints[LEVEL] + output * LANES
        until = ints[UNTIL] + output * LANES
        some = 0
        for lane in range(LANES):
            over = (now[lane] >= whole[until + lane]) & (alive[lane] != 0)
            some |= 1 if over else 0
        if some != 0:
            for lane in range(LANES):
                if (now[lane] >= whole[until + lane]) & (alive[lane] != 0):
                    whole[level + lane] = 0
                    whole[until + lane] = NEVER


# ---------------------------------------------------------------- the estimate


def _reference(good, had, ground, gain, reference, pressure):
    """Return the pressure on the ground: the first good reading, followed in a ground stage."""
    off = pressure - reference
    followed = reference + gain * off
    kept = followed if good & ground else reference
    return kept if had else (pressure if good else reference)


def _height(floats, reference, pressure):
    """Height above where the reference was read [m]."""
    x = (reference - pressure) / reference
    height = floats[C4] + x * floats[C5]
    height = floats[C3] + x * height
    height = floats[C2] + x * height
    height = floats[C1] + x * height
    height = floats[C0] + x * height
    return x * height


def _raw(floats, whole, single, pressure, alive):
    least, most, gain = floats[LEAST], floats[MOST], floats[REFERENCE_GAIN]
    seconds = floats[SECONDS]
    for lane in range(LANES):
        p = pressure[lane]
        good = (p >= least) & (p <= most) & (alive[lane] != 0)
        had = whole[HAS_HEIGHT + lane] != 0
        ground = whole[IS_GROUND + lane] != 0
        reference = _reference(good, had, ground, gain, single[REFERENCE + lane], p)
        measured = _height(floats, reference, p)
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        rate = (measured - before) / seconds
        single[REFERENCE + lane] = reference
        single[CLIMB + lane] = rate if good & had else climb
        single[HEIGHT + lane] = measured if good else before
        whole[HAS_HEIGHT + lane] = 1 if good | had else 0


def _filter(floats, whole, single, pressure, alive):
    least, most, gain = floats[LEAST], floats[MOST], floats[REFERENCE_GAIN]
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(LANES):
        p = pressure[lane]
        good = (p >= least) & (p <= most) & (alive[lane] != 0)
        had = whole[HAS_HEIGHT + lane] != 0
        ground = whole[IS_GROUND + lane] != 0
        reference = _reference(good, had, ground, gain, single[REFERENCE + lane], p)
        measured = _height(floats, reference, p)
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        height = before + height_gain * (measured - before)
        rate = (height - before) / seconds
        turned = climb + climb_gain * (rate - climb)
        single[REFERENCE + lane] = reference
        single[CLIMB + lane] = turned if good & had else climb
        single[HEIGHT + lane] = (height if had else measured) if good else before
        whole[HAS_HEIGHT + lane] = 1 if good | had else 0


def _track(floats, whole, single, pressure, alive):
    least, most, gain = floats[LEAST], floats[MOST], floats[REFERENCE_GAIN]
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(LANES):
        p = pressure[lane]
        live = alive[lane] != 0
        good = (p >= least) & (p <= most) & live
        had = whole[HAS_HEIGHT + lane] != 0
        ground = whole[IS_GROUND + lane] != 0
        reference = _reference(good, had, ground, gain, single[REFERENCE + lane], p)
        measured = _height(floats, reference, p)
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        ahead = before + climb * seconds
        off = measured - ahead
        height = ahead + height_gain * off
        turned = climb + climb_gain * off
        first = measured if good else before
        later = height if good else (ahead if live else before)
        single[REFERENCE + lane] = reference
        single[CLIMB + lane] = turned if good & had else climb
        single[HEIGHT + lane] = later if had else first
        whole[HAS_HEIGHT + lane] = 1 if good | had else 0


# ---------------------------------------------------------------- the stages


def _look(floats, whole, single, pressure):
    """Keep the greatest height, and set out what conditions see of pressure."""
    unknown = floats[UNKNOWN]
    for lane in range(LANES):
        height, climb, highest = single[HEIGHT + lane], single[CLIMB + lane], single[HIGHEST + lane]
        has = whole[HAS_HEIGHT + lane] != 0
        highest = height if has & (height > highest) else highest
        drop = highest - height
        single[HIGHEST + lane] = highest
        single[SEEN + lane] = height if has else unknown
        single[SEEN_CLIMB + lane] = climb if has else unknown
        single[SEEN_DROP + lane] = drop if has else unknown
        single[SEEN_PRESSURE + lane] = pressure[lane]


def _look_beside(single, pushed, line):
    """Set out what conditions see besides."""
    for lane in range(LANES):
        single[SEEN_PUSH + lane] = pushed[lane]
        single[SEEN_SWITCH + lane] = np.float32(line[lane])


def _watch(k, ints, floats, whole, single, now, alive):
    """See which lanes leave their stage, and let them enter the next."""
    one = whole[STAGE]
    mixed = 0
    for lane in range(LANES):
        mixed |= whole[STAGE + lane] ^ one
        whole[GOING + lane] = NOT_YET
    if mixed == 0:
        _watch_stage(one, ints, floats, whole, single, now, alive)
    else:
        for stage in range(ints[STAGES]):
            some = 0
            for lane in range(LANES):
                some |= 1 if whole[STAGE + lane] == stage else 0
            if some != 0:
                _watch_stage(stage, ints, floats, whole, single, now, alive)
    least = NOT_YET
    for lane in range(LANES):
        least = max(least, whole[GOING + lane])
    if least != NOT_YET:
        for lane in range(LANES):
            if whole[GOING + lane] != NOT_YET:
                _enter(k, whole[GOING + lane], now[lane], ints, whole, single, lane)


def _watch_stage(stage, ints, floats, whole, single, now, alive):
    """Note for every lane that is in a stage where it goes, the first exit that is ready."""
    row = ints[STAGE_ROWS] + stage * STAGE_ROW
    first = ints[row + STAGE_FIRST_EXIT]
    for number in range(ints[row + STAGE_EXITS]):
        way = ints[EXIT_ROWS] + (first + number) * EXIT_ROW
        _work_out(way, ints, floats, whole, single)
        _hold(way, number, stage, ints, whole, now, alive)


def _hold(way, number, stage, ints, whole, now, alive):
    """Keep up to date since when an exit holds, and note the lanes that it lets go."""
    to, hold = ints[way + EXIT_TO], ints[way + EXIT_HOLD]
    not_before, not_after = ints[way + EXIT_NOT_BEFORE], ints[way + EXIT_NOT_AFTER]
    backup, since = ints[way + EXIT_BACKUP], ints[way + EXIT_SINCE]
    holding, stack = ints[HOLDING] + number * LANES, ints[STACK]
    for lane in range(LANES):
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
        whole[GOING + lane] = to if here & (ripe | late) & (going == NOT_YET) else going


def _work_out(way, ints, floats, whole, single):
    """Work a condition out, postfix, for all lanes; its value is left at the stack's foot."""
    first, count, foot = ints[way + EXIT_FIRST_STEP], ints[way + EXIT_STEPS], ints[STACK]
    if count == 0:
        for lane in range(LANES):
            whole[foot + lane] = 1
    top = foot
    for step in range(first, first + count):
        row = ints[STEP_ROWS] + step * STEP_ROW
        op = ints[row + STEP_OP]
        if op < AND:
            _compare(op, ints[row + STEP_SEEN], floats[CONSTANTS + step], whole, single, top)
            top += LANES
        elif op == NOT:
            for lane in range(LANES):
                whole[top - LANES + lane] ^= 1
        else:
            top -= LANES
            _join(op, whole, top - LANES)


def _compare(op, seen, constant, whole, single, top):
    if op == LESS:
        for lane in range(LANES):
            whole[top + lane] = 1 if single[seen + lane] < constant else 0
    elif op == AT_MOST:
        for lane in range(LANES):
            whole[top + lane] = 1 if single[seen + lane] <= constant else 0
    elif op == MORE:
        for lane in range(LANES):
            whole[top + lane] = 1 if single[seen + lane] > constant else 0
    else:
        for lane in range(LANES):
            whole[top + lane] = 1 if single[seen + lane] >= constant else 0


def _join(op, whole, left):
    if op == AND:
        for lane in range(LANES):
            whole[left + lane] &= whole[left + LANES + lane]
    else:
        for lane in range(LANES):
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
        _act(k, ints[ACT_ROWS] + act * ACT_ROW, moment, ints, whole, lane)


def _act(k, row, moment, ints, whole, lane):
    """Do one thing to one output; note when its level goes up for the first time."""
    output = ints[row + ACT_OUTPUT] * LANES + lane
    level, for_ms = ints[row + ACT_LEVEL], ints[row + ACT_FOR]
    whole[ints[LEVEL] + output] = level
    whole[ints[UNTIL] + output] = NEVER if for_ms == NEVER else moment + for_ms
    if level == 1 and whole[ints[OPENED] + output] == NOT_YET:
        whole[ints[OPENED] + output] = k
