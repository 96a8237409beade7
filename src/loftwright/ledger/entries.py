"""What stands in a ledger, as values: times and days as text (ISO 8601), None where not told."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "SURENESS",
    "Action",
    "BuildEntry",
    "Decision",
    "EvidenceEntry",
    "EvidenceName",
    "Figure",
    "Finding",
    "FlightEntry",
    "Judgement",
]

SURENESS = ("known", "likely", "possible")


@dataclass(frozen=True, slots=True)
class EvidenceName:
    """Which file is meant: of which flight, by its name there, with the digest of its bytes."""

    flight: str
    file: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceEntry:
    """A file that a flight left behind, as flight.toml has it; ``size`` in bytes."""

    flight: str
    file: str
    sha256: str
    size: int
    kind: str
    source: str | None = None
    said: str | None = None
    taken_in: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightEntry:
    """A flight. ``name`` is that of its folder below flights/, ``title`` what people call it.

    ``record`` is the digest of flight.toml as it was taken in, ``build`` that of the documents
    that were flown, None where no snapshot of them was kept. ``number`` counts as they came in.
    """

    name: str
    number: int
    title: str
    flown: str | None
    asked: str | None
    outcome: str
    note: str | None
    record: str
    build: str | None
    taken_in: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildEntry:
    """Documents that flew together: their names, each with the digest of its content."""

    sha256: str
    documents: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was found, how sure that is (of `SURENESS`), and what shows it.

    ``explains`` names the function (of `loftwright.ledger.functions.FUNCTIONS`) whose failure in
    that flight it is the cause of. One that is ``unsettled`` has to be closed.
    """

    number: int
    noted: str
    what: str
    sure: str
    flight: str | None = None
    who: str | None = None
    explains: str | None = None
    unsettled: bool = False
    closed: str | None = None
    closed_by: str | None = None
    closed_why: str | None = None
    evidence: tuple[EvidenceName, ...] = ()

    @property
    def is_open(self) -> bool:
        """Whether it still has to be settled."""
        return self.unsettled and self.closed is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """What is to be done, by whom, until when; closed by which flight, or why, and when.

    ``finding`` is the number of the finding that calls for it.
    """

    number: int
    noted: str
    what: str
    who: str | None = None
    due: str | None = None
    closed: str | None = None
    closed_by: str | None = None
    closed_why: str | None = None
    finding: int | None = None

    @property
    def is_open(self) -> bool:
        """Whether it is still to be done."""
        return self.closed is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What was decided, why, by whom, on which evidence."""

    number: int
    noted: str
    what: str
    why: str
    who: str | None = None
    evidence: tuple[EvidenceName, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What somebody said of one function in one flight; the last one counts."""

    number: int
    noted: str
    flight: str
    function: str
    outcome: str
    why: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number of a flight, in SI, with its unit in its name: ``apogee_m``; made by what."""

    flight: str
    name: str
    made_by: str
    value: float
    sd: float | None
    noted: str
