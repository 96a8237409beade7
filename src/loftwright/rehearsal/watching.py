"""One flight of one case, watched: what happened, what was sensed, believed, and done about it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.program import Program
from loftwright.flight.kernel import slots as flight_slots
from loftwright.instruments.truth import around, truth
from loftwright.program.table import NO_TIME, Clock, Exit, Table
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.commands import Told, commanded
from loftwright.rehearsal.hearing import Part
from loftwright.rehearsal.kernel.loop import (
    TAPE_ALIVE,
    TAPE_CLIMB,
    TAPE_COLUMNS,
    TAPE_HEIGHT,
    TAPE_PRESSURE,
    TAPE_PUSH,
    TAPE_STAGE,
)
from loftwright.rehearsal.listening import watch
from loftwright.rehearsal.outcomes import Judged
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.results import PAYLOAD, VEHICLE, Case, Stay, Watched
from loftwright.rehearsal.run import Flown, Trial, fly_block

__all__ = ["MOMENTS", "stays", "watch_cases", "watched"]

Floats = NDArray[np.float64]
Single = NDArray[np.float32]
Whole = NDArray[np.int64]

FINE = 0.01  # s between two moments of what is true
NO_POWER = "without power"


def watched(plan: Plan, flown: Flown, flight: int, *, case: str, trial: int = 0) -> Watched:
    """Watch one flight of a block; ``flight`` counts from the block's first.

    ``case`` says how the trial is called.
    """
    part = _one(flown, flight, trial)
    block, branches = flown.block, part.branches
    looked = _look_at_all(plan, flown, part, flight, trial)
    acts = zip(block.things, branches.acts[0].tolist(), strict=True)
    return Watched(
        case=case,
        flight=block.first + flight,
        truth=_truth(block, part),
        sensed={name: each.sensed for name, each in looked.items()},
        believed={name: each.believed for name, each in looked.items()},
        stays={name: each.stays for name, each in looked.items()},
        commands={
            f"{name}: {output}": moment
            for name, each in looked.items()
            for output, moment in each.commands.items()
            if np.isfinite(moment)
        },
        acts={thing: moment for thing, moment in acts if np.isfinite(moment)},
        events=_events(part),
        outcome=_outcome(flown.of(trial), flight),
        levels={
            f"{name}: {output}": spans
            for name, each in looked.items()
            for output, spans in each.levels.items()
            if spans
        },
    )


def stays(plan: Plan, flown: Flown, flight: int, trial: int = 0) -> dict[str, tuple[Stay, ...]]:
    """Return how long each controller stayed in which stage in one flight of a block."""
    part = _one(flown, flight, trial)
    looked = _look_at_all(plan, flown, part, flight, trial)
    return {name: each.stays for name, each in looked.items()}


def _one(flown: Flown, flight: int, trial: int) -> Part:
    """Fly the vehicle of one flight of a block again, recorded."""
    number = flown.settled.which[trial, flight]
    every = flown.settled.branches
    place = slice(number, number + 1)
    alone = Branches(every.group[place], every.flight[place], every.acts[place])
    found: list[Part] = []
    flown.block.vehicles(
        alone, lambda some, each, ended: found.append(Part(alone, some, each, ended))
    )
    return found[0]


def _outcome(judged: Judged, flight: int) -> str:
    """One sentence on what became of a flight."""
    words = [f"Vehicle: {VEHICLE[judged.vehicle[flight]]}."]
    if len(judged.payload):
        words.insert(0, f"Payload: {PAYLOAD[judged.payload[flight]]}.")
    return " ".join(words)


class _Looked:
    """What one controller read, believed and did."""

    def __init__(
        self,
        sensed: dict[str, Floats],
        believed: dict[str, Floats],
        stays: tuple[Stay, ...],
        commands: dict[str, float],
        levels: dict[str, tuple[tuple[float, float], ...]],
    ) -> None:
        self.sensed, self.believed = sensed, believed
        self.stays, self.commands, self.levels = stays, commands, levels


def _look_at_all(
    plan: Plan, flown: Flown, part: Part, flight: int, trial: int
) -> dict[str, _Looked]:
    """Look at every controller in one flight."""
    case, row, which = (np.full(1, number) for number in (trial, flight, 0))
    told = flown.ears.told(part, case, row, which)
    return {
        name: _look(plan, name, flown, part, (case, row, which), told)
        for name in flown.wiring.controllers
    }


def _look(
    plan: Plan, name: str, flown: Flown, part: Part, pair: tuple[Whole, Whole, Whole], told: Told
) -> _Looked:
    trial, flight = int(pair[0][0]), int(pair[1][0])
    ears, hearer = flown.ears, flown.hearers[trial]
    table = hearer.tables[name]
    program = plan.campaign.programs[hearer.runs[name]]
    streams = ears.streams(name, part, trial)
    lanes = ears.lanes(name, table, part, *pair, told)
    heard, tape = watch(table, streams, lanes)
    begin, step = (float(each[flight]) for each in ears.clock(name, trial))
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
    if not flown.wiring.controllers[name].barometer:
        # What it does not sense it has no belief of: its estimates rest where they began.
        sensed = {key: sensed[key] for key in ("time_s", "push_m_s2")}
        believed = {"time_s": time}
    commands = commanded(table, lanes, heard)
    return _Looked(
        sensed,
        believed,
        tuple(_stays(table, program, time, tape[:, TAPE_STAGE].astype(int), alive)),
        {output: float(up[0]) for output, (up, _) in commands.items()},
        {
            output: _spans(time, tape[:, TAPE_COLUMNS + number] > 0.5)
            for number, output in enumerate(table.outputs)
        },
    )


def _spans(
    time: NDArray[np.floating[Any]], on: NDArray[np.bool_]
) -> tuple[tuple[float, float], ...]:
    """Stretches of time in which something is on."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    last = len(time) - 1
    return tuple(
        (float(time[begin]), float(time[min(end, last)]))
        for begin, end in edges.reshape(-1, 2).tolist()
    )


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


def _truth(block: Block, part: Part) -> dict[str, Floats]:
    """Height, climb and push of the vehicle, from a second before first motion to its end."""
    values = block.values[int(part.branches.group[0])]
    tape = part.flown.records[0][: part.flown.counts[0]]
    times = np.arange(-1.0, float(part.ended[0]) + FINE, FINE)
    flight = int(part.branches.flight[0])
    told = truth([tape], times, around(values, block.count)[flight : flight + 1])
    return {
        "time_s": times,
        "height_m": told.height[0].astype(float),
        "climb_m_s": told.climb[0].astype(float),
        "push_m_s2": told.push[0].astype(float),
    }


MOMENTS = {
    "air out": flight_slots.AIR_OUT_TIME,
    "apogee": flight_slots.APOGEE_TIME,
    "canopy open": flight_slots.OPENED_TIME,
    "touchdown": flight_slots.DOWN_TIME,
}


def _events(part: Part) -> dict[str, float]:
    figures = part.flown.figures[0]
    found = {"liftoff": 0.0}
    found |= {name: float(figures[slot]) for name, slot in MOMENTS.items()}
    return {name: moment for name, moment in found.items() if np.isfinite(moment)}


def watch_cases(plan: Plan, cases: Sequence[tuple[Case, Trial]]) -> tuple[Watched, ...]:
    """Watch the worst flight of each case, or the first one where none fared badly."""
    found = []
    for case, trial in cases:
        number = case.worst[0] if case.worst else 0
        flown = fly_block(plan, [trial], number, 1)
        found.append(watched(plan, flown, 0, case=case.name))
    return tuple(found)
