"""What of a program goes into its C: names, and the memory that this very program needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loftwright.program.emit.conditions import Node, in_words, sees, tree
from loftwright.program.emit.words import identifier, identifiers
from loftwright.program.table import NO_TIME, Action, Exit, Seen, Stage, Table

__all__ = ["MOST", "Plan", "Way", "make_plan"]

MOST = 65_534  # stages or outputs: their numbers, and one that means none, fit two bytes


@dataclass(frozen=True)
class Way:
    """One exit of a stage, with its condition as a tree."""

    exit: Exit
    number: int  # among those of its stage, from 1
    condition: Node  # False also when its window never opens
    said: str  # the condition in words
    slot: int  # of its hold among those of its stage; -1 when it has none

    @property
    def can_be_ready(self) -> bool:
        """Whether it can ever let go."""
        return self.condition is not False or self.exit.backup_ms != NO_TIME

    @property
    def has_end(self) -> bool:
        """Whether its window ends before its backup comes."""
        way = self.exit
        if way.not_after_ms == NO_TIME:
            return False
        return way.backup_ms == NO_TIME or way.not_after_ms < way.backup_ms

    @property
    def needs_times(self) -> bool:
        """Whether it looks at the time since its stage was entered, or since launch."""
        way = self.exit
        has_window = way.not_before_ms > 0 or self.has_end
        return way.backup_ms != 0 and (has_window or way.backup_ms != NO_TIME)


@dataclass(frozen=True)
class Plan:
    """A table with its names in C."""

    table: Table
    name: str  # before every name that others can see
    stages: Sequence[str]
    outputs: Sequence[str]
    ways: Sequence[Sequence[Way]]  # of each stage
    holds: int  # times that exits of one stage have to keep
    sees_drop: bool
    has_pulses: bool
    has_ground: bool

    @property
    def number(self) -> str:
        """The type of numbers of stages and outputs: the smallest that holds them."""
        most = max(len(self.stages), len(self.outputs), self.holds)
        return "uint8_t" if most < 255 else "uint16_t"

    @property
    def upper(self) -> str:
        """The name before every macro."""
        return self.name.upper()

    def stage(self, number: int) -> str:
        """The macro of a stage's number."""
        return f"{self.upper}_STAGE_{self.stages[number].upper()}"

    def output(self, number: int) -> str:
        """The macro of an output's number."""
        return f"{self.upper}_OUTPUT_{self.outputs[number].upper()}"


def make_plan(table: Table, name: str | None, phrases: Mapping[tuple[int, int], str]) -> Plan:
    """Work out names and needs; ``phrases`` as ``emit`` takes them.

    Raises ``ValueError`` for a table with no stage or more than ``MOST``, or whose acts or
    exits lead to what is not there.
    """
    _refuse(table)
    ways = [_ways(stage, number, phrases) for number, stage in enumerate(table.stages)]
    live = [way for each in ways for way in each if way.can_be_ready]
    acts = [act for stage in table.stages for act in stage.acts]
    return Plan(
        table=table,
        name=identifier(name or table.name, "program"),
        stages=identifiers((stage.name for stage in table.stages), "stage"),
        outputs=identifiers(table.outputs, "output"),
        ways=ways,
        holds=max((way.slot + 1 for way in live), default=0),
        sees_drop=any(Seen.DROP in sees(way.condition) for way in live),
        has_pulses=any(act.action in (Action.PULSE, Action.SOUND) for act in acts),
        has_ground=any(stage.is_ground for stage in table.stages),
    )


def _refuse(table: Table) -> None:
    if not 0 < len(table.stages) <= MOST:
        raise ValueError(f"a program has 1 to {MOST} stages, not {len(table.stages)}")
    if len(table.outputs) > MOST:
        raise ValueError(f"a program has at most {MOST} outputs, not {len(table.outputs)}")
    ends = {way.to for stage in table.stages for way in stage.exits}
    acted = {act.output for stage in table.stages for act in stage.acts}
    if ends - set(range(len(table.stages))) or acted - set(range(len(table.outputs))):
        raise ValueError("an exit or an act leads to a stage or an output that is not there")


def _ways(stage: Stage, number: int, phrases: Mapping[tuple[int, int], str]) -> list[Way]:
    ways: list[Way] = []
    slots = 0
    for place, way in enumerate(stage.exits):
        condition = tree(way.condition)
        said = phrases.get((number, place)) or in_words(condition)
        ends = (time for time in (way.not_after_ms, way.backup_ms - 1) if time >= 0)
        if way.not_before_ms > min(ends, default=way.not_before_ms):
            condition = False  # nothing can come of it before the backup, if ever
        holds = way.hold_ms > 0 and condition is not False and way.backup_ms != 0
        ways.append(Way(way, place + 1, condition, said, slots if holds else -1))
        slots += holds
    return ways
