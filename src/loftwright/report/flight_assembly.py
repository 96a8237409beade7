"""From a recorded flight and what was made of it to all that its page tells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from loftwright import __version__
from loftwright.debrief.clocks.clocks import clocks_of
from loftwright.debrief.clocks.sightings import height_checks, sighted
from loftwright.debrief.clocks.stopwatch_checks import stopwatch_checks
from loftwright.debrief.results import Reconstruction
from loftwright.debrief.scoring.kept_forecast import KeptForecast
from loftwright.debrief.scoring.landing_places import landing_places, pad_of
from loftwright.debrief.scoring.score import made_before
from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.recorded_flight import RecordedFlight
from loftwright.flight.results import Provenance
from loftwright.ledger.entries import Action, Finding
from loftwright.report.estimates import day_words
from loftwright.report.flight_told import Expected, FlightReport, LedgerLine, UsedFile
from loftwright.report.kept_expected import expected_of
from loftwright.report.log_stages import log_stays
from loftwright.report.told_moments import told_moments

__all__ = ["action_lines", "finding_lines", "flight_report"]

KINDS = {
    "log": "log",
    "firing": "static firing",
    "sound": "sound",
    "picture": "picture",
    "film": "film",
    "other": "other",
}


def flight_report(
    flight: RecordedFlight,
    log: FlightLog,
    found: Reconstruction,
    kept: KeptForecast | None = None,
) -> FlightReport:
    """Return what is to be told of a flight that a campaign keeps, by one of its logs.

    Scores, causes, fits, bearings and the ledger's lines are put in with `dataclasses.replace`.
    """
    source = next((each.entry.source for each in flight.logs if each.path.name == log.name), None)
    stays = log_stays(log, found.liftoff_s)
    clocks = clocks_of(flight.record, [found])
    places = sighted(flight.record, clocks, pad=pad_of(flight.campaign.site))
    checks = (*stopwatch_checks(flight.record, found), *height_checks(places, found))
    return FlightReport(
        reconstruction=replace(found, checks=(*found.checks, *checks)),
        units=flight.campaign.head.units,
        campaign=flight.campaign,
        flight=flight.name,
        record=flight.record,
        expected=None if kept is None else _expected(kept, flight.record.flown),
        sighted=places,
        clocks=clocks,
        told=told_moments(clocks, found),
        landed=landing_places(flight.record.landed, pad_of(flight.campaign.site)),
        stays={source or "controller": stays} if stays else {},
        used=tuple(_used(flight, kept)),
        warnings=(*flight.warnings, *log.warnings),
        provenance=Provenance(
            flight.campaign.hashes,
            f"loftwright {__version__}",
            seed=None if kept is None else kept.seed,
        ),
    )


def _expected(kept: KeptForecast, flown: str | None) -> Expected:
    return expected_of(kept, made_before(kept.made, flown))


def _used(flight: RecordedFlight, kept: KeptForecast | None) -> Iterator[UsedFile]:
    for file in flight.files:
        what = KINDS[file.entry.kind]
        who = f" of {file.entry.source}" if file.entry.source else ""
        yield UsedFile(file.entry.file, f"{what}{who}", file.entry.sha256, file.entry.size)
    if kept is not None:
        what = f"forecast, {kept.flights} flights, made {day_words(kept.made)}"
        yield UsedFile("forecast.json", what, kept.sha256)


def finding_lines(findings: Sequence[Finding], flight: str) -> tuple[LedgerLine, ...]:
    """Return what the ledger has found from a flight."""
    return tuple(_finding(each) for each in findings if each.flight == flight)


def _finding(each: Finding) -> LedgerLine:
    cites = ", ".join(f"{name.flight}/{name.file}" for name in each.evidence)
    return LedgerLine(f"F{each.number}", f"{each.what} ({each.sure})", None, cites)


def action_lines(
    actions: Sequence[Action], findings: Sequence[Finding], flight: str
) -> tuple[LedgerLine, ...]:
    """Return the actions that findings from a flight call for, or that it closed."""
    own = {each.number for each in findings if each.flight == flight}
    return tuple(
        _action(each) for each in actions if each.finding in own or each.closed_by == flight
    )


def _action(each: Action) -> LedgerLine:
    cites = [f"for F{each.finding}" if each.finding is not None else ""]
    cites += [each.who or "", f"until {each.due}" if each.due and each.is_open else ""]
    cites += [f"closed by {each.closed_by}" if each.closed_by else ""]
    cites += [each.closed_why or ""]
    return LedgerLine(
        f"A{each.number}", each.what, not each.is_open, ", ".join(word for word in cites if word)
    )
