"""A recorded flight with all that is made of it, for the command line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from loftwright.debrief.clocks.results import Clocks
    from loftwright.debrief.results import Reconstruction
    from loftwright.debrief.scoring.kept_forecast import KeptForecast
    from loftwright.debrief.scoring.results import ForecastScore
    from loftwright.documents import Campaign
    from loftwright.evidence.flight_log import FlightLog
    from loftwright.evidence.recorded_flight import RecordedFlight
    from loftwright.report.flight_told import FlightReport, LedgerLine

__all__ = ["Debriefed", "Home", "debrief", "find_why", "over_campaign", "with_ledger"]


class Home:
    """The campaign that keeps a flight, whose documents and flights must not be written over.

    ``hashes`` are those of the documents as flown; all that lie beside campaign.toml today count
    as well.
    """

    def __init__(self, folder: Path, hashes: Mapping[str, str]) -> None:
        from loftwright.documents.flights import home_of

        self.folder = home_of(folder)
        self.hashes = hashes


@dataclass(frozen=True, slots=True)
class Debriefed:
    """A flight as it was read, its documents with the day's conditions, and what is told of it."""

    kept: RecordedFlight
    campaign: Campaign
    log: FlightLog
    source: str | None  # the controller that wrote the log
    report: FlightReport


def debrief(
    folder: Path, kept: RecordedFlight, log_name: str | None, liftoff: str | None = None
) -> Debriefed:
    """Reconstruct a flight from one of its logs and score its forecast, if one was kept.

    ``liftoff`` is when that is, by the log's clock, as typed.

    Raises ``ProblemError`` where there is no such log, or one that cannot be read.
    """
    from loftwright.debrief.flown import flown_campaign
    from loftwright.debrief.kept_logs import reconstruct_kept
    from loftwright.debrief.scoring.kept_forecast import read_kept_forecast
    from loftwright.report.flight_assembly import flight_report

    campaign = flown_campaign(kept)
    chosen, log, found = reconstruct_kept(kept, campaign, log_name, _said(liftoff))
    forecast = None if kept.forecast is None else read_kept_forecast(kept.forecast)
    findings, actions = _ledger(folder, kept.name)
    told = flight_report(kept, log, found, forecast)
    report = replace(
        told,
        score=_scored(kept, found, forecast, told.clocks),
        findings=findings,
        actions=actions,
        next_steps=tuple(_steps(kept, log, found)),
    )
    return Debriefed(kept, campaign, log, chosen.entry.source, report)


def _said(liftoff: str | None) -> float | None:
    """Return when liftoff is said to be [s]."""
    if liftoff is None:
        return None
    from loftwright.cli.log_options import read_time

    return read_time("--liftoff", liftoff, "12.3s")


def _steps(kept: RecordedFlight, log: FlightLog, found: Reconstruction) -> Iterator[str]:
    """Say what helps where a log shows no flight."""
    from math import isfinite

    from loftwright.debrief.reconstruction.unseen import shows_nothing

    if isfinite(found.liftoff_s):
        return
    if not shows_nothing(log):
        yield "Where it shows the flight all the same, say when that lifts off: --liftoff 12.3s."
    yield f"What may have failed: loftwright causes DIR {kept.name}."


def find_why(found: Debriefed, flights: int, seed: int) -> Debriefed:
    """Find the causes of a flight, with progress. Raises ``ProblemError`` as `find_causes`."""
    from loftwright.cli.why import causes_of
    from loftwright.debrief.kept_logs import logs_of_controllers

    logs, left = logs_of_controllers(found.kept)
    causes = causes_of(found.campaign, found.kept.record, logs, flights=flights, seed=seed)
    report = replace(found.report, causes=causes, notes=(*found.report.notes, *left))
    return replace(found, report=report)


def with_ledger(folder: Path, found: Debriefed) -> Debriefed:
    """Read again what the ledger says of the flight."""
    findings, actions = _ledger(folder, found.kept.name)
    return replace(found, report=replace(found.report, findings=findings, actions=actions))


def over_campaign(folder: Path, found: Debriefed) -> Debriefed:
    """Score the kept forecasts of all flights, and say whether the model is biased.

    A flight that cannot be scored is named in the notes, with why.
    """
    from loftwright.debrief.scoring.bias import model_bias
    from loftwright.errors import ProblemError
    from loftwright.evidence.recorded_flight import flights_of, read_recorded_flight

    scores = [] if found.report.score is None else [found.report.score]
    notes = list(found.report.notes)
    for name in flights_of(folder):
        if name == found.kept.name:
            continue
        try:
            score = debrief(folder, read_recorded_flight(folder, name), None).report.score
        except ProblemError as error:
            notes.append(f"{name} was not scored: {error.problems[0].message}")
            continue
        scores += [] if score is None else [score]
    report = replace(found.report, bias=model_bias(scores), notes=tuple(notes))
    return replace(found, report=report)


def _scored(
    kept: RecordedFlight,
    found: Reconstruction,
    forecast: KeptForecast | None,
    clocks: Clocks | None,
) -> ForecastScore | None:
    if forecast is None:
        return None
    from loftwright.debrief.scoring.score import score_forecast

    when = kept.record.flown
    return score_forecast(forecast, found, kept.record, flight=kept.name, flown=when, clocks=clocks)


def _ledger(folder: Path, flight: str) -> tuple[tuple[LedgerLine, ...], tuple[LedgerLine, ...]]:
    """Return findings and actions of a flight; nothing is written where there is no ledger."""
    from loftwright.documents.flights import home_of
    from loftwright.ledger.ledger import open_ledger
    from loftwright.ledger.opening import FILE
    from loftwright.report.flight_assembly import action_lines, finding_lines

    home = home_of(folder)
    if not (home / FILE).is_file():
        return (), ()
    with open_ledger(home) as ledger:
        findings, actions = ledger.findings(), ledger.actions()
    return finding_lines(findings, flight), action_lines(actions, findings, flight)
