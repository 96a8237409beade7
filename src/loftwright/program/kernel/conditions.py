"""Conditions of LANES controllers, worked out row by row of the table: see ``decide``."""

from loftwright.program.kernel.slots import (
    CONSTANTS,
    EXIT_FIRST_STEP,
    EXIT_STEPS,
    LANES,
    NEVER,
    STACK,
    STEP_OP,
    STEP_ROW,
    STEP_ROWS,
    STEP_SEEN,
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


def work_out(lanes, way, ints, floats, whole, single):
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
            seen, constant = row_of(ints[row + STEP_SEEN], 0), floats[CONSTANTS + step]
            _compare(lanes, op, seen, constant, whole, single, row_of(foot, waiting))
            waiting += 1
        elif op == NOT:
            _turn(lanes, whole, row_of(foot, waiting - 1))
        else:
            waiting -= 1
            _join(lanes, op, whole, row_of(foot, waiting - 1))


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
