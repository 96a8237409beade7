"""The tables of a flight's page: moments, figures, ways down, and what people saw."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from loftwright.debrief.measured_figures import FIGURES as SCORED
from loftwright.debrief.results import Estimate
from loftwright.debrief.score_results import FigureScore, ModelBias
from loftwright.documents.flight_record import FlightRecord, Landed, Saw, Sighting, Stopwatch
from loftwright.report.bodies import short_names
from loftwright.report.estimates import hundred, moment, plus_minus, within
from loftwright.report.flight_lanes import DUE, due
from loftwright.report.flight_told import FlightReport, SightedPlace
from loftwright.report.quantities import amount, digits, span, stated, unit_of
from loftwright.report.words import figure
from loftwright.units import Quantity

__all__ = [
    "EventRow",
    "ScoreRow",
    "bias_rows",
    "descent_rows",
    "event_rows",
    "score_rows",
    "seen_sentences",
    "sighted_rows",
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
    found, expected = report.reconstruction, report.expected
    rows = []
    for each in found.events:
        known = due(expected, each.kind)
        said, warns = _inside(each.time, known)
        rows.append(
            EventRow(each.kind, within(each.time, "time", report.units), _due(known), said,
                     each.how, warns)
        )  # fmt: skip
    for lost in found.missing:
        if lost.kind in DUE or lost.kind == "liftoff":
            known = due(expected, lost.kind)
            rows.append(EventRow(lost.kind, "not visible", _due(known), "", lost.why))
    return rows


def _due(known: tuple[float, float, float] | None) -> str:
    return "" if known is None else span(known[0], known[2], "time", "metric", 3)


def _inside(time: Estimate, known: tuple[float, float, float] | None) -> tuple[str, bool]:
    if known is None:
        return "", False
    if time.value < known[0]:
        return f"{moment(known[0] - time.value)} before", True
    if time.value > known[2]:
        return f"{moment(time.value - known[2])} after", True
    return "yes", False


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
        says=each.says.rstrip(". "),
    )


def bias_rows(report: FlightReport) -> list[tuple[str, str, str, str, str]]:
    """Return figure, flights, share inside, mean error and sentence over the campaign."""
    return [_bias(each, report.units) for each in report.bias]


def _bias(each: ModelBias, system: str) -> tuple[str, str, str, str, str]:
    known = figure(each.figure)
    low, high = hundred(each.coverage_low), hundred(each.coverage_high)
    inside = f"{hundred(each.coverage_90)} ({low} to {high})"
    unit = unit_of(known.kind, system)
    least, middle, most = (
        digits(value / unit.size, 2)
        for value in (each.mean_error_low, each.mean_error, each.mean_error_high)
    )
    known_range = math.isfinite(each.mean_error_low) and math.isfinite(each.mean_error_high)
    error = f"{middle} ({least} to {most})" if known_range else middle
    return _words(each.figure), str(each.flights), inside, f"{error} {unit.symbol}", each.says


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
            each.says,
        )
        for each in report.reconstruction.descents
    ]


# ---------------------------------------------------------------- people


def seen_sentences(record: FlightRecord | None, system: str) -> list[str]:
    """Return what people saw, heard, timed and paced, a sentence each, in the order of the file."""
    if record is None:
        return []
    said = [_saw(each) for each in record.saw]
    said += [_timed(each) for each in record.stopwatch]
    said += [_sighting(each) for each in record.sighting]
    said += [_landed(each, system) for each in record.landed]
    return said


def _written(value: Quantity, kind: str, system: str) -> str:
    if value.sd > 0.0:
        return plus_minus(value.value, value.sd, kind, system)
    return stated(value.value, kind, system)


def _saw(each: Saw) -> str:
    who = each.by or "Somebody"
    verb = {"seen": "saw", "heard": "heard", "felt": "felt"}[each.how]
    thing = each.what if each.of == "vehicle" else f"{each.what} of the {each.of}"
    told = f"{who}: {thing} did not happen" if each.happened == "no" else f"{who} {verb} {thing}"
    if each.at is not None:
        told += f" at {_written(each.at, 'time', 'metric')} by the clock {each.clock}"
    words = f", “{each.said.rstrip('.')}”" if each.said else ""
    return f"{told}, sure by {hundred(each.sure.value)}{words}."


def _timed(each: Stopwatch) -> str:
    who = each.by or "Somebody"
    body = "" if each.of == "vehicle" else f" of the {each.of}"
    time = _written(each.time, "time", "metric")
    return f"{who} timed {each.begin} to {each.end}{body}: {time}."


def _sighting(each: Sighting) -> str:
    when = each.moment or (
        f"at {_written(each.at, 'time', 'metric')} by the clock {each.clock}" if each.at else "once"
    )
    who = f", by {each.by}" if each.by else ""
    bearing = (
        "" if each.bearing is None else f" {_written(each.bearing, 'angle', 'metric')} from north,"
    )
    return (
        f"Seen from {each.station}{who}, {each.of}, {when}:{bearing} "
        f"{_written(each.elevation, 'angle', 'metric')} above the horizon."
    )


def _landed(each: Landed, system: str) -> str:
    body = each.of[:1].upper() + each.of[1:]
    if each.distance is None:
        return f"{body} found by its coordinates."
    far = _written(each.distance, "distance", system)
    towards = "" if each.bearing is None else f" towards {_written(each.bearing, 'angle', system)}"
    return f"{body} found {far} from the pad{towards}."


def sighted_rows(report: FlightReport) -> list[tuple[str, str, str, str, str]]:
    """Return what, height, place, miss and sentence of each body put by bearings."""
    return [_place(each, report.units) for each in report.sighted]


def _place(each: SightedPlace, system: str) -> tuple[str, str, str, str, str]:
    miss = (
        "one station alone" if each.miss_m is None else amount(each.miss_m, "distance", system, 2)
    )
    return (
        f"{each.of}, {each.moment}",
        within(each.up, "height", system),
        ", ".join(_sides(each, system)),
        miss,
        each.says,
    )


def _sides(each: SightedPlace, system: str) -> Iterator[str]:
    for value, positive, negative in (
        (each.east, "east", "west"),
        (each.north, "north", "south"),
    ):
        if value is not None and math.isfinite(value.value):
            side = positive if value.value >= 0.0 else negative
            yield f"{plus_minus(abs(value.value), value.sd, 'distance', system)} {side}"
