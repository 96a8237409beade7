"""What is proposed of a file before it is taken in, with all that shows whether that is right."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from loftwright.documents.files import open_regular
from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.flights import FLIGHT_FILE, FLIGHTS, flights_of, home_of, name_fault
from loftwright.documents.reading import read_document
from loftwright.documents.readings import Reading
from loftwright.errors import Problem, ProblemError
from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.kept_reading import log_options
from loftwright.evidence.labels import FORCE_UNITS, TIME_UNITS, read_label
from loftwright.evidence.log_choice import ColumnRead, LogOptions
from loftwright.evidence.log_flights import FlightFinder, FlightSpan
from loftwright.evidence.log_labels import ROLES, UNITS, read_log_label
from loftwright.evidence.log_survey import flights_in
from loftwright.evidence.recorded_flight import AT_ONCE
from loftwright.evidence.table_preview import TablePreview, preview_table
from loftwright.evidence.taking import Looked, Told, look_into, proposed_kind

__all__ = ["Proposal", "knows_unit", "propose_file", "units_offered", "where_kept"]

NOT_USED = "not used"
# One spelling of each unit that a recorder may write in, the most usual first.
OFFERED = {
    "time": ("s", "ms", "us", "min"),
    "pressure": ("Pa", "hPa", "kPa", "bar", "mmHg", "inHg", "psi"),
    "height": ("m", "ft", "cm", "mm", "in"),
    "push": ("m/s^2", "g", "mg", "ft/s^2"),
    "battery": ("V", "mV"),
    "temperature": ("degC", "degF", "K"),
    "force": ("N", "kN", "lbf", "ozf", "kgf", "gf"),
}


def units_offered(role: str) -> tuple[str, ...]:
    """Return the units to choose from for a column that holds ``role``; none for states."""
    known = FORCE_UNITS if role == "force" else UNITS.get(role, {})
    return tuple(unit for unit in OFFERED.get(role, ()) if unit in known)


def knows_unit(role: str, unit: str) -> bool:
    """Tell whether a column that holds ``role`` may be in ``unit``, however that is spelled."""
    return unit in (FORCE_UNITS if role == "force" else UNITS.get(role, {}))


@dataclass(frozen=True, slots=True)
class Proposal:
    """A file, what it seems to be, and what its columns seem to hold.

    ``ready`` tells that it could be taken in so; ``problems`` say what keeps it from that.
    ``columns`` say of each column of ``table`` what it is read as; where the file cannot be read
    yet, as far as their names tell. ``flights`` are those that the log holds, ``rows``,
    ``duration_s`` and ``rise_m`` (m over the rest before liftoff) what the reading makes of it;
    None where that is not known. ``doubts`` are what is concluded from numbers alone. ``kept``
    names where the same bytes are kept already, as flight/file; ``name_fault`` says why it cannot
    be kept under its own name.
    """

    file: Path
    sha256: str
    size: int
    kind: str
    why: str
    reading: str | None = None
    table: TablePreview | None = None
    columns: tuple[ColumnRead, ...] = ()
    flights: tuple[FlightSpan, ...] = ()
    flight_number: int | None = None
    rows: int | None = None
    duration_s: float | None = None
    rise_m: float | None = None
    notes: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    warnings: tuple[Problem, ...] = ()
    kept: tuple[str, ...] = ()
    name_fault: str | None = None

    @property
    def ready(self) -> bool:
        """Whether the file could be taken in as it is proposed."""
        return not self.problems


def propose_file(
    file: Path, told: Told, readings: Sequence[Reading], home: Path | None = None
) -> Proposal:
    """Say what a file seems to be, and how its columns would be read; nothing is kept or written.

    ``home`` is the campaign in whose flights the same bytes are looked for. What keeps the file
    from being taken in is among the proposal's problems.

    Raises ``ProblemError`` where the file cannot be read at all.
    """
    sha256, size = _digest(file)
    kind = proposed_kind(file, told)
    fault = name_fault(file.name)
    found = Proposal(file, sha256, size, kind.kind, kind.why, name_fault=fault)
    if home is not None:
        found = replace(found, kept=where_kept(home, sha256))
    try:
        looked = look_into(file, told, readings)
    except ProblemError as error:
        looked, found = None, replace(found, problems=tuple(error.problems))
    if kind.kind not in {"log", "firing"}:
        return found if looked is None else replace(found, notes=tuple(looked.said))
    options = _options(told, looked, readings)
    found = replace(found, table=_table(file, kind.kind, options))
    found = replace(found, columns=_columns(found, told, looked))
    if looked is not None:
        found = _as_read(found, looked)
    return _with_flights(found, options)


def _digest(file: Path) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    with open_regular(file, name=file.name) as stream:
        while content := stream.read(AT_ONCE):
            digest.update(content)
            size += len(content)
    return digest.hexdigest(), size


def where_kept(home: Path, sha256: str) -> tuple[str, ...]:
    """Return where bytes of this digest are kept, as flight/file; unreadable records are left."""
    found = []
    for name in flights_of(home):
        try:
            record = read_document(home_of(home) / FLIGHTS / name / FLIGHT_FILE, FlightRecord)
        except ProblemError:  # told where that flight is looked at
            continue
        found += [f"{name}/{each.file}" for each in record.evidence if each.sha256 == sha256]
    return tuple(found)


def _options(told: Told, looked: Looked | None, readings: Sequence[Reading]) -> LogOptions:
    """Return how the file was read: as told, or by a reading that is kept."""
    if looked is None or looked.reading is None:
        return told.options
    reading = next(each for each in readings if each.name == looked.reading)
    return replace(log_options(reading), flight_number=told.options.flight_number)


def _table(file: Path, kind: str, options: LogOptions) -> TablePreview | None:
    # A comma between two whole numbers may be a decimal comma of one column: two count for more.
    counted = 1.0 if options.every_s is None else options.every_s
    for every in (counted if kind == "firing" else options.every_s, counted):
        try:
            return preview_table(file, replace(options, every_s=every))
        except ProblemError:  # what is wrong with the file is told by its reading
            continue
    return None


# ---------------------------------------------------------------- columns


def _columns(found: Proposal, told: Told, looked: Looked | None) -> tuple[ColumnRead, ...]:
    if looked is not None and looked.log is not None:
        return looked.log.columns
    if found.table is None:
        return ()
    names = [each.name for each in found.table.columns]
    said = _said(told, names)
    guess = _force_guess if found.kind == "firing" else _log_guess
    taken = {role for role, _ in said.values()}
    columns = []
    for number, name in enumerate(names, start=1):
        role, unit, why = guess(name)
        if number in said:
            role, why = said[number]
        elif role in taken:
            role, unit, why = NOT_USED, None, f"another column is {role}"
        columns.append(ColumnRead(number, name, role, _unit_said(told, number, name) or unit, why))
    return tuple(columns)


def _said(told: Told, names: Sequence[str]) -> dict[int, tuple[str, str]]:
    """Return what a person says of columns, by their number."""
    options = told.options
    pairs = [*options.columns.items(), *(("state", each) for each in options.states)]
    pairs += [("force", told.force)] if told.force else []
    pairs += [(NOT_USED, each) for each in options.ignored]
    found = {}
    for role, column in pairs:
        number = _number(column, names)
        if number is not None:
            found[number] = (role, "as told")
    return found


def _number(told: str, names: Sequence[str]) -> int | None:
    wanted = told.strip().lower()
    if re.fullmatch("[0-9]{1,9}", wanted) and 1 <= int(wanted) <= len(names):
        return int(wanted)
    alike = [i for i, name in enumerate(names, start=1) if name.strip().lower() == wanted]
    return alike[0] if len(alike) == 1 else None


def _unit_said(told: Told, number: int, name: str) -> str | None:
    units = {key.strip().lower(): unit for key, unit in told.options.units.items()}
    return units.get(str(number)) or units.get(name.strip().lower())


def _log_guess(name: str) -> tuple[str, str | None, str]:
    label = read_log_label(name)
    if label.kind in {*ROLES, "state"}:
        return label.kind, label.unit, f"by its name {name!r}"
    return NOT_USED, None, "its name says nothing"


def _force_guess(name: str) -> tuple[str, str | None, str]:
    label = read_label(name)
    if label.kind in {"force", "sum"}:
        return "force", label.unit if label.unit in FORCE_UNITS else None, f"by its name {name!r}"
    if label.kind == "time":
        return "time", label.unit if label.unit in TIME_UNITS else None, f"by its name {name!r}"
    return NOT_USED, None, "its name says nothing"


# ---------------------------------------------------------------- what the reading makes of it


def _as_read(found: Proposal, looked: Looked) -> Proposal:
    found = replace(
        found,
        reading=looked.reading,
        notes=tuple(looked.said),
        doubts=tuple(looked.doubts),
        warnings=looked.warnings,
        flight_number=looked.flight_number,
    )
    time = None
    if looked.log is not None:
        time = looked.log.time_s
        spans = _spans(looked.log)
        tops = [each.top_m for each in spans]
        rise = max(tops) if tops and np.isfinite(tops).all() else None
        found = replace(found, rise_m=rise, flights=spans)
    elif looked.record is not None:
        time = looked.record.time
    if time is None or not len(time):
        return found
    return replace(found, rows=len(time), duration_s=float(time[-1] - time[0]))


def _spans(log: FlightLog) -> tuple[FlightSpan, ...]:
    """Return the flights in what was read of a log."""
    is_pressure = log.pressure_pa is not None
    level = log.pressure_pa if is_pressure else log.height_m
    if level is None:
        return ()
    finder = FlightFinder(is_pressure=is_pressure)
    finder.feed(log.time_s, level, log.line)
    return tuple(finder.flights())


def _with_flights(found: Proposal, options: LogOptions) -> Proposal:
    """List the flights in a log, also where it was refused because nobody chose among them."""
    alone = found.ready and found.flight_number is None  # then all of it was read
    if found.kind != "log" or found.table is None or alone:
        return found
    try:
        return replace(found, flights=flights_in(found.file, options))
    except ProblemError:  # the columns are not settled; told by the reading
        return found
