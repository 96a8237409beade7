"""One flight of one case, watched: what happened, what was sensed, believed, and done about it."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.program import Program
from loftwright.flight.kernel import slots as flight_slots
from loftwright.flight.kernel.body import Flown
from loftwright.instruments.truth import around, truth
from loftwright.instruments.wiring import Wiring
from loftwright.program.table import NO_TIME, Clock, Exit, Table
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import Settled
from loftwright.rehearsal.hearing import Ears, Hearer, Part, commanded
from loftwright.rehearsal.kernel.loop import (
    TAPE_ALIVE,
    TAPE_CLIMB,
    TAPE_HEIGHT,
    TAPE_PRESSURE,
    TAPE_PUSH,
    TAPE_STAGE,
)
from loftwright.rehearsal.listening import watch
from loftwright.rehearsal.results import Stay, Watched

__all__ = ["watched"]

Floats = NDArray[np.float64]
Single = NDArray[np.float32]

FINE = 0.01  # s between two moments of what is true
NO_POWER = "without power"


def watched(
    block: Block,
    wiring: Wiring,
    programs: Mapping[str, Program],
    hearer: Hearer,
    ears: Ears,
    settled: Settled,
    *,
    case: str,
    outcome: str,
) -> Watched:
    """Watch the one flight of a block of one.

    Parameters
    ----------
    block : Block
        Of a single flight.
    programs : mapping
        The program documents, for the words of their conditions.
    hearer, ears, settled
        The one case, and what it came to.
    case, outcome : str
        How the case is called, and a sentence about the flight.
    """
    branches = settled.branches
    found: list[Part] = []

    def take(some: slice, flown: Flown, ended: Floats) -> None:
        found.append(Part(branches, some, flown, ended))

    block.vehicles(branches, take)
    (part,) = found
    looked = {name: _look(name, ears, hearer, part, programs[name]) for name in wiring.controllers}
    commands = {
        f"{name}: {output}": float(moment)
        for name, each in looked.items()
        for output, moment in each.commands.items()
        if np.isfinite(moment)
    }
    acts = {
        thing: float(moment)
        for thing, moment in zip(block.things, branches.acts[0], strict=True)
        if np.isfinite(moment)
    }
    return Watched(
        case=case,
        flight=block.first,
        truth=_truth(block, part, int(branches.group[0])),
        sensed={name: each.sensed for name, each in looked.items()},
        believed={name: each.believed for name, each in looked.items()},
        stays={name: each.stays for name, each in looked.items()},
        commands=commands,
        acts=acts,
        events=_events(part),
        outcome=outcome,
    )


class _Looked:
    """What one controller read, believed and did."""

    def __init__(
        self,
        sensed: dict[str, Floats],
        believed: dict[str, Floats],
        stays: tuple[Stay, ...],
        commands: dict[str, float],
    ) -> None:
        self.sensed, self.believed = sensed, believed
        self.stays, self.commands = stays, commands


def _look(name: str, ears: Ears, hearer: Hearer, part: Part, program: Program) -> _Looked:
    table = hearer.tables[name]
    one = np.zeros(1, np.int64)
    streams = ears.streams(name, part)
    lanes = ears.lanes(name, table, part, one, one, one)
    heard, tape = watch(table, streams, lanes)
    begin, step = (float(each[0]) for each in ears.clock(name))
    time = begin + step * np.arange(len(tape))
    pressure = tape[:, TAPE_PRESSURE].astype(float)
    alive = tape[:, TAPE_ALIVE] > 0.5
    sensed = {
        "time_s": time,
        "pressure_pa": pressure,
        "height_m": _height(table, float(streams.port[0, 0]), pressure),
        "push_m_s2": tape[:, TAPE_PUSH].astype(float),
    }
    believed = {
        "time_s": time,
        "height_m": np.where(alive, tape[:, TAPE_HEIGHT], np.nan).astype(float),
        "climb_m_s": np.where(alive, tape[:, TAPE_CLIMB], np.nan).astype(float),
    }
    stays = tuple(_stays(table, program, time, tape[:, TAPE_STAGE].astype(int), alive))
    told = commanded(table, lanes, heard)
    return _Looked(sensed, believed, stays, {o: float(up[0]) for o, (up, _) in told.items()})


def _height(table: Table, reference: float, pressure: Floats) -> Floats:
    """Pressures as heights above the pad, by the program's own series [m]."""
    x = (reference - pressure) / reference
    height = np.zeros_like(x)
    for coefficient in reversed(table.height_series):
        height = coefficient + x * height
    return np.asarray(x * height)


def _stays(
    table: Table,
    program: Program,
    time: NDArray[np.floating[Any]],
    stages: NDArray[np.int64],
    alive: NDArray[np.bool_],
) -> list[Stay]:
    """Runs of one stage, and of no power."""
    marks = np.where(alive, stages, -1)
    edges = [0, *(np.flatnonzero(np.diff(marks)) + 1).tolist(), len(marks)]
    found = []
    launched = float("nan")
    for begin, end in pairwise(edges):
        number = int(marks[begin])
        # A stage lasts until the sample in which the next one is entered.
        until = float(time[min(end, len(time) - 1)])
        if number < 0:
            found.append(Stay(NO_POWER, float(time[begin]), until))
            continue
        stage = table.stages[number]
        entered = float(time[begin])
        if stage.marks_launch and np.isnan(launched):
            launched = entered
        following = int(marks[end]) if end < len(marks) else -1
        why = _why(table, program, number, following, until, entered, launched)
        found.append(Stay(stage.name, entered, until, why))
    return found


def _why(
    table: Table,
    program: Program,
    number: int,
    following: int,
    until: float,
    entered: float,
    launched: float,
) -> str:
    """The way by which a stage was left, in words; empty where it was not left by one."""
    for way, written in zip(table.stages[number].exits, program.stage[number].way, strict=True):
        if way.to == following and following >= 0:
            return "backup" if _is_late(way, until, entered, launched) else written.when or "time"
    return ""


def _is_late(way: Exit, until: float, entered: float, launched: float) -> bool:
    begin = entered if way.clock == Clock.STAGE else launched
    return way.backup_ms != NO_TIME and (until - begin) * 1000.0 >= way.backup_ms - 0.5


def _truth(block: Block, part: Part, group: int) -> dict[str, Floats]:
    """Height, climb and push of the vehicle, from a second before first motion to its end."""
    values = block.values[group]
    tape = part.flown.records[0][: part.flown.counts[0]]
    times = np.arange(-1.0, float(part.ended[0]) + FINE, FINE)
    told = truth([tape], times, around(values, block.count))
    return {
        "time_s": times,
        "height_m": told.height[0].astype(float),
        "climb_m_s": told.climb[0].astype(float),
        "push_m_s2": told.push[0].astype(float),
    }


_EVENTS = {
    "air out": flight_slots.AIR_OUT_TIME,
    "apogee": flight_slots.APOGEE_TIME,
    "canopy open": flight_slots.OPENED_TIME,
    "touchdown": flight_slots.DOWN_TIME,
}


def _events(part: Part) -> dict[str, float]:
    figures = part.flown.figures[0]
    found = {"liftoff": 0.0}
    found |= {name: float(figures[slot]) for name, slot in _EVENTS.items()}
    return {name: moment for name, moment in found.items() if np.isfinite(moment)}
