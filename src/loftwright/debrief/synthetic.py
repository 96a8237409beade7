"""Synthetic evidence: the log that a controller would have written, and what was true.

What a recorder keeps is made here and nowhere else, so that a made-up flight and the flights that a
cause is judged by are recorded alike. Recording begins a few seconds before first motion, or at
power-up where that is later, and goes on until the vehicle is down. A controller without power
writes nothing; its recorder's clock goes on meanwhile, by a cell of its own, so that a loss of
power is a hole in the record and never a jump back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.flight_log import FlightLog, Mark
from loftwright.flight.figures import prefix_of
from loftwright.instruments.wiring import wire
from loftwright.rehearsal.kernel.loop import (
    TAPE_ALIVE,
    TAPE_COLUMNS,
    TAPE_PRESSURE,
    TAPE_PUSH,
    TAPE_STAGE,
    TAPE_VOLTS,
)
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.recording import Tapes, record_controllers
from loftwright.rehearsal.results import PAYLOAD, VEHICLE
from loftwright.rehearsal.run import Flown, Trial, fly_block

__all__ = [
    "SyntheticRecord",
    "SyntheticTruth",
    "flight_log_of",
    "log_text",
    "recorders",
    "synthetic_log",
    "synthetic_logs",
    "truth_of",
]

Floats = NDArray[np.float64]

BEFORE = 5.0  # s of the pad that a record shows


@dataclass(frozen=True, slots=True, kw_only=True)
class SyntheticTruth:
    """What was true in a made-up flight. Times are s from first motion, places m from the pad.

    ``events`` holds what happened, by the words of the flight record: ``"water out"``,
    ``"release"`` (of a payload other than the first: ``"release payload2"``), ``"apogee"``,
    ``"canopy open"``, ``"touchdown"`` (``"touchdown payload"``), ``"beep"``. ``landed`` gives east,
    north by body. ``figures`` are those of the flight, SI; ``good`` tells whether all was as
    wanted, ``payload`` and ``vehicle`` say what became of both.
    """

    faults: tuple[str, ...]
    parts: tuple[str, ...]
    says: str
    events: Mapping[str, float]
    landed: Mapping[str, tuple[float, float]]
    figures: Mapping[str, float]
    good: bool
    lost: bool
    payload: str
    vehicle: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SyntheticRecord:
    """What a controller recorded: ``(n,)`` arrays, a row a sample that it took while it ran.

    ``time_s`` is by the recorder's own clock, which began at power-up; ``liftoff_s`` is first
    motion by that clock. A sensor that answers nothing leaves not-a-number; ``pressure_pa`` and
    ``push_m_s2`` are None where the controller has no such sensor.
    """

    controller: str
    time_s: Floats
    pressure_pa: Floats | None
    push_m_s2: Floats | None
    battery_v: Floats
    state: tuple[str, ...]
    liftoff_s: float
    truth: SyntheticTruth


def recorders(plan: Plan) -> tuple[str, ...]:
    """Return the controllers that have a barometer, so that their records can be read."""
    assert plan.campaign.avionics is not None
    wires = wire(plan.campaign.avionics).controllers
    return tuple(name for name, each in wires.items() if each.barometer)


def synthetic_log(
    plan: Plan, trial: Trial, flight: int, controller: str, *, before: float = BEFORE
) -> SyntheticRecord:
    """Fly one flight of a case and return the log that a controller would have written.

    Parameters
    ----------
    plan : Plan
        Of the campaign, `rehearsal.plan.plan_of`; its seed is that of the flight.
    trial : Trial
        The case: ``Trial()`` where nothing fails, ``Trial((happening,))`` for a fault.
    flight : int
        Number of the flight, from 0.
    controller : str
        Whose log it is.
    before : float
        Seconds of the pad that the record shows.

    Raises
    ------
    ProblemError
        ``causes-no-recorder`` for a controller that there is not.
    """
    return synthetic_logs(plan, trial, flight, before=before, controllers=(controller,))[controller]


def synthetic_logs(
    plan: Plan,
    trial: Trial,
    flight: int,
    *,
    before: float = BEFORE,
    controllers: tuple[str, ...] | None = None,
) -> dict[str, SyntheticRecord]:
    """Fly one flight of a case; return the log of every controller with a barometer, by name.

    The parameters are those of `synthetic_log`; ``controllers`` names others.
    """
    names = recorders(plan) if controllers is None else controllers
    assert plan.campaign.avionics is not None
    known = wire(plan.campaign.avionics).controllers
    if missing := [name for name in names if name not in known]:
        raise ProblemError([_unknown(missing[0], tuple(known))])
    flown = fly_block(plan, [trial], flight, 1)
    truth = truth_of(flown, trial)
    found: dict[str, SyntheticRecord] = {}

    def take(tapes: Tapes) -> None:
        found[tapes.controller] = _record(flown, tapes, before, truth)

    nothing = np.zeros(1, np.int64)
    record_controllers(flown, names, nothing, nothing, take)
    return {name: found[name] for name in names}


def _unknown(name: str, known: tuple[str, ...]) -> Problem:
    message = f"the avionics have no controller {name!r}"
    mend = f"name one of {', '.join(known)}"
    return Problem("causes-no-recorder", message, Where(field="controller", value=name), mend)


def _record(flown: Flown, tapes: Tapes, before: float, truth: SyntheticTruth) -> SyntheticRecord:
    """Return the first of some tapes as a record."""
    wires = flown.wiring.controllers[tapes.controller]
    count = int(tapes.samples[0])
    number = np.arange(count)
    true: Floats = float(tapes.begin[0]) + float(tapes.step[0]) * number.astype(float)
    tape = tapes.tape[:count, :, 0].astype(float)
    kept = (tape[:, TAPE_ALIVE] > 0.5) & (true >= -before)
    step = tapes.table.step_ms / 1000.0
    rows = tape[kept]
    stages = [stage.name for stage in tapes.table.stages]
    beeps = _beeps(flown, tapes, tape, true)
    events = {**truth.events, **({"beep": beeps} if beeps is not None else {})}
    return SyntheticRecord(
        controller=tapes.controller,
        time_s=np.round(number[kept] * step, 6),
        pressure_pa=rows[:, TAPE_PRESSURE] if wires.barometer else None,
        push_m_s2=rows[:, TAPE_PUSH] if wires.accelerometer else None,
        battery_v=rows[:, TAPE_VOLTS],
        state=tuple(stages[int(each)] for each in rows[:, TAPE_STAGE]),
        liftoff_s=-float(tapes.begin[0]) * step / float(tapes.step[0]),
        truth=SyntheticTruth(
            **{name: getattr(truth, name) for name in SyntheticTruth.__dataclass_fields__}
            | {"events": events}
        ),
    )


def _beeps(flown: Flown, tapes: Tapes, tape: Floats, true: Floats) -> float | None:
    """When an indicator of the controller first sounds, s from first motion."""
    outputs = indicated(flown, tapes)
    on = [
        float(true[np.argmax(level)])
        for number in outputs
        if (level := tape[:, TAPE_COLUMNS + number] > 0.5).any()
    ]
    return min(on, default=None)


def indicated(flown: Flown, tapes: Tapes) -> list[int]:
    """Return the outputs of a controller's program that no actuator but an indicator hangs on."""
    wired = {
        each.output
        for each in flown.wiring.actuators.values()
        if each.controller == tapes.controller
    }
    return [n for n, output in enumerate(tapes.table.outputs) if output not in wired]


_EVENTS = {
    "water out": "water_out_s",
    "apogee": "apogee_time_s",
    "canopy open": "canopy_open_s",
    "touchdown": "touchdown_vehicle_time_s",
}


def truth_of(flown: Flown, trial: Trial, number: int = 0, flight: int = 0) -> SyntheticTruth:
    """Return what was true in one flight of one trial of a block."""
    place = int(flown.settled.which[number, flight])
    figures = {
        name: float(column[place])
        for name, column in flown.columns.items()
        if np.isfinite(column[place])
    }
    events = {word: figures[name] for word, name in _EVENTS.items() if name in figures}
    landed = {}
    for root in ("vehicle", "payload", "payload2", "payload3"):
        own = f"{prefix_of(root)}release_time_s"
        if root != "vehicle" and own in figures:
            events["release" if root == "payload" else f"release {root}"] = figures[own]
        if f"touchdown_{root}_east_m" in figures:
            landed[root] = (
                figures[f"touchdown_{root}_east_m"],
                figures[f"touchdown_{root}_north_m"],
            )
            if root != "vehicle":
                events[f"touchdown {root}"] = figures[f"touchdown_{root}_time_s"]
    judged = flown.of(number)
    return SyntheticTruth(
        faults=tuple(each.fault.name for each in trial.happening),
        parts=tuple(each.part.name for each in trial.happening),
        says=" ".join(each.says for each in trial.happening) or "Nothing fails.",
        events=events,
        landed=landed,
        figures=figures,
        good=bool(judged.good[flight]),
        lost=bool(judged.lost[flight]),
        payload=PAYLOAD[judged.payload[flight]] if len(judged.payload) else "",
        vehicle=VEHICLE[judged.vehicle[flight]],
    )


def flight_log_of(record: SyntheticRecord) -> FlightLog:
    """Return a record as if it had been read from its text."""
    changes = [n for n, state in enumerate(record.state) if n == 0 or state != record.state[n - 1]]
    lines = np.arange(2, 2 + len(record.time_s), dtype=np.int32)
    marks = tuple(Mark(float(record.time_s[n]), int(lines[n]), record.state[n]) for n in changes)
    return FlightLog(
        name=f"{record.controller}.csv",
        time_s=record.time_s,
        pressure_pa=record.pressure_pa,
        height_m=None,
        push_m_s2=record.push_m_s2,
        battery_v=record.battery_v,
        line=lines,
        marks=marks,
        columns=(),
        notes=(),
        warnings=(),
        sha256="",
    )


def log_text(record: SyntheticRecord, *, every: int = 1) -> str:
    """Write a record as text: comma between cells, a header with units, each ``every``-th row."""
    names, columns = ["clock [s]"], [[f"{each:.3f}" for each in record.time_s]]
    for name, values, places in (
        ("pressure [Pa]", record.pressure_pa, 1),
        ("push [m/s^2]", record.push_m_s2, 2),
        ("battery [V]", record.battery_v, 3),
    ):
        if values is not None:
            names.append(name)
            columns.append([f"{v:.{places}f}" if np.isfinite(v) else "" for v in values])
    names.append("stage")
    columns.append(list(record.state))
    rows = [",".join(cells) for cells in zip(*columns, strict=True)]
    return "\n".join([",".join(names), *rows[::every]]) + "\n"
