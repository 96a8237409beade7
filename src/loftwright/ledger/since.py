"""What changed in the documents since a flight was flown."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from loftwright.documents.differences import Difference
from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.flights import BUILD, FLIGHT_FILE, flight_folder, flights_of, home_of
from loftwright.documents.history import content_of
from loftwright.documents.named import documents_named
from loftwright.documents.reading import read_document
from loftwright.documents.source import load
from loftwright.errors import Problem, ProblemError, Where
from loftwright.ledger.changes import build_changes
from loftwright.ledger.functions import on_stand

__all__ = ["Since", "changes_since", "last_flight"]


@dataclass(frozen=True, slots=True)
class Since:
    """A flight, when it was flown, and what differs now: ``one`` is as flown, ``other`` as it is.

    ``kept`` tells whether the documents that flew are kept; without them nothing can be said.
    """

    flight: str
    flown: str | None
    changes: tuple[Difference, ...]
    kept: bool = True


def last_flight(folder: Path) -> str | None:
    """Return the name of the flight that was flown last, by its date and then its name.

    A flight without a date comes before all that have one. None where none is kept; a firing on
    the stand is none.
    """
    flights = [name for name in flights_of(folder) if not _stood(folder, name)]
    return max(flights, key=lambda name: (_flown(folder, name) or "", name), default=None)


def changes_since(folder: Path, flight: str) -> Since:
    """Say what differs between the documents of today and those that flew.

    Raises ``ProblemError`` with ``record-no-flight`` where there is no such flight, and where the
    documents of today cannot be read at all.
    """
    home = home_of(folder)
    place = flight_folder(home, flight)
    if not (place / FLIGHT_FILE).is_file():
        mend = f"give one of {', '.join(flights_of(home))}" if flights_of(home) else "record one"
        problem = Problem("record-no-flight", "there is no such flight", Where(value=flight), mend)
        raise ProblemError([problem])
    flown = _documents(place / BUILD) if (place / BUILD).is_dir() else {}
    if not flown:
        return Since(flight, _flown(home, flight), (), kept=False)
    differing = build_changes(flown, _documents(home))
    return Since(flight, _flown(home, flight), tuple(differing))


def _documents(folder: Path) -> dict[str, bytes]:
    """Return the documents that the campaign in ``folder`` names, as far as they are there."""
    files = [each.file for each in documents_named(folder).values()]
    contents = {file: content_of(folder / file) for file in files}
    return {file: content for file, content in contents.items() if content is not None}


def _stood(folder: Path, name: str) -> bool:
    try:
        return on_stand(read_document(flight_folder(folder, name) / FLIGHT_FILE, FlightRecord))
    except ProblemError:  # what does not read is told by others
        return False


def _flown(folder: Path, name: str) -> str | None:
    path = flight_folder(folder, name) / FLIGHT_FILE
    try:
        return read_document(path, FlightRecord).flown
    except ProblemError:
        told = (load(path, FLIGHT_FILE).data or {}).get("flown")
        return told if isinstance(told, str) else None
