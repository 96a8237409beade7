"""The stages of a release program in words: what each does, and every way out of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loftwright.program.table import NO_TIME, Act, Action, Clock, Exit, Table

__all__ = ["StagePicture", "act_words", "duration", "exit_words", "flag_words"]

Conditions = Sequence[Sequence[str]]
_DONE = {
    Action.OPEN: "opens",
    Action.CLOSE: "closes",
    Action.PULSE: "pulses",
    Action.SOUND: "sounds",
}


@dataclass(frozen=True, slots=True)
class StagePicture:
    """A program to be drawn: its table, and the condition of every exit of every stage in words.

    An empty condition is an exit that needs none.
    """

    table: Table
    conditions: Conditions


def duration(milliseconds: int) -> str:
    """Return a time as somebody would write it: ``"60 ms"``, ``"0.8 s"``, ``"2 s"``."""
    if 0 < milliseconds < 100:
        return f"{milliseconds}\u00a0ms"
    seconds = f"{milliseconds / 1000:.3f}".rstrip("0").rstrip(".")
    return f"{seconds}\u00a0s"


def act_words(table: Table, act: Act) -> str:
    """Return what is done to an output: ``"latch opens"``, ``"beeper sounds for 2 s"``."""
    lasts = f" for {duration(act.for_ms)}" if act.for_ms else ""
    return f"{table.outputs[act.output]} {_DONE[act.action]}{lasts}"


def flag_words(table: Table, number: int) -> str:
    """Return what is special about a stage; nothing where nothing is."""
    stage = table.stages[number]
    said = ["at power-up"] if number == 0 else []
    if stage.is_ground:
        said.append("follows the pressure on the ground")
    if stage.marks_launch:
        said.append("launch is sensed here")
    if not stage.exits:
        said.append("stays here")
    return ", ".join(said)


def exit_words(way: Exit, condition: str) -> str:
    """Return when an exit is taken: condition, hold, window and backup.

    >>> exit_words(Exit(2, (), 40, 800), "climb < 50 ft/s").replace("\N{NO-BREAK SPACE}", " ")
    'when climb < 50 ft/s, held for 40 ms, not before 0.8 s (in this stage)'
    """
    said = [f"when {condition}"] if condition else []
    if way.hold_ms:
        said.append(f"held for {duration(way.hold_ms)}")
    window = _window(way)
    if window:
        said.append(window)
    words = ", ".join(said) or "at once"
    if way.backup_ms != NO_TIME:
        words += f"; at {duration(way.backup_ms)} whatever happens"
    timed = window or way.backup_ms != NO_TIME
    if timed:
        words += " (since launch)" if way.clock is Clock.LAUNCH else " (in this stage)"
    return words


def _window(way: Exit) -> str:
    if way.not_after_ms != NO_TIME:
        if way.not_before_ms:
            return f"from {duration(way.not_before_ms)} to {duration(way.not_after_ms)}"
        return f"not after {duration(way.not_after_ms)}"
    return f"not before {duration(way.not_before_ms)}" if way.not_before_ms else ""
