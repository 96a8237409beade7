"""What the ledger says: rows and sentences of flights, entries, reliability."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from loftwright.documents.differences import Difference
from loftwright.documents.flight_record import FlightRecord
from loftwright.ledger.counting import Counted
from loftwright.ledger.entries import Action, Decision, EvidenceName, Figure, Finding
from loftwright.ledger.functions import FUNCTIONS
from loftwright.ledger.history import Flown
from loftwright.ledger.reliability import Asked, FunctionReliability
from loftwright.report.estimates import day_here, day_words, plus_minus
from loftwright.report.field_words import path_words
from loftwright.report.quantities import percent, stated
from loftwright.report.words import figure

__all__ = [
    "NONE",
    "action_line",
    "action_row",
    "change_rows",
    "counted_rows",
    "counting_sentence",
    "decision_line",
    "decision_row",
    "figure_rows",
    "finding_line",
    "finding_row",
    "flight_rows",
    "outcome_rows",
    "reliability_rows",
    "reliability_sentences",
]

NONE = "–"
_CONDITIONS = {
    "water_volume": ("water filled in", "volume"),
    "gauge_pressure": ("pressure at launch", "gauge_pressure"),
    "pressure": ("air pressure", "absolute_pressure"),
    "temperature": ("air temperature", "temperature"),
    "wind_speed": ("wind", "wind"),
    "wind_from": ("wind from", "angle"),
}


# ---------------------------------------------------------------- flights and entries


def flight_rows(flights: Iterable[Flown]) -> list[tuple[str, ...]]:
    """Return a row for each flight: its name, when, how it went, and each function's outcome."""
    return [
        (
            each.entry.name,
            day_words(each.entry.flown) if each.entry.flown else NONE,
            each.entry.outcome,
            *(each.outcomes[function].outcome for function in FUNCTIONS),
        )
        for each in flights
    ]


def outcome_rows(flown: Flown) -> list[tuple[str, str, str]]:
    """Return how each function went in a flight, and what says so."""
    return [(each.function, each.outcome, each.says) for each in flown.outcomes.values()]


def action_line(action: Action) -> str:
    """Return an action in a line: what, who, until when; or what closed it."""
    who = [action.who] if action.who else []
    due = [f"due {action.due}"] if action.due else []
    calls = [f"for F{action.finding}"] if action.finding is not None else []
    told = ", ".join([*who, *due, *calls])
    line = f"A{action.number}  {action.what}{f' ({told})' if told else ''}"
    return line + _closed(action.closed, action.closed_by, action.closed_why)


def finding_line(finding: Finding) -> str:
    """Return a finding in a line: what, how sure, and what shows it."""
    told = [finding.sure]
    if finding.explains:
        told.append(f"explains the {finding.explains}")
    if finding.flight:
        told.append(f"from {finding.flight}")
    if finding.who:
        told.append(f"by {finding.who}")
    if finding.is_open:
        told.append("not settled")
    line = f"F{finding.number}  {finding.what} ({', '.join(told)})"
    line += _closed(finding.closed, finding.closed_by, finding.closed_why)
    shown = _shown_by(finding.evidence)
    return f"{line}.{shown}" if shown else line


def decision_line(decision: Decision) -> str:
    """Return a decision in a line: what, why, by whom, on what."""
    who = f" By {decision.who}," if decision.who else ""
    day = f" {day_here(decision.noted)}."
    line = f"D{decision.number}  {decision.what}. Because: {decision.why}.{who}{day}"
    return line + _shown_by(decision.evidence)


def action_row(action: Action) -> tuple[str, str, str, str]:
    """Return an action in cells: what, what else is told of it, who, until when."""
    calls = f"for F{action.finding}" if action.finding is not None else ""
    more = calls + _closed(action.closed, action.closed_by, action.closed_why)
    return action.what, more.removeprefix("; "), action.who or NONE, action.due or NONE


def finding_row(finding: Finding) -> tuple[str, str, str, str]:
    """Return a finding in cells: what, what else is told of it, how sure, from which flight."""
    told = [f"explains the {finding.explains}"] if finding.explains else []
    told += [f"by {finding.who}"] if finding.who else []
    told += ["not settled"] if finding.is_open else []
    more = ", ".join(told) + _closed(finding.closed, finding.closed_by, finding.closed_why)
    shown = _shown_by(finding.evidence)
    more = f"{more}.{shown}" if more and shown else f"{more}{shown}"
    return finding.what, more.strip().removeprefix("; "), finding.sure, finding.flight or NONE


def decision_row(decision: Decision) -> tuple[str, str, str, str]:
    """Return a decision in cells: what, why and on what, by whom, when."""
    more = f"because: {decision.why}.{_shown_by(decision.evidence)}"
    return decision.what, more, decision.who or NONE, day_here(decision.noted)


def _closed(closed: str | None, by: str | None, why: str | None) -> str:
    if closed is None:
        return ""
    flight = f" by {by}" if by else ""
    return f"; closed {day_here(closed)}{flight}{f': {why}' if why else ''}"


def _shown_by(evidence: tuple[EvidenceName, ...]) -> str:
    if not evidence:
        return ""
    return f" Shown by {', '.join(f'{each.flight}/{each.file}' for each in evidence)}."


def change_rows(changes: Iterable[Difference]) -> list[tuple[str, str, str]]:
    """Return what differs between two builds: the field, and what stands there in either."""
    return [(path_words(each.path), each.one or NONE, each.other or NONE) for each in changes]


# ---------------------------------------------------------------- figures


def figure_rows(
    pairs: Iterable[tuple[FlightRecord, tuple[Figure, ...]]], system: str
) -> list[tuple[str, ...]]:
    """Return a row for each figure that any of the flights has, with a cell for each flight."""
    columns = [dict(_figures(record, figures, system)) for record, figures in pairs]
    words = dict.fromkeys(word for column in columns for word in column)
    return [(word, *(column.get(word, NONE) for column in columns)) for word in words]


def _figures(
    record: FlightRecord, figures: tuple[Figure, ...], system: str
) -> Iterator[tuple[str, str]]:
    for name, (words, kind) in _CONDITIONS.items():
        value = None if record.conditions is None else getattr(record.conditions, name)
        if value is not None:
            yield words, stated(value.value, kind, system)
    for watch in record.stopwatch:
        yield f"{watch.begin} to {watch.end}, by watch", stated(watch.time.value, "time", system)
    for landed in record.landed:
        if landed.distance is not None:
            words = f"{landed.of} came down from the pad"
            yield words, stated(landed.distance.value, "distance", system)
    for each in figures:
        known = figure(each.name)
        yield known.words, plus_minus(each.value, each.sd or 0.0, known.kind, system)


# ---------------------------------------------------------------- reliability


def reliability_rows(functions: Iterable[FunctionReliability]) -> list[tuple[str, ...]]:
    """Return a row for each function: what counts in full, with its intervals, and with weights."""
    return [
        (
            each.function,
            f"{each.exact_tally.worked:g} of {each.exact_tally.flights:g}",
            _interval(each.exact),
            f"{each.tally.worked:g} of {each.tally.flights:g}",
            _interval(each.jeffreys),
            _interval(each.prior),
        )
        for each in functions
    ]


def counted_rows(functions: Iterable[FunctionReliability]) -> list[tuple[str, ...]]:
    """Return for each flight how it counts for each function: its outcome, and its weight."""
    rows: dict[str, list[str]] = {}
    for function in functions:
        for each in function.flights:
            rows.setdefault(each.flight, []).append(_counts(each))
    return [(flight, *cells) for flight, cells in rows.items()]


def _counts(each: Counted) -> str:
    if each.outcome in ("not tried", "not known"):
        return each.outcome
    return f"{each.outcome}, × {each.weight:g}"


def counting_sentence(asked: Asked) -> str:
    """Say which flights count."""
    if asked.count == "all":
        return "Every flight counts in full, whatever its build (--count all)."
    if asked.count == "same":
        return (
            "Only flights count whose build is the present one in what the function depends on "
            "(--count same)."
        )
    return (
        f"A flight whose build differs in what the function depends on counts {asked.weight:g} "
        "(--weight) in the posteriors, and not at all in the exact interval, which knows no "
        "weights."
    )


def reliability_sentences(each: FunctionReliability, asked: Asked) -> list[str]:
    """Say what one function's flights show, what is wanted, and how many more would show it."""
    wanted, confidence = _percent(asked.wanted), _percent(asked.confidence)
    said = [
        f"{each.function}: at least {_floor(each.lower)} with confidence {confidence}; that it is "
        f"{wanted} or better has a chance of {_percent(each.chance_wanted)} after Jeffreys's prior."
    ]
    more = each.more
    if each.is_shown:
        said.append(f"That shows the {wanted} that is wanted.")
    else:
        allowed = "none" if more.may_fail == 0 else f"{more.may_fail} at most"
        posterior = "more than anybody flies" if more.by_posterior is None else more.by_posterior
        said.append(
            f"To show {wanted} with confidence {confidence}, with {allowed} of them failing: "
            f"{more.by_formula} more by the success-run formula, {more.by_simulation} by "
            f"simulation; {posterior} by the posterior, if all work. The chance to pass that, as "
            f"things stand: {_percent(more.chance)}."
        )
    changed: Mapping[str, None] = dict.fromkeys(
        path for flight in each.flights if flight.weight for path in flight.changes or ()
    )
    if changed:
        said.append(f"Since changed: {_some([path_words(path) for path in changed])}.")
    if each.not_known:
        said.append(f"Not known how it went: {_some(list(each.not_known))}.")
    return said


def _some(words: list[str], most: int = 4) -> str:
    if len(words) <= most:
        return ", ".join(words)
    return f"{', '.join(words[:most])} and {len(words) - most} more"


def _interval(ends: tuple[float, float]) -> str:
    """Return an interval, its ends rounded outward; an end that is not all never reads so."""
    low, high = (100.0 * end for end in ends)
    first = f"{math.floor(low + 1e-9):d}"
    last = f"{math.ceil(high - 1e-9):d}" if high <= 99.0 or high >= 100.0 else percent(ends[1])
    return f"{first} to {last} %"


def _percent(share: float) -> str:
    """Return a share in hundredths; one that is not all never reads so."""
    said = percent(share)
    return f"{said.rstrip('0').rstrip('.') if '.' in said and 'e' not in said else said} %"


def _floor(share: float) -> str:
    """Return a lower bound, rounded down: it must not read as more than it is."""
    return f"{int(1000.0 * share + 1e-9) / 10.0:g} %"
