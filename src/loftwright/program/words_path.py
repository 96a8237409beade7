"""A run through the stages of a program, in words."""

from __future__ import annotations

from loftwright.program.table import Table
from loftwright.program.timing import Visit

__all__ = ["path_words"]


def path_words(
    table: Table,
    pad: tuple[Visit, ...],
    visits: tuple[Visit, ...],
    *,
    is_launched: bool,
    waits: bool,
) -> tuple[str, ...]:
    """Return one line for each stage that a run enters.

    ``pad`` are the stages from power-up until launch is sensed, ``visits`` those that follow,
    timed from launch (from power-up when ``is_launched`` is False). ``waits``: the run then stays.
    """
    lines = [_line(table, each, "after power-up", pad[:-1], n) for n, each in enumerate(pad[:-1])]
    since = "after launch is sensed" if is_launched else "after power-up"
    before = [*pad[:-1], *visits]
    for number, each in enumerate(visits):
        how = pad[-1] if number == 0 and pad else each
        said = _line(table, each, since, before, len(pad[:-1]) + number, how)
        if number == 0 and is_launched:
            said = f"{_by(table, before, len(pad[:-1]), how)}{_name(table, each)}: launch is sensed"
        lines.append(said)
    if waits:
        lines.append("and stays there, or goes round, without end")
    return tuple(lines)


def _line(
    table: Table,
    visit: Visit,
    since: str,
    before: list[Visit] | tuple[Visit, ...],
    number: int,
    how: Visit | None = None,
) -> str:
    ms = visit.moment * table.step_ms
    moment = f"{ms / 1000.0:.3f}".rstrip("0").rstrip(".")
    return f"{_by(table, before, number, how or visit)}{_name(table, visit)} at {moment} s {since}"


def _name(table: Table, visit: Visit) -> str:
    return f'"{table.stages[visit.stage].name}"'


def _by(table: Table, before: list[Visit] | tuple[Visit, ...], number: int, how: Visit) -> str:
    """Return how a stage was come to: the number of the way, and whether it was its backup."""
    if how.way is None or number == 0:
        return ""
    count = len(table.stages[before[number - 1].stage].exits)
    way = f"way {how.way + 1}" if count > 1 else "the way"
    return f"by the backup of {way} to " if how.by_backup else f"by {way} to "
