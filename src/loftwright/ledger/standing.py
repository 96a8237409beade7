"""Where a campaign stands: its documents, flights, what is open, and what was worked out so far.

Read quickly and without writing: flights from their folders, the ledger where there is one, notes
of what commands worked out. A document, a flight or a ledger that does not read is told as a
problem; everything else is told all the same.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from loftwright.documents.campaign import Campaign, CampaignFile
from loftwright.documents.files import read_regular
from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.flights import (
    BUILD,
    FLIGHT_FILE,
    FLIGHTS,
    FORECAST_FILE,
    flights_of,
    home_of,
)
from loftwright.documents.named import documents_named
from loftwright.documents.reading import CAMPAIGN_FILE, check_source, read_document
from loftwright.documents.source import LARGEST, Source, read_content
from loftwright.documents.template import is_mostly_example
from loftwright.documents.worked import Worked, flying, what_flies, worked_out
from loftwright.errors import Problem, ProblemError
from loftwright.ledger.entries import Action, Figure, Finding
from loftwright.ledger.functions import FAILED, NOT_KNOWN, Outcome, has_flown, on_stand, outcomes_of
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.opening import FILE

if TYPE_CHECKING:
    from loftwright.flight.check import CheckResult

__all__ = ["FlightSeen", "Standing", "standing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightSeen:
    """A flight as its folder and the ledger show it.

    ``logs`` are the names of its logs. ``problem`` is why its record does not read; nothing else
    is known of it then. ``is_debriefed`` and ``is_kept`` tell of a debrief of the record as it
    stands, and that its figures are in the ledger; ``has_changed`` that the figures there are of
    the record as it was before; ``is_sought`` that causes were looked for.
    ``explained`` are the functions whose failure a finding explains with more than a guess.
    ``on_stand`` tells that it was a firing, which is no flight.
    ``is_present`` tells that it flew, or is to fly, with the documents as they stand.
    """

    name: str
    title: str = ""
    flown: str | None = None
    outcome: str = "not judged"
    note: str | None = None
    has_flown: bool = False
    on_stand: bool = False
    logs: tuple[str, ...] = ()
    outcomes: Mapping[str, Outcome] = field(default_factory=dict)
    figures: tuple[Figure, ...] = ()
    is_debriefed: bool = False
    is_kept: bool = False
    has_changed: bool = False
    is_sought: bool = False
    explained: frozenset[str] = frozenset()
    is_present: bool = False
    is_forecast: bool = False
    problem: Problem | None = None

    @property
    def unexplained(self) -> tuple[str, ...]:
        """The functions that failed, and nobody knows why."""
        failed = (name for name, each in self.outcomes.items() if each.outcome == FAILED)
        return tuple(name for name in failed if name not in self.explained)

    @property
    def not_known(self) -> tuple[str, ...]:
        """The functions of which nobody said how they went; not known is an answer too."""
        if not self.has_flown:
            return ()
        found = self.outcomes.items()
        return tuple(name for name, own in found if own.outcome == NOT_KNOWN and not own.judged)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a campaign stands on ``day``.

    ``head`` is campaign.toml where that reads, ``campaign`` all documents where they do;
    ``broken`` says what is wrong with them; ``examples`` are the files in which most is still what
    a new campaign begins with. ``checked`` are the check's figures, ``doubts`` what it
    warns of, and promises of programs that can be broken. Flights are in
    the order in which they were flown, those not flown last. ``forecast`` and ``rehearsal`` are
    notes of the last ones of the documents as they stand. ``needs_programs`` tells that there are
    programs to rehearse; ``flies`` is False for a vehicle that only stands on the stand.
    ``changed`` is the flight that the documents have changed since, None where they did not.
    """

    home: Path
    day: date
    head: CampaignFile | None = None
    campaign: Campaign | None = None
    broken: tuple[Problem, ...] = ()
    examples: tuple[str, ...] = ()
    doubts: tuple[Problem, ...] = ()
    checked: CheckResult | None = None
    flies: bool = True
    needs_programs: bool = False
    flights: tuple[FlightSeen, ...] = ()
    has_ledger: bool = False
    ledger_problem: Problem | None = None
    findings: tuple[Finding, ...] = ()
    actions: tuple[Action, ...] = ()
    forecast: Worked | None = None
    is_forecast: bool = False
    rehearsal: Worked | None = None
    firing: Worked | None = None
    changed: str | None = None

    @property
    def last_flight(self) -> FlightSeen | None:
        """The last flight that took place, as far as its record tells."""
        return next((each for each in reversed(self.flights) if each.has_flown), None)

    @property
    def begun(self) -> FlightSeen | None:
        """A flight that was begun with the documents as they stand, and not flown yet."""
        waiting = (each for each in self.flights if not each.has_flown and each.is_present)
        return next((each for each in waiting if not each.on_stand and each.problem is None), None)


def standing(folder: Path, today: date | None = None) -> Standing:
    """Return where the campaign in ``folder`` (or whose campaign.toml it is) stands.

    Nothing is written, and no numeric library loaded. Raises ``ProblemError``, ``file-no-folder``
    or ``file-missing``, where there is no campaign at all.
    """
    home = home_of(folder)
    _refuse_none(home)
    found = _documents(Standing(home=home, day=today or date.today()))
    present = _flying(found.campaign)
    notes = worked_out(home)
    found = replace(found, flights=tuple(_flights(home, present, notes)))
    found = _with_ledger(found)
    last = found.last_flight
    return replace(
        found,
        forecast=_last_note(notes, "forecast", present),
        rehearsal=_last_note(notes, "rehearse", present),
        firing=_last_note(notes, "firing", present),
        is_forecast=_last_note(notes, "forecast", present) is not None
        or any(each.is_present and each.is_forecast for each in found.flights),
        changed=last.name if present and last and not last.is_present else None,
    )


def _refuse_none(home: Path) -> None:
    from loftwright.ledger.problems import refused

    if not home.is_dir():
        mend = "give the folder that holds campaign.toml"
        raise refused("file-no-folder", "there is no such folder", mend, home)
    if not (home / CAMPAIGN_FILE).exists() and not (home / FILE).exists():
        message = f"there is no {CAMPAIGN_FILE} in {home}"
        raise refused("file-missing", message, "give a campaign folder", CAMPAIGN_FILE)


# ---------------------------------------------------------------- documents


def _documents(found: Standing) -> Standing:
    from loftwright.rehearsal.checking import check_campaign

    checked = check_campaign(found.home)
    campaign, vehicle = checked.campaign, checked.vehicle
    if campaign is None or vehicle is None:
        return replace(found, head=_head(found.home), broken=checked.unread)
    return replace(
        found,
        head=campaign.head,
        campaign=campaign,
        broken=checked.unread,
        examples=tuple(_examples(found.home)),
        doubts=(*vehicle.warnings, *checked.refuted),
        checked=vehicle,
        flies=bool(campaign.vehicle.fins),
        needs_programs=bool(campaign.programs),
    )


def _examples(home: Path) -> Iterator[str]:
    """Yield the documents that nobody has filled in yet; a program is a whole of its own."""
    for root, named in documents_named(home).items():
        if root == "campaign" or root.startswith("program."):
            continue
        if is_mostly_example(read_regular(home / named.file, LARGEST), named.model):
            yield named.file


def _head(home: Path) -> CampaignFile | None:
    try:
        return read_document(home / CAMPAIGN_FILE, CampaignFile)
    except ProblemError:  # it is told with the other problems of the folder
        return None


def _flying(campaign: Campaign | None) -> str:
    """Return the digest of what flies as the documents stand; empty where they are broken."""
    return "" if campaign is None else flying(campaign)


def _flew(build: Mapping[str, bytes]) -> str:
    """Return the digest of what flew; empty where the documents were not kept, or are broken."""
    try:
        head = tomllib.loads(build[CAMPAIGN_FILE].decode("utf-8-sig"))
    except (KeyError, ValueError):
        return ""
    hashes = {file: hashlib.sha256(content).hexdigest() for file, content in build.items()}
    return what_flies(hashes, head)


def _last_note(notes: tuple[Worked, ...], verb: str, of: str) -> Worked | None:
    own = (each for each in reversed(notes) if each.verb == verb and each.of == of and of)
    return next((each for each in own if each.is_whole), None)


# ---------------------------------------------------------------- flights


def _flights(home: Path, present: str, notes: tuple[Worked, ...]) -> Iterator[FlightSeen]:
    """Yield the flights in the order in which they were flown; those not flown come last."""
    seen = [_flight(home, name, present, notes) for name in flights_of(home)]
    yield from sorted(seen, key=lambda each: (not each.has_flown, each.flown or "", each.name))


def _flight(home: Path, name: str, present: str, notes: tuple[Worked, ...]) -> FlightSeen:
    place = home / FLIGHTS / name
    source = Source(f"{FLIGHTS}/{name}/{FLIGHT_FILE}")
    try:
        content = read_regular(place / FLIGHT_FILE, LARGEST, name=source.file)
        build = _build(place / BUILD)
    except ProblemError as error:
        return FlightSeen(name=name, title=name, problem=error.problems[0])
    read_content(content, source)
    record = check_source(source, FlightRecord)
    if source.broken or not isinstance(record, FlightRecord):
        worst = min(source.problems, key=lambda each: each.severity != "error")
        return FlightSeen(name=name, title=name, problem=worst)
    of = hashlib.sha256(content).hexdigest()
    every = [each for each in notes if each.flight == name]
    own = [each for each in every if each.of == of]
    return FlightSeen(
        name=name,
        title=record.name,
        flown=record.flown,
        outcome=record.outcome,
        note=record.note,
        has_flown=has_flown(record),
        on_stand=on_stand(record),
        logs=tuple(each.file for each in record.evidence if each.kind == "log"),
        outcomes=outcomes_of(record, build),
        is_debriefed=any(each.verb == "debrief" for each in own),
        is_kept=_kept(own),
        has_changed=_kept(every) and not _kept(own),
        is_sought=any(each.verb == "causes" for each in own),
        is_present=bool(present) and _flew(build) == present,
        is_forecast=(place / FORECAST_FILE).is_file(),
    )


def _kept(notes: list[Worked]) -> bool:
    """Tell whether the figures of a debrief went into the ledger."""
    return any(each.verb == "debrief" and each.is_kept for each in notes)


def _build(folder: Path) -> dict[str, bytes]:
    """Return the documents as flown, by file; none where they are not kept."""
    from loftwright.ledger.taking_in import MOST_DOCUMENTS

    files = sorted(path for path in folder.rglob("*.toml") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): read_regular(path, LARGEST)
        for path in files[:MOST_DOCUMENTS]
    }


# ---------------------------------------------------------------- ledger


def _with_ledger(found: Standing) -> Standing:
    """Return what the ledger adds, where there is one; what is amiss with it is told."""
    if not (found.home / FILE).exists():
        return found
    found = replace(found, has_ledger=True)
    try:
        with open_ledger(found.home) as ledger:
            findings, actions = ledger.findings(), ledger.actions(open_only=True)
            judged: dict[str, dict[str, str]] = {}
            for each in ledger.judgements():
                judged.setdefault(each.flight, {})[each.function] = each.outcome
            figures = ledger.figures()
    except ProblemError as error:
        return replace(found, ledger_problem=error.problems[0])
    flights = tuple(
        _known(found.home, each, judged.get(each.name, {}), findings, figures)
        for each in found.flights
    )
    return replace(
        found,
        findings=tuple(each for each in findings if each.is_open),
        actions=actions,
        flights=flights,
    )


def _known(
    home: Path,
    seen: FlightSeen,
    judged: Mapping[str, str],
    findings: tuple[Finding, ...],
    figures: tuple[Figure, ...],
) -> FlightSeen:
    """Return a flight with what the ledger tells of it."""
    if seen.problem is not None:
        return seen
    own = tuple(each for each in figures if each.flight == seen.name)
    explained = frozenset(
        each.explains
        for each in findings
        if each.flight == seen.name and each.explains and each.sure != "possible"
    )
    outcomes = _judged(home, seen, judged) if judged else seen.outcomes
    # A ledger from another place comes without notes: figures tell of a debrief too.
    told = any(each.made_by == "debrief" for each in own) and not seen.has_changed
    return replace(
        seen,
        has_flown=seen.has_flown or bool(judged),
        outcomes=outcomes,
        figures=own,
        explained=explained,
        is_debriefed=seen.is_debriefed or told,
        is_kept=seen.is_kept or told,
    )


def _judged(home: Path, seen: FlightSeen, judged: Mapping[str, str]) -> Mapping[str, Outcome]:
    """Return how functions went with what somebody said of them."""
    place = home / FLIGHTS / seen.name
    record = read_document(place / FLIGHT_FILE, FlightRecord)
    return outcomes_of(record, _build(place / BUILD), judged)
