"""How each function went in each flight, with what flew: what reliability is reckoned from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loftwright.documents.flight_record import FlightRecord
from loftwright.ledger.contents import Contents
from loftwright.ledger.entries import FlightEntry
from loftwright.ledger.functions import Outcome, has_flown, outcomes_of
from loftwright.ledger.taking_in import record_of

__all__ = ["Flown", "flown", "flown_flights"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flown:
    """A flight with its record, the documents that flew (none: not known), and its outcomes.

    ``has_flown`` is False for one that was only begun: nothing tells that it took place.
    """

    entry: FlightEntry
    record: FlightRecord
    documents: Mapping[str, bytes]
    outcomes: Mapping[str, Outcome]
    has_flown: bool = True


def flown(ledger: Contents, flight: str) -> Flown:
    """Return one flight. Raises ``ProblemError``, ``ledger-no-such``."""
    return _flown(ledger, ledger.flight(flight))


def flown_flights(ledger: Contents) -> tuple[Flown, ...]:
    """Return all flights, also those only begun, in the order of `Contents.flights`."""
    return tuple(_flown(ledger, entry) for entry in ledger.flights())


def _flown(ledger: Contents, entry: FlightEntry) -> Flown:
    record = record_of(ledger, entry)
    documents = {} if entry.build is None else ledger.documents(entry.build)
    judged = {each.function: each.outcome for each in ledger.judgements(entry.name)}
    outcomes = outcomes_of(record, documents, judged)
    return Flown(
        entry=entry,
        record=record,
        documents=documents,
        outcomes=outcomes,
        has_flown=bool(judged) or has_flown(record),
    )
