"""Where rows begin whose number is read from a table."""

from loftwright.program.kernel.slots import LANES, NEVER

__all__ = ["row_of"]


def row_of(first, number):
    """Return where a row begins, as what the compiler knows not to be negative.

    It could not tell of a number read from a table, would look at every element from which end it
    counts, and would not vectorise.
    """
    return (first + number * LANES) & NEVER
