"""A replayed log in words: what was read how, what the program would have done when, and why."""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan

from loftwright.documents.program import Program, Way
from loftwright.evidence.flight_log import FlightLog
from loftwright.program.phrases import phrase_in_units
from loftwright.rehearsal.replay import Entered, Replayed
from loftwright.report.quantities import stated, unit_of
from loftwright.units import Quantity

__all__ = [
    "ENTERED_HEADS",
    "SWITCHED_HEADS",
    "entered_rows",
    "lead",
    "reading_lines",
    "record_lines",
    "switched_rows",
    "why_words",
]

ENTERED_HEADS = ("log time", "since launch", "stage", "height", "climb", "why")
SWITCHED_HEADS = ("log time", "since launch", "output", "level")
NOTHING = "–"
MOST_MARKS = 12


def lead(replayed: Replayed) -> str:
    """Say in one sentence how the replay ended."""
    last = replayed.entered[-1]
    if replayed.launch_s is None:
        return f'The program would not have sensed a launch; it ends in stage "{last.name}".'
    sensed = f"The program would have sensed launch at {replayed.launch_s:.2f} s of the log"
    return f'{sensed}; it ends in stage "{last.name}".'


def reading_lines(log: FlightLog) -> Iterator[str]:
    """Yield how the log was read, column by column, and the reader's notes."""
    for column in log.columns:
        yield column.describe()
    yield from log.notes


def entered_rows(
    replayed: Replayed, program: Program, system: str = "metric"
) -> list[tuple[str, ...]]:
    """Return one row a stage that was entered, in the units of ``system``."""
    return [
        (
            f"{each.time_s:.2f} s",
            _since(each.since_launch_s),
            each.name,
            _number(each.height_m, "height", system),
            _number(each.climb_m_s, "speed", system),
            why_words(each, program, system),
        )
        for each in replayed.entered
    ]


def switched_rows(replayed: Replayed) -> list[tuple[str, ...]]:
    """Return one row a change of an output."""
    return [
        (
            f"{each.time_s:.2f} s",
            _since(each.since_launch_s),
            each.output,
            "on" if each.level else "off",
        )
        for each in replayed.switched
    ]


def record_lines(replayed: Replayed, log: FlightLog, system: str = "metric") -> Iterator[str]:
    """Yield what the log itself says, raw, in the units of ``system``."""
    record = replayed.record
    highest = _number(record.raw_highest_m, "height", system)
    yield (
        f"{record.rows} rows from {record.first_s:.2f} s to {record.last_s:.2f} s; the highest "
        f"single reading is {highest} over the first ones, at "
        f"{record.raw_highest_time_s:.2f} s (line {record.raw_highest_line})"
    )
    if record.raw_largest_push_m_s2 is not None:
        push = stated(record.raw_largest_push_m_s2, "acceleration", system)
        yield f"the largest single push is {push}"
    if log.marks:
        shown = [f"{mark.words} at {mark.time_s:.2f} s" for mark in log.marks[:MOST_MARKS]]
        more = len(log.marks) - len(shown)
        yield "the recorder's own states: " + ", ".join(shown) + (f", {more} more" if more else "")


def _since(seconds: float | None) -> str:
    return NOTHING if seconds is None else f"{seconds:.2f} s"


def _number(value: float, kind: str, system: str) -> str:
    if isnan(value):
        return NOTHING
    unit = unit_of(kind, system)
    return f"{unit.of(value):.1f} {unit.symbol}"


def why_words(entered: Entered, program: Program, system: str = "metric") -> str:
    """Say what made the program enter a stage: its document's condition, in a person's units."""
    if entered.way_number is None:
        return "power-up"
    way = _way(entered, program)
    condition = phrase_in_units(way.when or "", system)
    clock = "since launch" if way.clock == "launch" else "in that stage"
    if entered.way == "condition":
        held = "" if way.hold is None else f", held for {_time(way.hold)}"
        return f"{condition}{held}"
    moment = way.backup if entered.way == "backup" else way.not_before or way.backup
    at = NOTHING if moment is None else f"{_time(moment)} {clock}"
    if entered.way == "time":
        return f"time alone: {at}"
    return f"backup: {at}; {condition} had not led on before"


def _way(entered: Entered, program: Program) -> Way:
    stage = next(stage for stage in program.stage if stage.name == entered.left)
    assert entered.way_number is not None
    return stage.way[entered.way_number]


def _time(quantity: Quantity) -> str:
    return f"{quantity.value:g} s"
