"""What is made of a file before it is taken in: its kind, and how its columns are read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from loftwright.documents.edit import Value, with_values
from loftwright.documents.reading import read_text
from loftwright.documents.readings import READINGS_FILE, Reading, Readings
from loftwright.errors import Problem, ProblemError
from loftwright.evidence.flight_log import FlightLog, LogOptions, read_flight_log
from loftwright.evidence.kept_reading import firing_options, log_options
from loftwright.evidence.kinds import ProposedKind, propose_kind
from loftwright.evidence.record import FiringRecord, read_firing_record
from loftwright.evidence.shapes import known_reading, reading_of_firing, reading_of_log

__all__ = ["Looked", "Told", "look_into", "proposed_kind"]

Progress = Callable[[int, int], object]


@dataclass(frozen=True, slots=True)
class Told:
    """What a person says of a file; ``tells_layout`` where that is of its columns or layout."""

    kind: str | None = None
    options: LogOptions = field(default_factory=LogOptions)
    tells_layout: bool = False
    force: str | None = None
    reading: str | None = None
    source: str | None = None


@dataclass(slots=True)
class Looked:
    """A file that may be taken in: its kind, and how it was read.

    ``reading`` is the name of a kept reading, or None; ``fields`` are those of a new one.
    ``doubts`` are what is concluded from the numbers alone, each in words.
    """

    original: Path
    kind: str
    why: str
    reading: str | None = None
    fields: dict[str, Value] | None = None
    said: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    flight_number: int | None = None
    flights: int | None = None
    warnings: tuple[Problem, ...] = ()
    log: FlightLog | None = None
    record: FiringRecord | None = None


def proposed_kind(original: Path, told: Told) -> ProposedKind:
    """Return what kind of record a file is: as told, or by its bytes and columns.

    Raises ``ProblemError`` where it cannot be read.
    """
    if (kind := _told_kind(told)) is not None:
        return ProposedKind(kind, "as told", sure=True)
    return propose_kind(original)


def look_into(
    original: Path, told: Told, readings: Sequence[Reading], *, progress: Progress | None = None
) -> Looked:
    """Read a file as what it is told to be, or as what it seems to be; nothing is kept of it.

    ``readings`` are those that the campaign keeps; ``progress`` is called with bytes done and all.

    Raises ``ProblemError`` where the file cannot be read as what it is.
    """
    proposed = proposed_kind(original, told)
    looked = Looked(original, proposed.kind, proposed.why)
    if not proposed.sure:
        looked.doubts = [f"what it is, {proposed.kind} as it seems: {proposed.why}"]
    try:
        if proposed.kind == "log":
            looked.doubts += _read_log(looked, told, readings, progress)
        elif proposed.kind == "firing":
            _read_firing(looked, told, readings)
    except ProblemError as error:
        raise ProblemError([_or_unread(each) for each in error.problems]) from error
    if proposed.kind == "other" and told.kind is None:
        looked.said = [f"not read: {proposed.why}; if it is a log or a firing, say so with --as"]
    return looked


def _told_kind(told: Told) -> str | None:
    """Return the kind that a file is said to be, by name or by what its columns are."""
    if told.kind is not None:
        return told.kind
    if told.force is not None:
        return "firing"
    return "log" if {"pressure", "height"} & set(told.options.columns) else None


def _or_unread(problem: Problem) -> Problem:
    """Say with a problem that the file can be kept without being read."""
    return replace(problem, mend=f"{problem.mend}; or keep it unread: --as other")


def _kept(original: Path, told: Told, readings: Sequence[Reading], kind: str) -> Reading | None:
    """Return the reading to take: the one that is named, or one of a file of this shape."""
    if told.tells_layout or told.force is not None:
        return None
    if told.reading is not None:  # one that is kept, or the name for a new one
        return next((each for each in readings if each.name == told.reading), None)
    return known_reading(original, readings, kind)


def _read_log(
    looked: Looked, told: Told, readings: Sequence[Reading], progress: Progress | None
) -> list[str]:
    """Read a log; return what of its columns is concluded from the numbers alone."""
    kept = _kept(looked.original, told, readings, "log")
    number = told.options.flight_number
    options = told.options if kept is None else replace(log_options(kept), flight_number=number)
    log = read_flight_log(looked.original, options, progress=progress)
    looked.log = log
    looked.warnings, looked.flights = log.warnings, log.flights
    looked.flight_number = options.flight_number
    looked.said = list(_log_words(log, kept))
    if kept is not None:
        looked.reading = kept.name
        return []
    looked.fields = reading_of_log(log, options)
    return [
        f"{each.doubt} of column {each.number} ({each.name}): {each.why}"
        for each in log.columns
        if each.doubt
    ]


def _log_words(log: FlightLog, kept: Reading | None) -> Iterator[str]:
    for each in log.columns:
        if kept is None or each.role == "not used":
            yield each.describe()
        else:
            yield each.describe(f"by the reading {kept.name!r}")
    yield from log.notes
    rows = f"{len(log.time_s):,} rows, {log.time_s[-1] - log.time_s[0]:.6g} s"
    yield f"{rows}; {log.flights or 'no'} flight{'' if log.flights == 1 else 's'} found"


def _read_firing(looked: Looked, told: Told, readings: Sequence[Reading]) -> None:
    """Read the record of a firing, which refuses what it does not tell itself."""
    kept = _kept(looked.original, told, readings, "firing")
    options: dict[str, Any] = firing_options(kept)
    if kept is None and (told.tells_layout or told.force is not None):
        looked.fields = reading_of_firing(looked.original, told.options, told.force)
        options = firing_options(_as_reading(looked.fields))
    record = read_firing_record(looked.original, **options)
    looked.reading = None if kept is None else kept.name
    looked.said, looked.record = list(record.notes), record


def _as_reading(fields: dict[str, Value]) -> Reading:
    """Return fields as the reading that they would be in ``readings.toml``."""
    values = {f"reading.0.{word}": value for word, value in fields.items()}
    text = with_values("", {"reading.0.name": "as told", **values}, READINGS_FILE)
    return read_text(text, READINGS_FILE, Readings).reading[0]
