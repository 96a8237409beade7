"""The answer of a recorded flight: what happened, was it as forecast, why not, and what next."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftwright.debrief.causes.results import Cause, Causes
from loftwright.debrief.results import Estimate, Reconstruction
from loftwright.report.answer import Answer, KeyFigure, Verdict
from loftwright.report.estimates import hundred, moment, plus_minus
from loftwright.report.expectation import spread_of, where
from loftwright.report.flight_told import Expected, FlightReport
from loftwright.report.people_rows import forecast_and_not, not_happened
from loftwright.report.quantities import amount, span
from loftwright.report.reading import listed
from loftwright.report.said_units import sentence

__all__ = ["between", "ended", "flight_answer", "group_of", "often_told"]

MOST = 4  # causes that the answer names; the rest stand below
OUTCOMES = {
    "success": "Those who flew it call it a success.",
    "partial": "Those who flew it call it a part of a success.",
    "failure": "Those who flew it call it a failure.",
}


def flight_answer(report: FlightReport) -> Answer:
    """Put a recorded flight into words, the answer first."""
    return Answer(
        lead=" ".join(_lead(report)),
        keys=tuple(_keys(report)),
        sentences=(),
        chances=(),
        verdicts=tuple(_verdicts(report)),
    )


# ---------------------------------------------------------------- lead


def _lead(report: FlightReport) -> Iterator[str]:
    """The flight in a sentence; where something went wrong, what that most likely was."""
    yield from not_happened(report)
    yield _flown(report.reconstruction, report.expected, report.units)
    if report.causes is not None:
        yield from _first_cause(report.causes)


def _flown(found: Reconstruction, expected: Expected | None, system: str) -> str:
    if found.apogee is None:
        return "How high it went is not visible in this record."
    top = f"It went {plus_minus(found.apogee.value, found.apogee.sd, 'height', system)} up"
    known, place = spread_of(expected, "apogee_m"), where(expected, "apogee_m", found.apogee)
    if known is None or place is None:
        return f"{top}."
    side = {
        "inside": "as forecast",
        "below": "lower than forecast",
        "above": "higher than forecast",
    }
    return f"{top}, {side[place]} ({span(known['p05'], known['p95'], 'height', system)})."


def group_of(causes: Causes, number: int) -> list[int]:
    """Return the causes of the 90 % set that the evidence cannot tell from one, itself first."""
    alike = causes.causes[number].alike
    if alike is None:
        return [number]
    others = [
        other for other, each in enumerate(causes.causes)
        if each.alike == alike and other != number and other < causes.in_set
    ]  # fmt: skip
    return [number, *others]


def _first_cause(causes: Causes) -> Iterator[str]:
    if not causes.fits:
        yield causes.fits_says
        return
    if not causes.causes:
        return
    group = [causes.causes[number] for number in group_of(causes, 0)]
    if len(group) > 1 and group[0].faults:
        either = " or ".join(ended(_small(each.says)) for each in group)
        together = sum(each.probability for each in group)
        yield f"Either {either}: this record cannot tell which (together {hundred(together)})."
        return
    first = group[0]
    others = causes.causes[1 : causes.in_set]
    said = ended(_small(first.says))
    start = f"Most likely: {said}" if first.faults else f"Most likely {_small(said)}"
    if not others or not first.faults:
        yield f"{start} ({hundred(first.probability)})."
    elif len(others) == 1:
        yield f"{start} ({hundred(first.probability)}). Not ruled out: {_second(others[0])}."
    else:
        count = len(others)
        yield f"{start} ({hundred(first.probability)}). {count} other causes are not ruled out."


def _second(cause: Cause) -> str:
    return f"{ended(_small(cause.says))} ({hundred(cause.probability)})"


def often_told(share: float) -> str:
    """Say how often something would tell: ``"in 93 of 100 cases"``."""
    count = round(100.0 * share)
    if count < 1:
        return "in hardly any case"
    return "in nearly all cases" if count >= 99 else f"in {count} of 100 cases"


def ended(words: str) -> str:
    """Return a sentence without its full stop, so that it can go on."""
    return words.rstrip().rstrip(".")


def _small(words: str) -> str:
    """Begin a sentence small where it goes on from another; names keep their capitals."""
    first = words.split(" ", 1)[0]
    return words if first[1:].lower() != first[1:] else words[:1].lower() + words[1:]


# ---------------------------------------------------------------- figures at a glance


def _keys(report: FlightReport) -> Iterator[KeyFigure]:
    found, system = report.reconstruction, report.units
    yield from _key(report, "greatest height", found.apogee, "apogee_m", "height", system)
    yield from _key(report, "time of it", found.apogee_time, "apogee_time_s", "time", system)
    yield from _key(report, "fastest climb", found.max_climb, "max_climb_m_s", "speed", system)
    seen = next((each for each in report.told if each.kind == "release"), None)
    release = seen or found.event("release")
    if release is not None:
        name = "told to let go" if release.commanded else "let go"
        figure = "" if release.commanded else "release_time_s"
        yield from _key(report, name, release.time, figure, "time", system)
    if found.descents:
        down = found.descents[-1]
        yield _figure(f"coming down, {down.phase}", down.rate_m_s, "speed", system)


def _key(
    report: FlightReport, name: str, value: Estimate | None, figure: str, kind: str, system: str
) -> Iterator[KeyFigure]:
    if value is None:
        return
    known = spread_of(report.expected, figure)
    forecast = ""
    if known:
        forecast = f"; forecast {span(known['p05'], known['p95'], kind, system)}"
    yield _figure(name, value, kind, system, forecast)


def _figure(name: str, value: Estimate, kind: str, system: str, more: str = "") -> KeyFigure:
    """One figure at a glance: the value large, how sure it is beneath."""
    _, known, spread = plus_minus(value.value, value.sd, kind, system).partition("±")
    words = f"±{spread}{more}" if known else more.removeprefix("; ")
    return KeyFigure(name, amount(value.value, kind, system), words)


# ---------------------------------------------------------------- questions answered


def _verdicts(report: FlightReport) -> Iterator[Verdict]:
    if report.record is not None and report.record.outcome in OUTCOMES:
        bad = report.record.outcome == "failure"
        yield Verdict("How did it go?", (OUTCOMES[report.record.outcome],), bad)
    if report.score is not None:
        outside = any(not each.inside_90 for each in report.score.figures)
        failed = tuple(forecast_and_not(report))
        yield Verdict("Was it as forecast?", (*failed, report.score.says), outside or bool(failed))
    if report.causes is not None and report.causes.causes:
        asked = "Why?" if report.causes.causes[0].faults else "Did anything fail?"
        yield Verdict(asked, tuple(_why(report.causes)), not report.causes.fits)
    trust = tuple(_trust(report.reconstruction, report.units))
    yield Verdict("Can the record be trusted?", trust, _doubtful(report.reconstruction))
    if report.reconstruction.missing:
        yield Verdict(
            "What does it not show?", tuple(_missing(report.reconstruction, report.units))
        )
    steps = tuple(_next(report))
    if steps:
        yield Verdict("What next?", steps)


def _why(causes: Causes) -> Iterator[str]:
    if not causes.fits:
        yield causes.fits_says
    count = min(causes.in_set, len(causes.causes))
    clean = not causes.causes[0].faults
    shown = range(1 if clean else min(count, MOST))
    for number in shown:
        each = causes.causes[number]
        yield f"{number + 1}. {ended(each.says)}: {between(each)}."
    left = count - len(shown)
    if left and clean:
        faults = "one fault" if left == 1 else f"{left} faults"
        yield f"Not ruled out: {faults} that would leave little trace in such a record."
    elif left:
        yield f"Not ruled out either: {left} more, each less likely."
    groups = {tuple(sorted(group_of(causes, number))) for number in shown}
    for group in sorted(groups):
        if len(group) > 1 and not clean:
            names = listed([f"{number + 1}" for number in group])
            yield f"Numbers {names} cannot be told apart by this record."


def between(cause: Cause) -> str:
    """Return a cause's probability with its interval, such as ``"58 % (51 to 65 %)"``."""
    low, high = hundred(cause.low), hundred(cause.high)
    if low == high:
        return hundred(cause.probability)
    bare = low.removesuffix("\u00a0%")
    return f"{hundred(cause.probability)} ({bare} to {high})"


def _doubtful(found: Reconstruction) -> bool:
    return bool(found.unsound)


def _trust(found: Reconstruction, system: str) -> Iterator[str]:
    failed = found.unsound
    for says in failed:
        yield sentence(says, system)
    agreed = sum(each.agrees is True for each in found.checks)
    if agreed and not failed:
        laws = {1: "the one law", 2: "both laws"}.get(agreed, f"all {agreed} laws")
        yield f"It agrees with {laws} that it can be held against."
    if _misleads(found):
        high = amount(found.naive_max_height_m, "height", system)
        yield (
            f"Its highest reading, {high} at {moment(found.naive_max_time_s)}, is not the top of "
            "the flight."
        )
    count = len(found.artefacts)
    if count:
        yield f"{'One stretch' if count == 1 else f'{count} stretches'} of readings left out."
    elif not failed and not agreed:
        yield "Nothing in it speaks against it."


def _misleads(found: Reconstruction) -> bool:
    if found.apogee is None or not math.isfinite(found.naive_max_height_m):
        return False
    off = abs(found.naive_max_height_m - found.apogee.value)
    return off > 3.0 * max(found.apogee.sd, 0.3)


def _missing(found: Reconstruction, system: str) -> Iterator[str]:
    for each in found.missing:
        yield sentence(f"{each.kind}: not visible; {each.why}", system)


def _look_at(causes: Causes) -> Iterator[str]:
    """Name the parts that the likely causes are of; what is found there settles more than odds."""
    likely = causes.causes[: causes.in_set] if causes.causes and causes.causes[0].faults else ()
    parts = list(dict.fromkeys(part for each in likely[:MOST] for part in each.parts))
    if parts and causes.fits:
        yield f"Look first at: {listed(parts)}. What you find belongs into the ledger."


def _next(report: FlightReport) -> Iterator[str]:
    yield from report.next_steps
    if report.causes is not None:
        yield from _look_at(report.causes)
        best = sorted(report.causes.tellings, key=lambda each: -each.resolved)
        for telling in best[:1]:
            said = ended(telling.says)
            yield f"{said[:1].upper()}{said[1:]} would tell {often_told(telling.resolved)}."
    for action in report.actions:
        if action.done is False:
            yield f"{action.number}: {action.says}"
