"""A recorded flight with all that is made of it, for the command line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from loftwright.debrief.clock_results import Clocks
    from loftwright.debrief.kept_forecast import KeptForecast
    from loftwright.debrief.results import Reconstruction
    from loftwright.debrief.score_results import ForecastScore
    from loftwright.documents import Campaign
    from loftwright.evidence.flight_log import FlightLog
    from loftwright.evidence.recorded_flight import KeptLog, RecordedFlight
    from loftwright.report.flight_told import FlightReport, LedgerLine

__all__ = ["Debriefed", "Home", "debrief", "find_why", "over_campaign"]


class Home:
    """The campaign that keeps a flight, whose documents and flights must not be written over.

    ``hashes`` are those of the documents as flown; all that lie beside campaign.toml today count
    as well.
    """

    def __init__(self, folder: Path, hashes: Mapping[str, str]) -> None:
        from loftwright.documents.flights import home_of

        self.folder = home_of(folder)
        self.hashes = hashes


LEAST_TEMPERATURE_SD = 0.5  # K: no thermometer at a pad is better


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
    from loftwright.debrief.kept_forecast import read_kept_forecast
    from loftwright.report.flight_assembly import flight_report

    campaign = flown_campaign(kept)
    chosen, log, found = _best(kept, campaign, log_name, liftoff)
    forecast = None if kept.forecast is None else read_kept_forecast(kept.forecast)
    findings, actions = _ledger(folder, kept.name)
    report = flight_report(kept, log, found, forecast)
    report = replace(
        report,
        score=_scored(kept, found, forecast, report.clocks),
        findings=findings,
        actions=actions,
        next_steps=tuple(_steps(kept, log, found)),
    )
    return Debriefed(kept, campaign, log, chosen.entry.source, report)


def _steps(kept: RecordedFlight, log: FlightLog, found: Reconstruction) -> Iterator[str]:
    """Say what helps where a log shows no flight."""
    from math import isfinite

    from loftwright.debrief.unseen import shows_nothing

    if isfinite(found.liftoff_s):
        return
    if not shows_nothing(log):
        yield "Where it shows the flight all the same, say when that lifts off: --liftoff 12.3s."
    yield f"What may have failed: loftwright causes DIR {kept.name}."


def find_why(found: Debriefed, flights: int, seed: int) -> Debriefed:
    """Find the causes of a flight, with progress. Raises ``ProblemError`` as `find_causes`."""
    from loftwright.cli.progress import Progress, tell_compiling_rehearsal
    from loftwright.debrief.causes import find_causes
    from loftwright.debrief.synthetic import recorders
    from loftwright.rehearsal.plan import plan_of

    known = recorders(plan_of(found.campaign, seed))
    source = found.source or (known[0] if len(known) == 1 else None)
    logs = {source: found.log} if source in known and source is not None else {}
    tell_compiling_rehearsal()
    progress = Progress("flights")
    try:
        causes = find_causes(
            found.campaign, found.kept.record, logs, flights=flights, seed=seed, progress=progress
        )
    finally:
        progress.finish()
    return replace(found, report=replace(found.report, causes=causes))


def over_campaign(folder: Path, found: Debriefed) -> Debriefed:
    """Score the kept forecasts of all flights, and say whether the model is biased.

    A flight that cannot be scored is named in the notes, with why.
    """
    from loftwright.debrief.bias import model_bias
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


def _chosen(kept: RecordedFlight, campaign: Campaign, name: str | None) -> KeptLog:
    """Return the log that counts: the one named, else the first one of a known controller."""
    from loftwright.errors import Problem, ProblemError, Where

    there = ", ".join(each.entry.file for each in kept.logs) or "none"
    where = Where(file=f"flights/{kept.name}/flight.toml", field="--log", value=name)
    if name is not None:
        found = next((each for each in kept.logs if each.entry.file == name), None)
        if found is None:
            message = f"the flight has no log {name!r}"
            raise ProblemError([Problem("debrief-no-log", message, where, f"there are: {there}")])
        return found
    known = {each.name for each in campaign.avionics.controller} if campaign.avionics else set()
    logs = sorted(kept.logs, key=lambda each: each.entry.source not in known)
    if not logs:
        message = "the flight has no log, so there is nothing to reconstruct"
        mend = f"take one in: loftwright record DIR {kept.name} FILE"
        raise ProblemError([Problem("debrief-no-log", message, where, mend)])
    return logs[0]


def _best(
    kept: RecordedFlight, campaign: Campaign, name: str | None, liftoff: str | None
) -> tuple[KeptLog, FlightLog, Reconstruction]:
    """Reconstruct every log, or the one named, and return the one to go by."""
    from loftwright.debrief.joint import best_of

    first = _chosen(kept, campaign, name)
    others = [] if name is not None else [each for each in kept.logs if each is not first]
    began = _began(kept, [first, *others], liftoff)
    found = [(each, *_reconstructed(each, campaign, began)) for each in (first, *others)]
    best = best_of([flight for _, _, flight in found])
    for chosen, log, flight in found:
        if flight.sha256 == best.sha256 and flight.log == best.log:
            return chosen, log, best
    raise AssertionError("the best of some is one of them")


def _began(kept: RecordedFlight, logs: Sequence[KeptLog], liftoff: str | None) -> float | None:
    """Return when liftoff is said to be [s], by the clock of the one log that counts."""
    if liftoff is None:
        return None
    from loftwright.cli.log_options import read_time
    from loftwright.errors import Problem, ProblemError, Where

    if len(logs) > 1:
        names = ", ".join(each.entry.file for each in logs)
        message = "the flight has several logs, each by a clock of its own"
        where = Where(file=f"flights/{kept.name}/flight.toml", field="--liftoff", value=liftoff)
        mend = f"say with --log which one --liftoff is for: {names}"
        raise ProblemError([Problem("debrief-which-log", message, where, mend)])
    return read_time("--liftoff", liftoff, "12.3s")


def _reconstructed(
    chosen: KeptLog, campaign: Campaign, liftoff_s: float | None
) -> tuple[FlightLog, Reconstruction]:
    from loftwright.debrief.instrument import assumed_instrument, instrument_of
    from loftwright.debrief.unseen import reconstruct_or_tell
    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.instruments.wiring import wire

    log = read_flight_log(chosen.path, chosen.options)
    wires = wire(campaign.avionics).controllers if campaign.avionics else {}
    source = chosen.entry.source
    described = source in wires and bool(wires[source].barometer)
    instrument = (
        instrument_of(campaign, source)
        if described and source is not None
        else assumed_instrument(log)
    )
    air = campaign.site.air
    found = reconstruct_or_tell(
        log,
        instrument,
        pad_temperature=air.temperature.value,
        pad_pressure=None if air.pressure is None else air.pressure.value,
        liftoff_s=liftoff_s,
        pad_temperature_sd=max(air.temperature.sd, LEAST_TEMPERATURE_SD),
    )
    return log, found


def _scored(
    kept: RecordedFlight,
    found: Reconstruction,
    forecast: KeptForecast | None,
    clocks: Clocks | None,
) -> ForecastScore | None:
    if forecast is None:
        return None
    from loftwright.debrief.score import score_forecast

    return score_forecast(
        forecast, found, kept.record, flight=kept.name, flown=kept.record.flown, clocks=clocks
    )


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
