"""A run through the stages of a program, in words."""

from __future__ import annotations

from collections.abc import Sequence

from loftwright.program.table import Table
from loftwright.program.timing import Visit

__all__ = ["path_words", "seconds"]


def path_words(
    table: Table,
    pad: Sequence[Visit],
    visits: Sequence[Visit],
    *,
    is_launched: bool,
    waits: bool,
) -> tuple[str, ...]:
    """Return a few words for each stage that a run enters, in order.

    ``pad`` are the stages from power-up to the one that marks launch, ``visits`` that one and
    those that follow, timed from launch (all from power-up when ``is_launched`` is False).
    ``waits``: the run stays in the last of them.
    """
    every = [*pad[:-1], *visits]
    said = []
    for number, visit in enumerate(every):
        how = pad[-1] if pad and number == len(pad) - 1 else visit
        on_pad = number < len(pad) - 1
        marks = is_launched and number == max(len(pad) - 1, 0)
        if marks:
            moment = " (launch is sensed)"
        elif on_pad or not is_launched:
            moment = (
                f" at {seconds(visit.moment * table.step_ms)} after power-up"
                if number
                else " (power-up)"
            )
        else:
            moment = f" at {seconds(visit.moment * table.step_ms)}"
        before = every[number - 1].stage if number else None
        said.append(f"{table.stages[visit.stage].name}{moment}{_by(table, before, how)}")
    if waits:
        said.append("no further, for as long as it takes")
    return tuple(said)


def seconds(ms: float) -> str:
    """Return a time as a person reads it, exact to the millisecond."""
    return f"{ms / 1000.0:.3f}".rstrip("0").rstrip(".") + " s"


def _by(table: Table, before: int | None, how: Visit) -> str:
    """Return by which of several ways a stage was come to, and whether it was by the backup."""
    if how.way is None or before is None:
        return ""
    several = len(table.stages[before].exits) > 1
    way = f"way {how.way + 1}" if several else ""
    if how.by_backup:
        return f", by the backup of {way}" if several else ", by the backup"
    return f", by {way}" if several else ""
