"""Checks of times: what samples make of them, and how they lie to the flights of a forecast."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.finding import Finding
from loftwright.documents.program import Way
from loftwright.documents.spans import Path
from loftwright.program.assemble import milliseconds
from loftwright.program.checks import Subject
from loftwright.program.phrases import Compare, Node, comparisons
from loftwright.program.table import Clock, Op, Seen
from loftwright.program.words_path import seconds
from loftwright.units import Quantity

__all__ = ["TIME_CHECKS"]

_TIMES = ("hold", "not_before", "not_after", "backup")


def times_are_whole_samples(subject: Subject) -> Iterator[Finding]:
    """Report times that fall between samples, with what they come to."""
    step = subject.read.table.step_ms
    for path, time in _times(subject):
        ms = milliseconds(time)  # as the table has it
        if ms % step == 0 and ms > 0:
            continue
        if path[-1] == "hold" and ms < step:
            message = f"the hold is shorter than one sample, {step} ms; it acts as one"
            mend = f'write hold = "{step} ms", or take it out for a single sample'
            yield Finding("program-hold-short", path, message, mend, severity="warning")
            continue
        down = path[-1] == "not_after"
        count = ms // step if down else -(-ms // step)
        message = f"samples come every {step} ms, so that this acts as {seconds(count * step)}"
        mend = f'write {path[-1]} = "{seconds(count * step)}"'
        yield Finding("program-time-rounded", path, message, mend, severity="warning")


def _times(subject: Subject) -> Iterator[tuple[Path, Quantity]]:
    for s, stage in enumerate(subject.read.program.stage):
        for w, way in enumerate(stage.way):
            for word in _TIMES:
                if getattr(way, word) is not None:
                    yield ("stage", s, "way", w, word), getattr(way, word)
        for d, each in enumerate(stage.do):
            if each.time is not None:
                yield ("stage", s, "do", d, "for"), each.time


# ---------------------------------------------------------------- beside a forecast


def times_suit_the_flights(subject: Subject) -> Iterator[Finding]:
    """Report backups and windows that lie wrong to the flights of the forecast."""
    if not subject.facts.events:
        return
    for s, stage in enumerate(subject.read.program.stage):
        for w, way in enumerate(stage.way):
            entered = _entered(subject, s, way)
            if entered is not None:
                path: Path = ("stage", s, "way", w)
                condition = subject.read.conditions.get((*path, "when"))
                awaited = _awaited(condition, subject.facts.release_climb)
                yield from _backup(subject, path, way, entered, awaited)
                yield from _window(subject, path, way, entered, awaited)


def _entered(subject: Subject, stage: int, way: Way) -> tuple[float, float] | None:
    """Return from when after launch a way's times count, in seconds: earliest and latest."""
    if Clock[way.clock.upper()] == Clock.LAUNCH:
        return 0.0, 0.0
    step = subject.read.table.step_ms / 1000.0
    spans = [
        span
        for found in subject.runs.after.values()
        for node, many in found.arrivals.items()
        if node.stage == stage
        for span in many
    ]
    if not spans:
        return None
    return step * min(each.first for each in spans), step * max(each.last for each in spans)


def _awaited(node: Node | None, release_climb: float | None) -> str:
    """Return the event of a flight that a condition waits for, "" where that is not clear.

    A climb that is nearly that of the forecast's own release is waited for as long as that; one
    that is much less, for an unknown while longer.
    """
    if node is None:
        return ""
    for each, refused in comparisons(node):
        if refused or not isinstance(each, Compare):
            continue
        falls = each.op in (Op.LESS, Op.AT_MOST)
        if each.seen == Seen.CLIMB and falls:
            if each.value <= 0.0:
                return "apogee"
            near = release_climb is None or abs(each.value - release_climb) < 0.1 * release_climb
            return "release" if near else ""
        if each.seen == Seen.DROP and not falls:
            return "apogee"
    return ""


_EVENTS = {"release": "the climb has fallen so far", "apogee": "the top is reached"}


def _backup(
    subject: Subject, path: Path, way: Way, entered: tuple[float, float], awaited: str
) -> Iterator[Finding]:
    events = subject.facts.events
    time = way.backup if way.when is not None else way.backup or way.not_before
    if time is None:
        return
    word = "backup" if way.backup is not None else "not_before"
    moment = entered[0] + time.value
    said = seconds(round(1000.0 * moment))
    if "burnout" in events and moment < events["burnout"][1]:
        last = seconds(round(1000.0 * events["burnout"][1]))
        message = f"this can come {said} after launch; the boost may last until {last}"
        mend = "give it a later time"
        code = "program-backup-before-burnout"
        yield Finding(code, (*path, word), message, mend, severity="warning")
    elif awaited in events and moment < events[awaited][0]:
        first = seconds(round(1000.0 * events[awaited][0]))
        message = (
            f"this can come {said} after launch; in the fastest flight of the forecast "
            f"{_EVENTS[awaited]} at {first}"
        )
        mend = "give it a later time, or the condition is never waited for"
        code = "program-backup-preempts"
        yield Finding(code, (*path, word), message, mend, severity="warning")


def _window(
    subject: Subject, path: Path, way: Way, entered: tuple[float, float], awaited: str
) -> Iterator[Finding]:
    span = subject.facts.events.get(awaited)
    if span is None or way.when is None:
        return
    if way.not_after is not None and entered[1] + way.not_after.value < span[0]:
        first = seconds(round(1000.0 * span[0]))
        message = f"the window is over before {_EVENTS[awaited]} in any flight, at {first} or later"
        yield Finding(
            "program-window-missed", (*path, "not_after"), message, "give it a later end", "warning"
        )
    if way.not_before is not None and entered[0] + way.not_before.value > span[1]:
        last = seconds(round(1000.0 * span[1]))
        message = f"in every flight {_EVENTS[awaited]} before the window begins, by {last}"
        mend = "let it begin earlier"
        yield Finding("program-window-missed", (*path, "not_before"), message, mend, "warning")


TIME_CHECKS = (times_are_whole_samples, times_suit_the_flights)
