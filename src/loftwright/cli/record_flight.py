"""The flight that ``loftwright record`` takes files into: its documents, and a forecast of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.errors import Problem

__all__ = ["begun", "campaign_flown", "forecast_kept", "refuse_source"]

MOST_TOLD = 8  # differences that are told one by one


def campaign_flown(folder: Path, flight: str) -> tuple[Campaign, list[Problem]]:
    """Return the documents that count, as flown where they are kept, and what differs since."""
    from loftwright.documents import read_campaign
    from loftwright.documents.flights import BUILD, FLIGHT_FILE, flight_folder

    target = flight_folder(folder, flight)
    if not (target / FLIGHT_FILE).is_file():
        return read_campaign(folder), []
    flown = read_campaign(target / BUILD)
    return flown, _changes(flown, folder)


def _changes(flown: Campaign, folder: Path) -> list[Problem]:
    """Say in words what differs between the documents as flown and those of now."""
    from loftwright.documents import read_campaign
    from loftwright.documents.differences import differences, texts
    from loftwright.errors import Problem, ProblemError, Where

    mend = "nothing, where this came after the flight; else begin the flight under another name"
    where = Where(file=str(flown.folder))
    try:
        now = read_campaign(folder)
    except ProblemError:
        message = "the campaign's documents of now have errors; those as flown count"
        return [Problem("record-documents-differ", message, where, mend, "warning")]
    if now.hashes == flown.hashes:
        return []
    found = differences(flown, now, texts(flown), texts(now))
    words = [
        f"{each.path} {each.one or 'not there'} -> {each.other or 'not there'}" for each in found
    ]
    more = len(words) - MOST_TOLD
    shown = "; ".join(words[:MOST_TOLD]) + (f"; and {more} more" if more > 0 else "")
    changed = sorted(
        name for name in {*now.hashes, *flown.hashes}
        if now.hashes.get(name) != flown.hashes.get(name)
    )  # fmt: skip
    shown = shown or f"comments, programs or spelling in {', '.join(changed)}"
    message = f"the documents have been changed since the flight was begun: {shown}"
    return [Problem("record-documents-differ", message, where, mend, "warning")]


def refuse_source(campaign: Campaign, source: str | None) -> None:
    """Raise ``ProblemError`` where no controller of the avionics is called ``source``."""
    if source is None:
        return
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.evidence.recorded_flight import source_fault

    if (fault := source_fault(campaign, source)) is not None:
        where = Where(field="--source", value=source)
        raise ProblemError([Problem("record-no-source", fault[0], where, fault[1])])


def begun(home: Path, flight: str, campaign: Campaign) -> tuple[Path, bool]:
    """Begin a flight where it is not begun; return its folder, and whether it was new."""
    from loftwright.documents.flights import flight_folder
    from loftwright.evidence.keeping import open_flight

    target = flight_folder(home, flight)
    if campaign.folder.parent == target:  # its own snapshot: it is begun
        return target, False
    return open_flight(campaign, flight)


def forecast_kept(target: Path, seed: int, flights: int) -> tuple[Path | None, list[Problem]]:
    """Keep a forecast of the documents as flown where none is kept, or say why there is none."""
    from dataclasses import replace
    from datetime import UTC, datetime

    from loftwright.documents import read_campaign
    from loftwright.documents.flights import BUILD, FORECAST_FILE
    from loftwright.errors import ProblemError

    kept = target / FORECAST_FILE
    if kept.is_file():
        return kept, []
    if _is_on_the_stand(target):
        return None, []
    from loftwright.cli.progress import Progress, tell_compiling
    from loftwright.debrief.scoring.kept_forecast import keep_forecast

    tell_compiling()
    progress = Progress("flights")
    made = datetime.now(UTC).isoformat(timespec="seconds")
    try:
        campaign = read_campaign(target / BUILD)
        made_file = keep_forecast(
            campaign, target, seed=seed, flights=flights, made=made, progress=progress
        )
    except ProblemError as error:
        return None, [replace(each, severity="warning") for each in error.problems]
    finally:
        progress.finish()
    return made_file, []


def _is_on_the_stand(target: Path) -> bool:
    """Tell whether firings are kept and no log: nothing flew, so there is nothing to forecast."""
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.documents.flights import FLIGHT_FILE
    from loftwright.documents.reading import read_document

    evidence = read_document(target / FLIGHT_FILE, FlightRecord).evidence
    kinds = {each.kind for each in evidence}
    return "firing" in kinds and "log" not in kinds
