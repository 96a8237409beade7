"""A flight that a campaign keeps: what was flown, what was recorded, what people told of it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from loftwright.documents.campaign import Campaign
from loftwright.documents.files import open_regular
from loftwright.documents.finding import listed
from loftwright.documents.flight_record import FlightEvidence, FlightRecord
from loftwright.documents.flights import (
    BUILD,
    EVIDENCE,
    FLIGHT_FILE,
    FLIGHTS,
    FORECAST_FILE,
    flight_folder,
    flights_of,
    home_of,
)
from loftwright.documents.reading import check_source, read_campaign
from loftwright.documents.readings import Reading
from loftwright.documents.snapshot import snapshot_digest
from loftwright.documents.source import Source, load
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.kept_reading import log_options, reading_called, readings_of
from loftwright.evidence.log_columns import LogOptions

__all__ = [
    "KeptFile",
    "KeptLog",
    "RecordedFlight",
    "digest_of",
    "flights_of",
    "read_recorded_flight",
    "source_fault",
]

AT_ONCE = 1 << 20  # bytes


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file that is kept with a flight, its entry, and the reading of its columns if any."""

    path: Path
    entry: FlightEvidence
    reading: Reading | None = None


@dataclass(frozen=True, slots=True)
class KeptLog:
    """A log that is kept with a flight, with how it is to be read (`read_flight_log`)."""

    path: Path
    entry: FlightEvidence
    options: LogOptions


@dataclass(frozen=True, slots=True)
class RecordedFlight:
    """A flight as it is kept.

    ``campaign`` is that of the documents as flown, byte for byte; ``forecast`` is the file with
    what was forecast of them, None where there is none. ``files`` are all that was kept,
    ``logs`` those of kind "log".
    """

    name: str
    folder: Path
    record: FlightRecord
    campaign: Campaign
    logs: tuple[KeptLog, ...]
    forecast: Path | None
    files: tuple[KeptFile, ...] = ()
    warnings: tuple[Problem, ...] = ()


def read_recorded_flight(campaign_folder: Path, name: str) -> RecordedFlight:
    """Read the flight called ``name`` of the campaign in ``campaign_folder``.

    Every file is held against the digest that it had when it was taken in.

    Raises
    ------
    ProblemError
        With every problem found: there is no such flight, its record is wrong, a file is missing
        or is not what was taken in, the documents as flown have been changed, a reading is gone.
    """
    folder = flight_folder(campaign_folder, name)
    if not (folder / FLIGHT_FILE).is_file():
        raise ProblemError([_no_such_flight(campaign_folder, name)])
    shown = f"{FLIGHTS}/{name}/{FLIGHT_FILE}"
    source = load(folder / FLIGHT_FILE, shown)
    record = check_source(source, FlightRecord)
    if source.broken or record is None:
        raise ProblemError(source.problems)
    problems = [*source.problems, *_files_not_as_taken_in(folder, record, source)]
    files, unread = _kept_files(home_of(campaign_folder), folder, record, source)
    problems += unread
    campaign = _build(folder, record, name, problems)
    if campaign is not None:
        problems += _unknown_sources(campaign, record, source)
    if campaign is None or any(each.severity == "error" for each in problems):
        raise ProblemError(problems)
    forecast = folder / FORECAST_FILE
    return RecordedFlight(
        name=name,
        folder=folder,
        record=record,
        campaign=campaign,
        logs=tuple(_log(each) for each in files if each.entry.kind == "log"),
        forecast=forecast if forecast.is_file() else None,
        files=tuple(files),
        warnings=tuple(problems),
    )


def digest_of(path: Path) -> tuple[str, int]:
    """Return the SHA-256 of a regular file and its size in bytes; read a megabyte at a time."""
    digest, size = hashlib.sha256(), 0
    with open_regular(path, name=path.name) as stream:
        while content := stream.read(AT_ONCE):
            digest.update(content)
            size += len(content)
    return digest.hexdigest(), size


def _unknown_sources(campaign: Campaign, record: FlightRecord, source: Source) -> Iterator[Problem]:
    """Yield a problem for each entry from a controller that the documents do not have."""
    for path, entry in listed("evidence", record.evidence):
        if entry.source is not None and (fault := source_fault(campaign, entry.source)):
            where = source.where((*path, "source"))
            yield Problem("record-no-source", fault[0], where, fault[1])


def source_fault(campaign: Campaign, name: str) -> tuple[str, str] | None:
    """Say why no controller is called ``name``, and the mend; None where one is."""
    from loftwright.documents.build import closest

    if campaign.avionics is None:
        return "the campaign has no avionics", "leave the source out: the recorder flew by itself"
    names = [each.name for each in campaign.avionics.controller]
    if name in names:
        return None
    near = closest(name, names)
    mend = f'did you mean "{near}"?' if near else f"the controllers are {', '.join(names)}"
    return f"the avionics have no controller {name!r}", mend


def _log(kept: KeptFile) -> KeptLog:
    return KeptLog(kept.path, kept.entry, log_options(kept.reading, kept.entry))


def _no_such_flight(campaign_folder: Path, name: str) -> Problem:
    from loftwright.documents.build import closest

    home = home_of(campaign_folder)
    if not home.is_dir():
        message, mend = "there is no such folder", "give the folder that holds campaign.toml"
        return Problem("file-no-folder", message, Where(file=str(home)), mend)
    known = flights_of(campaign_folder)
    near = closest(name, known)
    mend = f"begin it: loftwright record {campaign_folder} {name}"
    if known:
        mend = f'did you mean "{near}"?' if near else f"the flights are {', '.join(known[:20])}"
    where = Where(field="FLIGHT", value=name)
    return Problem("record-no-flight", f"the campaign keeps no flight {name!r}", where, mend)


def _files_not_as_taken_in(folder: Path, record: FlightRecord, source: Source) -> Iterator[Problem]:
    """Yield what is wrong with the kept files, and a warning for each that has no entry."""
    for path, entry in listed("evidence", record.evidence):
        kept = folder / EVIDENCE / entry.file
        if not kept.is_file():
            where, mend = source.where((*path, "file")), "put it back, or take its entry out"
            message = f"{EVIDENCE}/{entry.file} is not there"
            yield Problem("record-file-gone", message, where, mend)
        elif digest_of(kept) != (entry.sha256, entry.size):
            where = source.where((*path, "sha256"))
            message = f"{EVIDENCE}/{entry.file} is not the file that was taken in"
            mend = "put the original back; a changed copy is taken in under a name of its own"
            yield Problem("record-file-changed", message, where, mend)
    names = {entry.file for entry in record.evidence}
    for stray in _strays(folder / EVIDENCE, names):
        message = f"{EVIDENCE}/{stray} has no entry, so it does not count"
        mend = "take it in: loftwright record with this file"
        where = Where(file=source.file)
        yield Problem("record-file-unlisted", message, where, mend, "warning")


def _strays(folder: Path, names: set[str]) -> list[str]:
    if not folder.is_dir():
        return []
    found = (each.name for each in folder.iterdir() if not each.name.startswith("."))
    return sorted(name for name in found if name not in names)


def _kept_files(
    home: Path, folder: Path, record: FlightRecord, source: Source
) -> tuple[list[KeptFile], list[Problem]]:
    """Return the files with their readings, and the problems of readings that are gone."""
    files: list[KeptFile] = []
    problems: list[Problem] = []
    wanted = any(entry.reading is not None for entry in record.evidence)
    readings = readings_of(home) if wanted else ()
    for path, entry in listed("evidence", record.evidence):
        reading = None
        if entry.reading is not None:
            try:
                where = source.where((*path, "reading"))
                reading = reading_called(entry.reading, readings, where)
            except ProblemError as error:
                problems += error.problems
        files.append(KeptFile(folder / EVIDENCE / entry.file, entry, reading))
    return files, problems


def _build(
    folder: Path, record: FlightRecord, name: str, problems: list[Problem]
) -> Campaign | None:
    """Return the campaign of the documents as flown; note what is wrong with them."""
    try:
        campaign = read_campaign(folder / BUILD)
    except ProblemError as error:
        problems += error.problems
        return None
    if record.build is not None and snapshot_digest(campaign.hashes) != record.build:
        message = "the documents as flown have been changed since"
        mend = "put them back as they were; what is to change goes into the campaign's own"
        where = Where(file=f"{FLIGHTS}/{name}/{BUILD}")
        problems.append(Problem("record-build-changed", message, where, mend))
    return campaign
