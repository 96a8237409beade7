"""Where a campaign stands, in words: for a terminal and for the first page of the workbench."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from loftwright.ledger.next_step import Against, Step, against, next_step
from loftwright.ledger.reasons import listed
from loftwright.ledger.standing import FlightSeen, Standing
from loftwright.report.estimates import day_words, plus_minus
from loftwright.report.ledger_words import action_line, finding_line
from loftwright.report.shell import quoted

__all__ = ["Glance", "WorkedLine", "command_words", "glance_words"]

MOST = 6  # things that speak against it, told one by one


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedLine:
    """What was worked out of the documents as they stand, when, and its lead."""

    what: str
    when: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """A campaign at a glance, in words of the person's units.

    ``carries`` names what flies and where; ``lead`` is readiness in one line, ``against`` what
    speaks against it, ``left_out`` how much of that is not told here. ``last`` is the last flight
    in a sentence, ``height`` how high it went (empty where that is not known).
    """

    name: str
    question: str
    carries: str
    lead: str
    is_ready: bool
    step: Step
    against: tuple[Against, ...]
    left_out: int
    last: str
    last_flight: FlightSeen | None
    height: str
    actions: tuple[str, ...]
    findings: tuple[str, ...]
    worked: tuple[WorkedLine, ...]
    changed: str


def glance_words(found: Standing) -> Glance:
    """Put where a campaign stands into words."""
    reasons = against(found)
    return Glance(
        name=found.home.resolve().name if found.head is None else found.head.name,
        question="" if found.head is None else found.head.question,
        carries=_carries(found),
        lead=_lead(found, reasons),
        is_ready=not reasons,
        step=next_step(found),
        against=reasons[:MOST],
        left_out=max(len(reasons) - MOST, 0),
        last=_last(found),
        last_flight=found.last_flight,
        height="" if found.last_flight is None else _height(found.last_flight, _units(found)),
        actions=tuple(action_line(each) for each in found.actions),
        findings=tuple(finding_line(each) for each in found.findings),
        worked=tuple(_worked(found)),
        changed=_changed(found),
    )


def _units(found: Standing) -> str:
    return "metric" if found.head is None else found.head.units


def _carries(found: Standing) -> str:
    """Return what flies, what it carries, and from where."""
    campaign = found.campaign
    if campaign is None:
        return ""
    names = [payload.name for payload in campaign.payloads.values()]
    carried = ""
    if names:
        together = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
        carried = f" with {together}"
    place = f", {campaign.site.place.name}" if campaign.site.place.name else ""
    return f"{campaign.vehicle.name}{carried}{place}"


def _lead(found: Standing, reasons: tuple[Against, ...]) -> str:
    if found.broken:
        count = len([each for each in found.broken if each.severity == "error"])
        what = "one thing is" if count == 1 else f"{count} things are"
        return f"The documents do not read: {what} wrong with them."
    if not reasons:
        return (
            "Nothing in the documents and the ledger speaks against flying; "
            "they do not say that it is safe."
        )
    what = "one thing speaks" if len(reasons) == 1 else f"{len(reasons)} things speak"
    return f"Not ready to fly: {what} against it."


def _last(found: Standing) -> str:
    last = found.last_flight
    if last is None:
        return "Nothing has flown yet."
    day = f", flown {day_words(last.flown)}" if last.flown else ""
    called = last.title if last.title == last.name else f"{last.title} ({last.name})"
    went = "nobody said how it went" if last.outcome == "not judged" else last.outcome
    failed = [name for name, own in last.outcomes.items() if own.outcome == "failed"]
    what = f"; the {listed(failed)} failed" if failed else ""
    return f"{called}{day}: {went}{what}."


def _height(last: FlightSeen, system: str) -> str:
    """Return how high a flight went by its debrief, above the pad; empty where nobody knows."""
    own = next((each for each in last.figures if each.name == "apogee_m"), None)
    return "" if own is None else plus_minus(own.value, own.sd or 0.0, "height", system)


def _worked(found: Standing) -> Iterator[WorkedLine]:
    for note in (found.firing, found.forecast, found.rehearsal):
        if note is not None:
            yield WorkedLine(what=_NOUNS[note.verb], when=_here(note.when), says=note.says)


_NOUNS = {"firing": "Firing", "forecast": "Forecast", "rehearse": "Rehearsal"}


def _here(when: str) -> str:
    """Return a moment by the clock of this machine; what is no moment stays as it is."""
    try:
        found = datetime.fromisoformat(when).astimezone()
    except (ValueError, OverflowError, OSError):
        return when
    return f"{found:%Y-%m-%d, %H:%M}"


def _changed(found: Standing) -> str:
    if found.changed is None:
        return ""
    return f"The documents have changed since {found.changed} flew."


def command_words(step: Step, folder: str = "DIR") -> str:
    """Return the command that does a step as a person types it; empty where a person does it."""
    if not step.command:
        return ""
    named = {"DIR": folder}
    return " ".join(["loftwright", *(quoted(named.get(each, each)) for each in step.command)])
