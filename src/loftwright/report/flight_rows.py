"""The tables of a flight's page: moments, figures, and ways down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loftwright.debrief.scoring.measured_figures import FIGURES as SCORED
from loftwright.debrief.scoring.results import FigureScore, ModelBias
from loftwright.report.bodies import short_names
from loftwright.report.estimates import hundred, plus_minus, within
from loftwright.report.expectation import DUE, due, where
from loftwright.report.flight_lanes import moment_words
from loftwright.report.flight_told import Expected, FlightReport
from loftwright.report.quantities import digits, span, unit_of
from loftwright.report.said_units import in_units, sentence
from loftwright.report.score_words import bias_notes
from loftwright.report.words import figure

__all__ = [
    "EventRow",
    "ScoreRow",
    "bias_sentences",
    "descent_rows",
    "event_rows",
    "score_rows",
]


@dataclass(frozen=True, slots=True)
class EventRow:
    """A moment: when, when it was due, and what shows it; ``warns`` outside the forecast."""

    words: str
    when: str
    due: str
    inside: str
    how: str
    warns: bool = False


def event_rows(report: FlightReport) -> list[EventRow]:
    """Return a row for each moment, what is not visible last."""
    found, expected, system = report.reconstruction, report.expected, report.units
    rows = []
    for each in sorted((*found.events, *report.told), key=lambda event: event.time.value):
        kind = "" if each.commanded else each.kind
        place = where(expected, DUE.get(kind, ""), each.time)
        words, when = moment_words(each), within(each.time, "time", system)
        how = in_units(each.how, system)
        outside = place in ("below", "above")
        rows.append(EventRow(words, when, _due(expected, kind), _said(place), how, outside))
    told = {each.kind for each in report.told}
    for lost in found.missing:
        if lost.kind in told:
            continue
        if lost.kind in DUE or lost.kind == "liftoff":
            why = in_units(lost.why, system)
            rows.append(EventRow(lost.kind, "not visible", _due(expected, lost.kind), "", why))
    return rows


def _due(expected: Expected | None, kind: str) -> str:
    known = due(expected, kind)
    return "" if known is None else span(known[0], known[2], "time", "metric", 3)


def _said(place: str | None) -> str:
    return {None: "", "inside": "yes", "below": "earlier", "above": "later"}[place]


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """A figure of the forecast beside the record, numbers as text."""

    words: str
    unit: str
    low: str
    median: str
    high: str
    measured: str
    inside: str
    warns: bool
    error: str
    u_val: str
    crps: str
    rank: str
    says: str


def score_rows(report: FlightReport) -> list[ScoreRow]:
    """Return a row for each figure that was scored, in the person's units."""
    if report.score is None:
        return []
    names = short_names(report.campaign) if report.campaign else None
    return [_scored(each, report.units, names) for each in report.score.figures]


def _scored(each: FigureScore, system: str, names: dict[str, str] | None) -> ScoreRow:
    known = figure(each.figure, names)
    unit = unit_of(known.kind, system)

    def size(value: float) -> str:
        return digits(value / unit.size)

    place = "yes" if each.inside_90 else "below" if each.measured < each.forecast_p05 else "above"
    return ScoreRow(
        words=_words(each.figure, names),
        unit=unit.symbol,
        low=digits(unit.of(each.forecast_p05)),
        median=digits(unit.of(each.forecast_p50)),
        high=digits(unit.of(each.forecast_p95)),
        measured=plus_minus(each.measured, each.measured_sd, known.kind, system),
        inside=place,
        warns=not each.inside_90,
        error=size(each.error),
        u_val=size(each.u_val),
        crps=size(each.crps),
        rank=hundred(each.rank),
        says=sentence(each.says, system),
    )


def _words(key: str, names: dict[str, str] | None = None) -> str:
    """Return what a scored figure is called, as its sentence has it."""
    return SCORED.get(key) or figure(key, names).words


def descent_rows(report: FlightReport) -> list[tuple[str, str, str, str]]:
    """Return phase, from when to when, rate, and sentence of each way down."""
    return [
        (
            each.phase,
            span(each.begin_s, each.end_s, "time", report.units, 3),
            within(each.rate_m_s, "speed", report.units),
            sentence(each.says, report.units),
        )
        for each in report.reconstruction.descents
    ]


def bias_sentences(biases: Sequence[ModelBias]) -> list[str]:
    """Return what is said of figures that a bias shows in, then how much chance alone would show.

    That a few flights show no bias is in the table already.
    """
    notes = list(bias_notes(biases))
    shown = [
        words
        for words, each in zip(notes, biases, strict=False)
        if each.mean_error_low > 0.0 or each.mean_error_high < 0.0
    ]
    if not shown and biases:
        shown = ["No figure shows a bias; one within the intervals would not be seen."]
    return shown + notes[len(biases) :]
