"""Conditions of LANES controllers, worked out row by row of the table: see ``decide``."""

import numpy as np

from loftwright.program.kernel.slots import (
    CLIMB,
    CONSTANTS,
    EXIT_FIRST_STEP,
    EXIT_STEPS,
    HAS_HEIGHT,
    HEIGHT,
    HIGHEST,
    LANES,
    NEVER,
    SEEN_CLIMB,
    SEEN_DROP,
    SEEN_PRESSURE,
    SEEN_PUSH,
    SEEN_SWITCH,
    STACK,
    STEP_OP,
    STEP_ROW,
    STEP_ROWS,
    STEP_SEEN,
    UNKNOWN,
)
from loftwright.program.table import Op

__all__ = ["row_of", "work_out"]

LESS, AT_MOST, MORE = int(Op.LESS), int(Op.AT_MOST), int(Op.MORE)
AND, NOT = int(Op.AND), int(Op.NOT)


def row_of(first, number):
    """Return where a row begins, as what the compiler knows not to be negative.

    It could not tell of a number read from a table, would look at every element from which end it
    counts, and would not vectorise.
    """
    return (first + number * LANES) & NEVER


def work_out(lanes, way, ints, floats, whole, single, readings):
    """Work a condition out, postfix, for all lanes; its value is left at the stack's foot."""
    first, count, foot = ints[way + EXIT_FIRST_STEP], ints[way + EXIT_STEPS], row_of(ints[STACK], 0)
    if count == 0:
        for lane in range(lanes):
            whole[foot + lane] = 1
    waiting = 0
    for step in range(first, first + count):
        row = ints[STEP_ROWS] + step * STEP_ROW
        op = ints[row + STEP_OP]
        if op < AND:
            seen = row_of(ints[row + STEP_SEEN], 0)
            _look(lanes, seen, floats, whole, single, readings)
            _compare(
                lanes, op, seen, floats[CONSTANTS + step], whole, single, row_of(foot, waiting)
            )
            waiting += 1
        elif op == NOT:
            _turn(lanes, whole, row_of(foot, waiting - 1))
        else:
            waiting -= 1
            _join(lanes, op, whole, row_of(foot, waiting - 1))


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
