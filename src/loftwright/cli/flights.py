"""Recorded flights for a fit: those that a campaign keeps, or a log by itself."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from loftwright.debrief.fitting.observed import FitInput
    from loftwright.documents import Campaign
    from loftwright.evidence.flight_log import LogOptions
    from loftwright.evidence.recorded_flight import KeptLog, RecordedFlight

__all__ = ["Flights", "bare_log", "kept_flights"]


@dataclass(frozen=True, slots=True)
class Flights:
    """Flights to learn from, the documents as each had them, and what is to be said of them."""

    inputs: tuple[FitInput, ...]
    builds: tuple[Campaign, ...]
    warnings: tuple[str, ...] = ()


def bare_log(
    campaign: Campaign,
    path: Path,
    controller: str | None,
    liftoff_s: float | None,
    options: LogOptions,
) -> Flights:
    """Return a log as a flight of the documents as they stand.

    Raises ``ProblemError`` where the log cannot be read, or no such controller has a barometer.
    """
    from loftwright.debrief.fitting.observed import FitInput
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.evidence.flight_log import read_flight_log

    _see_controller(campaign, controller)
    log = read_flight_log(path, options)
    record = FlightRecord(name=path.name)
    given = FitInput(path.name, campaign, record, log, controller, liftoff_s)
    return Flights((given,), (campaign,), tuple(each.message for each in log.warnings))


def _see_controller(campaign: Campaign, controller: str | None) -> None:
    from loftwright.errors import Problem, ProblemError, Where

    known = (
        [] if campaign.avionics is None else [each.name for each in campaign.avionics.controller]
    )
    if controller is not None and controller not in known:
        there = f"there are {', '.join(known)}" if known else "the campaign has no avionics"
        where = Where(field="--controller", value=controller)
        message = "the avionics have no controller of this name"
        raise ProblemError([Problem("command-usage", message, where, there)])


def kept_flights(
    folder: Path, campaign: Campaign, names: Sequence[str], settings: Sequence[str]
) -> Flights:
    """Return flights that the campaign keeps: those named, or all that have a log.

    Raises ``ProblemError`` where one cannot be read.
    """
    from loftwright.debrief.flown import flown_campaign
    from loftwright.evidence.recorded_flight import flights_of, read_recorded_flight

    found: list[FitInput] = []
    builds, warnings = [], []
    for name in names or flights_of(folder):
        flight = read_recorded_flight(folder, name)
        if not names and not flight.logs:
            continue
        builds.append(flight.campaign)
        warnings += _apart(campaign, flight)
        if settings:
            flight = replace(flight, campaign=_with(flight, settings))
        given, said = _input(flight, flown_campaign(flight))
        found.append(given)
        warnings += said
    return Flights(tuple(found), tuple(builds), tuple(warnings))


def _with(flight: RecordedFlight, settings: Sequence[str]) -> Campaign:
    from loftwright.cli.overrides import read_with
    from loftwright.documents.flights import BUILD

    return read_with(flight.folder / BUILD, settings)


def _input(flight: RecordedFlight, campaign: Campaign) -> tuple[FitInput, list[str]]:
    """Return a flight with the log that says most: one that a known controller wrote."""
    from loftwright.debrief.fitting.observed import FitInput
    from loftwright.evidence.flight_log import read_flight_log

    if not flight.logs:
        return FitInput(flight.name, campaign, flight.record), []
    known = set() if campaign.avionics is None else {c.name for c in campaign.avionics.controller}
    logs = sorted(flight.logs, key=lambda kept: kept.entry.source not in known)
    chosen = logs[0]
    said = [f"{flight.name}: {_named(each)} was not used beside it" for each in logs[1:]]
    source = chosen.entry.source
    # A recorder that the avionics do not know has an unknown barometer, not the first one's.
    controller = source if source in known else (source or None)
    log = read_flight_log(chosen.path, chosen.options)
    said += [f"{flight.name}: {each.message}" for each in log.warnings]
    return FitInput(flight.name, campaign, flight.record, log, controller), said


def _named(kept: KeptLog) -> str:
    return kept.entry.file


def _apart(campaign: Campaign, flight: RecordedFlight) -> list[str]:
    """Say where the documents of today are not those that flew."""
    from loftwright.documents.differences import differences

    found = differences(flight.campaign, campaign)
    if not found:
        return []
    few = ", ".join(each.path for each in found[:5])
    more = f" and {len(found) - 5} more" if len(found) > 5 else ""
    return [f"{flight.name} flew another build than the documents have now: {few}{more}"]
