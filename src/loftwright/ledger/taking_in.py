"""Flights into the ledger, from their folders: flights/<name>/ with flight.toml and build/.

The folder stays the truth for what was recorded: the ledger keeps what it said when it was taken
in. A record that was changed since is taken in anew; a snapshot of the build, or the bytes of
evidence, that are not what they were are told, not followed.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.flights import BUILD, FLIGHT_FILE, FLIGHTS, flights_of
from loftwright.documents.reading import check_source, read_text
from loftwright.documents.snapshot import snapshot_digest
from loftwright.documents.source import LARGEST, Source, read_bytes, read_content
from loftwright.errors import Problem, ProblemError, Where
from loftwright.ledger.contents import Contents
from loftwright.ledger.entries import FlightEntry
from loftwright.ledger.ledger import Ledger, now
from loftwright.ledger.problems import refused

__all__ = ["TakenIn", "build_digest", "record_of", "take_in"]

MOST_DOCUMENTS = 64  # of one build; a campaign has a dozen


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What was found in the folders: names of flights, and problems with their files.

    ``waiting`` are those that could not be taken in because nothing can be written.
    """

    new: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass(slots=True)
class _Found:
    """A flight as it stands in its folder, not yet read."""

    name: str
    source: Source
    content: bytes
    sha256: str
    documents: dict[str, bytes] = field(default_factory=dict)

    @property
    def build(self) -> str | None:
        return build_digest(self.documents) if self.documents else None


def take_in(ledger: Ledger, *, accept: Collection[str] = ()) -> TakenIn:
    """Take in every flight whose folder holds something that the ledger does not know yet.

    Each flight is taken in whole or not at all. ``accept`` names flights whose snapshot of the
    build counts as it stands now. Flights with problems are left out and told in
    `TakenIn.problems`; what reads is taken in all the same.

    Raises
    ------
    ProblemError
        ``ledger-no-such`` when ``accept`` names no flight, and as `Ledger.writing`.
    """
    for name in accept:
        if name not in flights_of(ledger.folder):
            mend = f"give the name of a folder below {FLIGHTS}/"
            raise refused("ledger-no-such", f"there is no flight {name!r}", mend)
    known = {each.name: each for each in ledger.flights()}
    problems: list[Problem] = []
    names: dict[str, list[str]] = {"new": [], "changed": [], "waiting": []}
    for found in _folders(ledger.folder, problems):
        entry = known.get(found.name)
        moved = entry is not None and entry.build not in (None, found.build)
        if moved and found.name not in accept:
            problems.append(_moved(found.name))
            found.documents = {}
        same = entry is not None and entry.record == found.sha256
        if same and (not found.documents or entry is None or entry.build == found.build):
            continue
        record = _read(found, problems)
        if record is None:
            continue
        kind = "new" if entry is None else "changed"
        if ledger.may_write:
            with ledger.writing() as database:
                _keep(database, found, record)
        names[kind if ledger.may_write else "waiting"].append(found.name)
    return TakenIn(
        new=tuple(names["new"]),
        changed=tuple(names["changed"]),
        waiting=tuple(names["waiting"]),
        problems=tuple(problems),
    )


def record_of(ledger: Contents, flight: FlightEntry) -> FlightRecord:
    """Return flight.toml of a flight as it was taken in. Raises ``ProblemError``."""
    text = ledger.document(flight.record).decode("utf-8-sig")
    return read_text(text, f"{FLIGHTS}/{flight.name}/{FLIGHT_FILE}", FlightRecord)


def build_digest(documents: dict[str, bytes]) -> str:
    """Return the digest of a build: of the names of its documents, each with that of its bytes."""
    return snapshot_digest(
        {file: hashlib.sha256(content).hexdigest() for file, content in documents.items()}
    )


def _folders(folder: Path, problems: list[Problem]) -> Iterator[_Found]:
    """Yield every flight whose files can be had; what cannot is noted."""
    for name in flights_of(folder):
        place = folder / FLIGHTS / name
        source = Source(f"{FLIGHTS}/{name}/{FLIGHT_FILE}")
        content = read_bytes(place / FLIGHT_FILE, source)
        if content is None:
            problems += source.problems
            continue
        found = _Found(name, source, content, hashlib.sha256(content).hexdigest())
        try:
            found.documents = dict(_documents(place / BUILD))
        except ProblemError as error:
            problems += error.problems
        yield found


def _read(found: _Found, problems: list[Problem]) -> FlightRecord | None:
    """Read a flight's record; None where it has problems, which are noted."""
    read_content(found.content, found.source)
    record = check_source(found.source, FlightRecord)
    if found.source.broken or not isinstance(record, FlightRecord):
        problems += found.source.problems
        return None
    if record.build is not None and found.documents and found.build != record.build:
        problems.append(_not_as_recorded(found.name))
    return record


def _documents(folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield the documents of a snapshot, by their names in it; nothing where there is none."""
    from loftwright.documents.files import read_regular

    files = sorted(path for path in folder.rglob("*.toml") if path.is_file())
    if len(files) > MOST_DOCUMENTS:
        where = Where(file=str(folder))
        message = f"{len(files)} documents are more than any build has"
        mend = "keep the documents of one campaign there, and nothing else"
        raise ProblemError([Problem("ledger-build", message, where, mend)])
    for path in files:
        yield path.relative_to(folder).as_posix(), read_regular(path, LARGEST)


def _moved(name: str) -> Problem:
    where = Where(file=f"{FLIGHTS}/{name}/{BUILD}")
    message = "these documents are not those that were taken in; the ledger keeps the earlier ones"
    mend = f"put them back; or, where these are the right ones: --accept {name}"
    return Problem("ledger-build-changed", message, where, mend, "warning")


def _not_as_recorded(name: str) -> Problem:
    where = Where(file=f"{FLIGHTS}/{name}/{BUILD}")
    message = f"these documents are not those whose digest stands in {FLIGHT_FILE}"
    mend = "put the documents back as they flew"
    return Problem("ledger-build-changed", message, where, mend, "warning")


def _keep(database: sqlite3.Connection, found: _Found, record: FlightRecord) -> None:
    """Write a flight, its build and its evidence; what is there already stays."""
    _keep_document(database, found.content)
    build = found.build
    if build is not None:
        database.execute("INSERT OR IGNORE INTO build VALUES (?)", (build,))
        for file, content in found.documents.items():
            row = (build, file, _keep_document(database, content))
            database.execute("INSERT OR IGNORE INTO build_document VALUES (?, ?, ?)", row)
    moment = now()
    told = (record.name, record.flown, record.asked, record.outcome, record.note, found.sha256)
    database.execute(
        "INSERT INTO flight (name, number, title, flown, asked, outcome, note, record, build, "
        "taken_in) SELECT ?, coalesce(max(number), 0) + 1, ?, ?, ?, ?, ?, ?, ?, ? FROM flight "
        "WHERE true ON CONFLICT (name) DO UPDATE SET title = excluded.title, "
        "flown = excluded.flown, asked = excluded.asked, outcome = excluded.outcome, "
        "note = excluded.note, record = excluded.record, "
        "build = coalesce(excluded.build, build)",
        (found.name, *told, build, moment),
    )
    database.executemany(
        "INSERT OR IGNORE INTO evidence (flight, file, sha256, size, kind, source, said, taken_in) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (found.name, each.file, each.sha256.lower(), each.size, each.kind, each.source,
             each.said, moment)
            for each in record.evidence
        ],
    )  # fmt: skip


def _keep_document(database: sqlite3.Connection, content: bytes) -> str:
    sha256 = hashlib.sha256(content).hexdigest()
    database.execute("INSERT OR IGNORE INTO document VALUES (?, ?)", (sha256, content))
    return sha256
