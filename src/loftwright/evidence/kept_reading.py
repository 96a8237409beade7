"""A kept reading as the readers of logs and firings take it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from loftwright.documents.flight_record import FlightEvidence, FlightRecord
from loftwright.documents.flights import EVIDENCE, FLIGHT_FILE, FLIGHTS, flights_of
from loftwright.documents.reading import read_document
from loftwright.documents.readings import DELIMITERS, READINGS_FILE, Reading, Readings
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.log_columns import LogOptions

__all__ = [
    "firing_options",
    "kept_entry",
    "log_options",
    "logs_of_flights",
    "reading_called",
    "readings_of",
]

MARKS = dict(zip(DELIMITERS, ("\t", ",", ";", " "), strict=True))


def readings_of(campaign_folder: Path) -> tuple[Reading, ...]:
    """Return the readings that a campaign keeps. Raises ``ProblemError`` where one is wrong."""
    path = campaign_folder / READINGS_FILE
    return read_document(path, Readings).reading if path.exists() else ()


def reading_called(name: str, readings: tuple[Reading, ...], where: Where) -> Reading:
    """Return the reading called ``name``; raise ``ProblemError`` at ``where`` if there is none."""
    found = next((each for each in readings if each.name == name), None)
    if found is None:
        from loftwright.documents.build import closest

        near = closest(name, [each.name for each in readings])
        message = f"{READINGS_FILE} has no reading {name!r}"
        mend = (
            f'did you mean "{near}"?' if near else "take the file in again with loftwright record"
        )
        raise ProblemError([Problem("record-no-reading", message, where, mend)])
    return found


def kept_entry(path: Path) -> tuple[FlightEvidence, Reading | None] | None:
    """Return the entry of a file that is kept with a flight, and its reading; None for any other.

    Raises ``ProblemError`` where the flight's record or the readings are wrong.
    """
    try:
        path = path.resolve()
    except (OSError, ValueError, RuntimeError):
        return None  # whoever opens it will say what is wrong with it
    flight = path.parent.parent
    document = flight / FLIGHT_FILE
    if path.parent.name != EVIDENCE or flight.parent.name != FLIGHTS or not document.is_file():
        return None
    record = read_document(document, FlightRecord)
    entry = next((each for each in record.evidence if each.file == path.name), None)
    if entry is None:
        return None
    if entry.reading is None:
        return entry, None
    where = Where(file=f"{FLIGHTS}/{flight.name}/{FLIGHT_FILE}", value=entry.reading)
    return entry, reading_called(entry.reading, readings_of(flight.parent.parent), where)


def logs_of_flights(campaign_folder: Path) -> list[tuple[str, Path]]:
    """Return the logs of all kept flights, the latest flight first: flight and file.

    A flight whose record does not read has none here; whoever opens it says what is wrong.
    """
    found = []
    for flight in reversed(flights_of(campaign_folder)):
        folder = campaign_folder / FLIGHTS / flight
        try:
            record = read_document(folder / FLIGHT_FILE, FlightRecord)
        except ProblemError:
            continue
        paths = [folder / EVIDENCE / each.file for each in record.evidence if each.kind == "log"]
        found += [(flight, path) for path in paths if path.is_file()]
    return found


def log_options(reading: Reading | None, entry: FlightEvidence | None = None) -> LogOptions:
    """Return how a log is to be read: by ``reading`` alone where there is one, else as found."""
    number = None if entry is None else entry.flight_number
    if reading is None:
        return LogOptions(flight_number=number)
    scaled = [each for each in reading.column if each.factor or each.offset]
    return LogOptions(
        columns={each.role: each.column for each in reading.column if each.role != "state"},
        states=tuple(each.column for each in reading.column if each.role == "state"),
        units={each.column: each.unit for each in reading.column if each.unit is not None},
        scales={
            each.column: (
                1.0 if each.factor is None else each.factor.value,
                0.0 if each.offset is None else each.offset.value,
            )
            for each in scaled
        },
        every_s=None if reading.every is None else reading.every.value,
        delimiter=reading.delimiter,
        decimal=reading.decimal,
        only_told=True,
        flight_number=number,
    )


def firing_options(reading: Reading | None) -> dict[str, Any]:
    """Return how a firing's record is to be read, as ``read_firing_record`` takes it."""
    if reading is None:
        return {}
    by_role = {each.role: each for each in reading.column}
    force, time = by_role.get("force"), by_role.get("time")
    found = {
        "column": None if force is None else _column(force.column),
        "unit": None if force is None else force.unit,
        "time_unit": None if time is None else time.unit,
        "rate": None if reading.every is None else 1.0 / reading.every.value,
        "delimiter": MARKS.get(reading.delimiter or ""),
        "decimal": reading.decimal,
    }
    return {option: value for option, value in found.items() if value is not None}


def _column(told: str) -> str | int:
    return int(told) if told.isascii() and told.isdigit() else told
