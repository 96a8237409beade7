"""Conditions of LANES controllers, worked out row by row of the table: see ``decide``."""

import numpy as np

from loftwright.program.kernel.places import row_of
from loftwright.program.kernel.slots import (
    CONSTANTS,
    EXIT_FIRST_STEP,
    EXIT_STEPS,
    LANES,
    SEEN_PRESSURE,
    SEEN_PUSH,
    SEEN_SWITCH,
    STACK,
    STEP_OP,
    STEP_ROW,
    STEP_ROWS,
    STEP_SEEN,
)
from loftwright.program.table import Op

__all__ = ["work_out"]

EXACT = True  # see `decide`

LESS, AT_MOST, MORE = int(Op.LESS), int(Op.AT_MOST), int(Op.MORE)
AND, NOT = int(Op.AND), int(Op.NOT)


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
            seen, constant = ints[row + STEP_SEEN], floats[CONSTANTS + step]
            _compare(lanes, op, seen, constant, whole, single, readings, row_of(foot, waiting))
            waiting += 1
        elif op == NOT:
            _turn(lanes, whole, row_of(foot, waiting - 1))
        else:
            waiting -= 1
            _join(lanes, op, whole, row_of(foot, waiting - 1))


def _compare(lanes, op, seen, constant, whole, single, readings, top):
    """Compare what is seen with a constant, readings where they are."""
    pressure, pushed, line = readings
    if seen == SEEN_PRESSURE:
        _compare_row(lanes, op, 0, constant, pressure, whole, top)
    elif seen == SEEN_PUSH:
        _compare_row(lanes, op, 0, constant, pushed, whole, top)
    else:
        if seen == SEEN_SWITCH:
            for lane in range(lanes):
                single[SEEN_SWITCH + lane] = np.float32(line[lane])
        _compare_row(lanes, op, row_of(seen, 0), constant, single, whole, top)


def _compare_row(lanes, op, row, constant, values, whole, top):
    if op == LESS:
        for lane in range(lanes):
            whole[top + lane] = 1 if values[row + lane] < constant else 0
    elif op == AT_MOST:
        for lane in range(lanes):
            whole[top + lane] = 1 if values[row + lane] <= constant else 0
    elif op == MORE:
        for lane in range(lanes):
            whole[top + lane] = 1 if values[row + lane] > constant else 0
    else:
        for lane in range(lanes):
            whole[top + lane] = 1 if values[row + lane] >= constant else 0


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
