"""Recorded flights: time with pressure or height, read as the recorder left them."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.files import open_regular
from loftwright.errors import Problem, ProblemError
from loftwright.evidence.layout import DELIMITERS
from loftwright.evidence.log_checks import LEAST_KNOWN, check_readings
from loftwright.evidence.log_choice import Chosen, ColumnRead, LogOptions
from loftwright.evidence.log_clock import check_clock
from loftwright.evidence.log_columns import Sheet, choose_columns
from loftwright.evidence.log_flights import FlightFinder
from loftwright.evidence.log_head import first_lines, first_sheet, first_that_decodes
from loftwright.evidence.log_pick import Picked, pick
from loftwright.evidence.log_problems import log_problem, log_warning
from loftwright.evidence.log_result import FlightLog, Mark, States
from loftwright.evidence.log_rows import MOST_MARKS, RowReader
from loftwright.evidence.log_survey import height_role, refuse_long, scaled, survey
from loftwright.evidence.stream import Source, read_blocks

__all__ = ["FlightLog", "LogOptions", "Mark", "States", "read_flight_log"]

Floats = NDArray[np.float64]
Told = Callable[[int, int], object]
LEAST_ROWS = 10
TOO_DAMAGED = 0.1  # share of the rows
LONG = 64 << 20  # bytes; of a longer log the flight alone is kept in memory


def read_flight_log(
    path: Path | str, options: LogOptions | None = None, *, progress: Told | None = None
) -> FlightLog:
    """Read a text log of a flight; the file itself is never changed.

    Delimiter, decimal mark, encoding, header, columns and units are found from the file, each with
    its reason. What the file does not settle is an error that names the option to settle it. The
    file is read in blocks: memory is that of the arrays and of a few megabytes.

    Parameters
    ----------
    path : the log
    options : what a person says of it
    progress : is called with the bytes read and the bytes of the file

    Raises
    ------
    ProblemError
        With the file, the line and how to mend it.
    """
    path, options = Path(path), options or LogOptions()
    _check_options(path.name, options)
    try:
        with open_regular(path, name=path.name) as stream:
            size = os.fstat(stream.fileno()).st_size
            source = Source(stream, path.name)
            told = _Progress(progress, size)
            return first_that_decodes(source, lambda each: _read(source, each, options, told))
    except ProblemError as error:
        found = error.problems[0]
        if not found.code.startswith("file-"):
            raise
        raise log_problem("log-unreadable", file=path.name, why=found.message) from error


@dataclass(slots=True)
class _Progress:
    """Bytes read of those of the file; of a long one, which is read twice, half of them each."""

    told: Told | None
    size: int
    second: bool = False

    @property
    def is_long(self) -> bool:
        return self.size > LONG

    def __call__(self, done: int) -> None:
        if self.told is not None:
            both = self.size * self.second + done
            self.told(both // 2 if self.is_long else done, self.size)


def _check_options(file: str, options: LogOptions) -> None:
    for name, value, allowed in (
        ("--delimiter", options.delimiter, DELIMITERS),
        ("--decimal", options.decimal, (".", ",")),
    ):
        if value is not None and value not in allowed:
            words = "use one of " + ", ".join(map(repr, allowed))
            raise log_problem("log-option", file=file, field=name, value=value, allowed=words)
    every = options.every_s
    if every is not None and not 1e-6 <= every <= 60.0:
        words = "give the time from row to row, a millionth of a second to a minute: --every 20ms"
        raise log_problem("log-option", file=file, field="--every", value=every, allowed=words)


def _read(source: Source, encoding: str, options: LogOptions, progress: _Progress) -> FlightLog:
    sheet, notes = first_sheet(first_lines(source, encoding), options)
    chosen = choose_columns(sheet)
    picked = Picked(None, 0)
    began: float | None = None
    progress.second = False
    if progress.is_long and "time" in chosen.roles:
        finder = survey(source, encoding, sheet, chosen, progress)
        picked = pick(source.name, finder, options.flight_number, is_long=True)
        began = finder.began_s
        progress.second = True
    columns = dict.fromkeys(read.number - 1 for read in chosen.roles.values())
    states = [read.number - 1 for read in chosen.states]
    rows = RowReader(sheet.layout, list(columns), states, picked.lines)
    for block in read_blocks(source, encoding):
        rows.read(block)
        progress(source.done)
        refuse_long(source.name, rows)
    why = ", because the bytes are not UTF-8" if encoding == "latin-1" else ""
    notes = [f"encoding {encoding}{why}", sheet.layout.layout.describe(), *notes]
    return _log(source, sheet, chosen, rows, notes, picked, began)


def _log(
    source: Source,
    sheet: Sheet,
    chosen: Chosen,
    rows: RowReader,
    notes: list[str],
    picked: Picked,
    began: float | None,
) -> FlightLog:
    """Put a log together from its rows, checked."""
    file = source.name
    warnings = _damage(file, rows)
    if rows.skipped:
        notes.append(f"{rows.skipped} blank or comment line(s) among the rows left out")
    read, untimed = _timed(file, sheet, chosen, rows, began)
    few = _few(file, read.lines, read.values)
    if picked.lines is None:
        read, picked = _one_flight(file, sheet, chosen, read)
    kept = check_clock(file, read.time, read.lines)
    read = read.part(slice(kept.first, kept.end))
    doubts = check_readings(file, read.lines, chosen.roles, read.values)
    states, lost = _states(file, chosen, rows, read.time, read.lines)
    found = (sheet.warnings, warnings, untimed, few, picked.warnings, kept.warnings, doubts, lost)
    values = read.values
    return FlightLog(
        name=file,
        time_s=read.time,
        pressure_pa=values.get("pressure"),
        height_m=values.get("height"),
        push_m_s2=values.get("push"),
        battery_v=values.get("battery"),
        line=read.lines,
        marks=states[0].changes if states else (),
        columns=_columns(sheet, chosen),
        notes=(*notes, *picked.notes),
        warnings=tuple(chain.from_iterable(found)),
        sha256=source.sha256,
        temperature_k=values.get("temperature"),
        states=states,
        flights=picked.count,
        layout=sheet.layout,
    )


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows of a log side by side: time [s], line of the file, readings by role in SI."""

    time: Floats
    lines: NDArray[np.int32]
    values: dict[str, Floats]

    def part(self, which: slice) -> _Rows:
        """Return some of the rows."""
        values = {role: each[which] for role, each in self.values.items()}
        return _Rows(self.time[which], self.lines[which], values)


def _timed(
    file: str, sheet: Sheet, chosen: Chosen, rows: RowReader, began: float | None
) -> tuple[_Rows, list[Problem]]:
    """Return the rows that have a time, and what is said of the others."""
    lines = rows.take_lines()
    time = _time(chosen.roles, rows, sheet, len(lines), began)
    keep = np.isfinite(time)
    values = {
        role: _values(read, rows, keep) for role, read in chosen.roles.items() if role != "time"
    }
    untimed = _untimed(file, lines, keep)
    if not keep.all():
        time, lines = time[keep], lines[keep]
    return _Rows(time, lines, values), untimed


def _one_flight(file: str, sheet: Sheet, chosen: Chosen, read: _Rows) -> tuple[_Rows, Picked]:
    """Return the rows of one flight, the one that is asked for, where there are several."""
    role = height_role(chosen)
    finder = FlightFinder(is_pressure=role == "pressure")
    finder.feed(read.time, read.values[role], read.lines)
    picked = pick(file, finder, sheet.options.flight_number, is_long=False)
    if picked.lines is None:
        return read, picked
    first, last = picked.lines
    return read.part(slice(*np.searchsorted(read.lines, (first, last + 1)))), picked


def _damage(file: str, rows: RowReader) -> list[Problem]:
    found = []
    damage = rows.damage
    if damage.count > TOO_DAMAGED * (rows.rows + damage.count):
        raise log_problem(
            "log-too-damaged",
            file=file,
            line=damage.line,
            count=damage.count,
            rows=rows.rows + damage.count,
            why=damage.why,
        )
    if damage.count:
        facts = {"count": damage.count, "why": damage.why}
        found.append(log_warning("log-rows-damaged", file=file, line=damage.line, facts=facts))
    if rows.cut is not None:
        line, text = rows.cut
        facts = {"value": text[:40]}
        found.append(log_warning("log-cut-row", file=file, line=line, facts=facts))
    return found


def _time(
    chosen: Mapping[str, ColumnRead],
    rows: RowReader,
    sheet: Sheet,
    count: int,
    began: float | None,
) -> Floats:
    """Time of each row, s; by count where no column is time. Times of day count from ``began``."""
    read = chosen.get("time")
    if read is None:
        return np.arange(count, dtype=np.float64) * (sheet.step_s or 0.0)
    values = scaled(read, rows)
    if read.unit == "time of day" and values.size:
        values -= values[np.isfinite(values)][:1].sum() if began is None else began
    return values


def _untimed(file: str, lines: NDArray[np.int32], keep: NDArray[np.bool_]) -> list[Problem]:
    missing = np.flatnonzero(~keep)
    if not missing.size:
        return []
    facts = {"count": int(missing.size), "why": "its time is empty"}
    line = int(lines[missing[0]])
    return [log_warning("log-rows-damaged", file=file, line=line, facts=facts)]


def _values(read: ColumnRead, rows: RowReader, keep: NDArray[np.bool_]) -> Floats:
    values = scaled(read, rows)
    return values if keep.all() else values[keep]


def _few(file: str, lines: NDArray[np.int32], values: Mapping[str, Floats]) -> list[Problem]:
    """Refuse a log of few rows; warn of one in which hardly a row has pressure or height."""
    role = "pressure" if "pressure" in values else "height"
    if len(lines) < LEAST_ROWS:
        raise log_problem("log-too-short", file=file, value=len(lines))
    count = int(np.isfinite(values[role]).sum())
    if count >= LEAST_KNOWN:
        return []
    facts = {"count": count, "rows": len(lines), "role": role}
    return [log_warning("log-sensor-silent", file=file, line=int(lines[0]), facts=facts)]


def _states(
    file: str, chosen: Chosen, rows: RowReader, time: Floats, lines: NDArray[np.int32]
) -> tuple[tuple[States, ...], list[Problem]]:
    """Return the columns of states, and warnings of those that changed too often to be kept."""
    found, warnings = [], []
    for read in chosen.states:
        marks = rows.marks[read.number - 1]
        changes = _changes(marks.changes, time, lines)
        found.append(States(read.name, read.number, changes, marks.lost))
        if marks.lost:
            line = marks.changes[-1][0]
            facts = {"value": read.name, "count": marks.lost, "most": MOST_MARKS}
            facts["column"] = read.number
            warnings.append(log_warning("log-states-lost", file=file, line=line, facts=facts))
    return tuple(found), warnings


def _changes(
    found: list[tuple[int, str]], time: Floats, lines: NDArray[np.int32]
) -> tuple[Mark, ...]:
    """Return changes among the rows that count; the first of these has the state it began with."""
    marks: list[Mark] = []
    for line, words in found:
        row = int(np.searchsorted(lines, line))
        if row >= len(lines):
            break
        if lines[row] == line:
            marks.append(Mark(float(time[row]), line, words))
        elif row == 0:  # before them: in force when they begin
            marks = [Mark(float(time[0]), int(lines[0]), words)]
    return tuple(marks)


def _columns(sheet: Sheet, chosen: Chosen) -> tuple[ColumnRead, ...]:
    """Say of every column what it was taken for."""
    taken = {read.number: read for read in (*chosen.states, *chosen.roles.values())}
    return tuple(
        taken.get(i) or ColumnRead(i, name, "not used", None, _left(sheet, i - 1))
        for i, name in enumerate(sheet.names, start=1)
    )


def _left(sheet: Sheet, column: int) -> str:
    kind = sheet.labels[column].kind
    if column in sheet.left:
        return sheet.left[column]
    if kind == "time" and sheet.options.every_s is not None:
        return "rows are counted instead, as told"
    return (
        "it is nothing that a replay needs"
        if kind in {"other", "index"}
        else f"it sounds like {kind}"
    )
