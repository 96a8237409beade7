"""A release program over a recorded flight: what it would have done on that day.

The program samples by its own clock. At each of its samples a controller reads what is there: the
last reading of the log at or before that moment. Where the log is slower than the program a
reading repeats; where it is faster, readings between two samples are not seen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_problems import log_problem
from loftwright.program import interpreter
from loftwright.program.interpreter import Reading, State
from loftwright.program.table import ALWAYS, NO_TIME, Clock, Exit, Seen, Table
from loftwright.rehearsal.recorded import RecordFacts, port_pressure, record_facts

__all__ = ["MOST_SAMPLES", "Entered", "Readings", "Replayed", "Switched", "readings_of", "replay"]

Floats = NDArray[np.float64]
Single = NDArray[np.float32]
Told = Callable[[int, int], object]
MOST_SAMPLES = 5_000_000  # more than a day at 50 a second
TELLS = 5000  # samples between two words about progress
# Clocks are written in decimals: a reading this little after a sample is at it.
SAME_MOMENT = 1e-6  # s
STANDARD_PAD = 288.15  # K


@dataclass(frozen=True, slots=True)
class Readings:
    """What a controller reads, one element a sample of its program, ``(n,)``.

    ``time_s`` by the log's clock, ``pressure`` (Pa) and ``push`` (m/s2) not-a-number where there
    is none yet or none at all, ``line`` 1 when the line is open. ``row`` is the row of the log
    that the pressure comes from, -1 before the first.
    """

    time_s: Floats
    pressure: Floats
    push: Floats
    line: NDArray[np.int8]
    row: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Entered:
    """A stage entered: when, from where, and what made the program leave.

    ``way`` is "power-up", "condition" (its condition held as long as asked), "time" (a way out
    that has times alone) or "backup" (its moment came first, whatever the condition said);
    ``way_number`` counts the ways out of the stage that was left, from 0. ``time_s`` is by the
    log's clock, ``since_launch_s`` from when launch was sensed. Height and climb are the
    program's own, pressure is what it read then.
    """

    time_s: float
    now_ms: int
    since_launch_s: float | None
    stage: int
    name: str
    left: str | None
    way: str
    way_number: int | None
    height_m: float
    climb_m_s: float
    pressure_pa: float


@dataclass(frozen=True, slots=True)
class Switched:
    """An output that changed its level."""

    time_s: float
    since_launch_s: float | None
    output: str
    level: int


@dataclass(frozen=True, slots=True)
class Replayed:
    """What a program would have done over a log.

    Arrays have one element a sample of the program, after it was taken: ``time_s`` by the log's
    clock, number of the stage, the program's height (m) and climb (m/s), ``level`` ``(n,
    outputs)``. ``launch_s`` is when launch was sensed, by the log's clock. ``record`` is what the
    log itself says, raw. ``notes`` say what was assumed.
    """

    table: Table
    readings: Readings
    stage: NDArray[np.int16]
    height_m: Single
    climb_m_s: Single
    level: NDArray[np.int8]
    entered: tuple[Entered, ...]
    switched: tuple[Switched, ...]
    launch_s: float | None
    record: RecordFacts
    notes: tuple[str, ...]

    @property
    def time_s(self) -> Floats:
        """Time of each sample by the log's clock, s."""
        return self.readings.time_s


def replay(
    table: Table,
    log: FlightLog,
    *,
    pad_temperature: float = STANDARD_PAD,
    line_opens_s: float | None = None,
    progress: Told | None = None,
) -> Replayed:
    """Run a program over a log, powered up with the log's first row.

    Parameters
    ----------
    table : the program
    log : the recorded flight
    pad_temperature : temperature at the pad that heights are reckoned with, K; turns the height of
        a log without pressure into pressure
    line_opens_s : when the pad line opens, by the log's clock; never when left out
    progress : is called with the samples taken and their number

    Raises
    ------
    ProblemError
        The log lasts longer than ``MOST_SAMPLES`` samples.
    """
    readings = readings_of(table, log, pad_temperature, line_opens_s)
    runner = _Runner(table, readings)
    for sample in range(len(readings.time_s)):
        if progress is not None and sample % TELLS == 0:
            progress(sample, len(readings.time_s))
        runner.take(sample)
    if progress is not None:
        progress(len(readings.time_s), len(readings.time_s))
    return runner.replayed(record_facts(log, pad_temperature), _notes(table, log, line_opens_s))


def readings_of(
    table: Table,
    log: FlightLog,
    pad_temperature: float = STANDARD_PAD,
    line_opens_s: float | None = None,
) -> Readings:
    """Return what the program reads at each of its samples; the first is at the first row.

    Raises ``ProblemError`` where that would be more than ``MOST_SAMPLES``.
    """
    start, length = float(log.time_s[0]), float(log.time_s[-1] - log.time_s[0])
    count = length * 1e3 / table.step_ms
    if not count < MOST_SAMPLES:
        why = f"it lasts {length:.6g} s, more than {MOST_SAMPLES} samples of the program"
        raise log_problem("log-too-long", file=log.name, why=why)
    samples = np.arange(int(count + SAME_MOMENT) + 1, dtype=np.float64)
    time: Floats = start + samples * (table.step_ms / 1e3)
    pressure, row = _last_before(log.time_s, port_pressure(log, pad_temperature), time)
    nothing = np.full(len(time), np.nan)
    push = nothing if log.push_m_s2 is None else _last_before(log.time_s, log.push_m_s2, time)[0]
    opens = np.inf if line_opens_s is None else line_opens_s - SAME_MOMENT
    return Readings(time, pressure, push, (time >= opens).astype(np.int8), row)


def _last_before(clock: Floats, values: Floats, time: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Return the last value at or before each time, and its row; empty cells are no values."""
    rows = np.flatnonzero(~np.isnan(values))
    last = np.searchsorted(clock[rows], time + SAME_MOMENT, side="right") - 1
    if not rows.size:
        return np.full(len(time), np.nan), np.full(len(time), -1, dtype=np.int64)
    row = np.where(last >= 0, rows[np.maximum(last, 0)], -1)
    return np.where(row >= 0, values[row], np.nan), row


class _Runner:
    """Takes sample after sample, and notes what the program does."""

    def __init__(self, table: Table, readings: Readings) -> None:
        count = len(readings.time_s)
        self.table, self.readings = table, readings
        self.stage = np.zeros(count, dtype=np.int16)
        self.height = np.zeros(count, dtype=np.float32)
        self.climb = np.zeros(count, dtype=np.float32)
        self.level = np.zeros((count, len(table.outputs)), dtype=np.int8)
        self.entered: list[Entered] = []
        self.switched: list[Switched] = []
        self.state = interpreter.power_up(table)
        self._levels = [0] * len(table.outputs)
        self._note_entry(0, None, "power-up", None)
        self._note_levels(0)

    def take(self, sample: int) -> None:
        """Take one sample."""
        state, readings = self.state, self.readings
        now = sample * self.table.step_ms
        left, entered, launched = state.stage, state.entered_ms, state.launched_ms
        holding = state.holding  # a stage that is entered gets a new one; this one stays as it was
        reading = Reading(
            float(readings.pressure[sample]),
            float(readings.push[sample]),
            int(readings.line[sample]),
            now,
        )
        with np.errstate(all="ignore"):  # readings may be anything; what comes of them is defined
            interpreter.step(self.table, state, reading)
        if state.holding is not holding:
            before = State(left, entered, launched, holding=holding)
            number, way = _way_out(self.table, before, now)
            self._note_entry(sample, self.table.stages[left].name, way, number)
        self.stage[sample] = state.stage
        self.height[sample], self.climb[sample] = state.height, state.climb
        if state.level != self._levels:
            self._note_levels(sample)
        self.level[sample] = state.level

    def _since_launch(self, sample: int) -> float | None:
        if self.state.launched_ms == NO_TIME:
            return None
        return (sample * self.table.step_ms - self.state.launched_ms) / 1e3

    def _note_entry(self, sample: int, left: str | None, way: str, number: int | None) -> None:
        state = self.state
        known = state.has_height
        self.entered.append(
            Entered(
                time_s=float(self.readings.time_s[sample]),
                now_ms=sample * self.table.step_ms,
                since_launch_s=self._since_launch(sample),
                stage=state.stage,
                name=self.table.stages[state.stage].name,
                left=left,
                way=way,
                way_number=number,
                height_m=float(state.height) if known else float("nan"),
                climb_m_s=float(state.climb) if known else float("nan"),
                pressure_pa=float(self.readings.pressure[sample]),
            )
        )

    def _note_levels(self, sample: int) -> None:
        time, since = float(self.readings.time_s[sample]), self._since_launch(sample)
        for output, level in enumerate(self.state.level):
            if level != self._levels[output]:
                name = self.table.outputs[output]
                self.switched.append(Switched(time, since, name, level))
        self._levels = list(self.state.level)

    def replayed(self, record: RecordFacts, notes: tuple[str, ...]) -> Replayed:
        """Return what was noted."""
        launched = self.state.launched_ms
        start = float(self.readings.time_s[0])
        return Replayed(
            table=self.table,
            readings=self.readings,
            stage=self.stage,
            height_m=self.height,
            climb_m_s=self.climb,
            level=self.level,
            entered=tuple(self.entered),
            switched=tuple(self.switched),
            launch_s=None if launched == NO_TIME else start + launched / 1e3,
            record=record,
            notes=notes,
        )


def _way_out(table: Table, before: State, now: int) -> tuple[int, str]:
    """Return which way out was taken, and what made it ready; of several the first was taken."""
    for number, way in enumerate(table.stages[before.stage].exits):
        clock = _clock(way, before, now)
        if clock is None:
            continue
        if way.backup_ms != NO_TIME and clock >= way.backup_ms:
            return number, "backup"
        since = before.holding[number]
        if since != NO_TIME and now - since >= way.hold_ms:
            return number, "time" if way.condition == ALWAYS else "condition"
    raise AssertionError("a stage was left by no way out")


def _clock(way: Exit, before: State, now: int) -> int | None:
    if way.clock == Clock.STAGE:
        return now - before.entered_ms
    return None if before.launched_ms == NO_TIME else now - before.launched_ms


def _notes(table: Table, log: FlightLog, line_opens_s: float | None) -> tuple[str, ...]:
    """Say what the program looks at and the log does not have."""
    seen = {
        step.seen
        for stage in table.stages
        for way in stage.exits
        for step in way.condition
        if step.op <= 3
    }
    notes = [
        f"the program takes a sample every {table.step_ms} ms from the log's first row on, and "
        "reads the last reading at or before it"
    ]
    if log.pressure_pa is None:
        notes.append(
            "the log has no pressure: its height was made one by the standard atmosphere, from the "
            "program's pad temperature and 1013.25 hPa at the log's first heights"
        )
    if Seen.PUSH in seen and log.push_m_s2 is None:
        notes.append("the program looks at push and the log has none: such comparisons never hold")
    if Seen.SWITCH in seen and line_opens_s is None:
        notes.append("the program looks at the line and the log has none: it was taken as closed")
    return tuple(notes)
