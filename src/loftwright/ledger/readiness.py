"""Whether what a campaign has shown lets its program go on a costlier vehicle: reasons, no oracle.

The answer is never a bare yes. Where nothing in the ledger speaks against it, what that rests on is
told; people, the site and the local code are in no ledger.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from loftwright.ledger.changes import build_changes, documents_of
from loftwright.ledger.contents import Contents
from loftwright.ledger.counting import changes_that_count
from loftwright.ledger.functions import FAILED, NOT_KNOWN, carries
from loftwright.ledger.history import Flown, flown_flights
from loftwright.ledger.reasons import (
    Reason,
    action_reason,
    failure_reason,
    finding_reason,
    listed,
    unknown_reason,
)
from loftwright.ledger.reliability import Asked, FunctionReliability, Reliability, reliability
from loftwright.ledger.verify import Verified, verify

__all__ = ["CAUTIONS", "Readiness", "Reason", "readiness"]

CAUTIONS = (
    "The costlier vehicle is another build: what flew says less about it the more it differs. "
    "Begin with it over water, or over ground where nobody is.",
    "Whether people are safe is decided in the field, by those who fly: keep the area clear, "
    "follow local codes and the rules of the air, ask the landowner and whoever is licensed.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Readiness:
    """What speaks against it, what it would rest on, and the figures behind both."""

    reasons: tuple[Reason, ...]
    rests_on: tuple[str, ...]
    reliability: Reliability
    verified: Verified
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def is_ready(self) -> bool:
        """Whether nothing in this ledger speaks against it; that is not the same as safe."""
        return not self.reasons

    @property
    def lead(self) -> str:
        """The answer in a sentence."""
        if not self.reasons:
            return "Nothing in this ledger speaks against it; it does not say that it is safe."
        count = len(self.reasons)
        what = "one thing speaks" if count == 1 else f"{count} things speak"
        return f"Not yet: {what} against it."


def readiness(
    ledger: Contents,
    asked: Asked | None = None,
    present: Mapping[str, bytes] | None = None,
    today: date | None = None,
    progress: Callable[[int, int], object] | None = None,
) -> Readiness:
    """Say what speaks against flying this program on a costlier vehicle.

    Parameters
    ----------
    ledger
        An open one.
    asked
        The reliability that is wanted, how surely, and which flights count. Functions that the
        build has nothing for are left out.
    present
        The documents of the build that is to go on, by file; the campaign's as they stand when left
        out.
    today
        To tell what is overdue.
    progress
        As for `loftwright.ledger.verify.verify`.

    Raises
    ------
    ProblemError
        As `loftwright.ledger.reliability.reliability`.
    """
    asked, day = asked or Asked(), today or date.today()
    present = documents_of(ledger.folder) if present is None else present
    has = carries(present)
    functions = tuple(each for each in asked.functions if has is None or each in has)
    asked = replace(asked, functions=functions)
    flights = tuple(each for each in flown_flights(ledger) if each.has_flown)
    shown = reliability(ledger, asked, present)
    verified = verify(ledger, progress)
    reasons = [
        *_flights(flights),
        *_evidence(verified),
        *_failures(ledger, flights, functions),
        *_findings(ledger),
        *_actions(ledger, day),
        *_changes(flights, shown, present),
        *_records(shown),
        *_levels(shown),
    ]
    return Readiness(
        reasons=tuple(reasons),
        rests_on=tuple(_rests_on(flights, shown, verified)),
        reliability=shown,
        verified=verified,
    )


def _flights(flights: tuple[Flown, ...]) -> Iterator[Reason]:
    if not flights:
        do = "fly, and keep what each flight leaves behind in flights/"
        yield Reason(kind="flights", says="nothing has flown yet", do=do)


def _evidence(verified: Verified) -> Iterator[Reason]:
    for problem in verified.problems:
        says = f"{problem.where.file}: {problem.message}"
        yield Reason(kind="evidence", says=says, do=problem.mend)


def _failures(
    ledger: Contents, flights: tuple[Flown, ...], functions: tuple[str, ...]
) -> Iterator[Reason]:
    """Yield failures that no finding explains with more than a guess."""
    explained = {
        (each.flight, each.explains) for each in ledger.findings() if each.sure != "possible"
    }
    for each in flights:
        for function in functions:
            name = each.entry.name
            if each.outcomes[function].outcome == FAILED and (name, function) not in explained:
                yield failure_reason(name, function)


def _findings(ledger: Contents) -> Iterator[Reason]:
    yield from map(finding_reason, ledger.findings(open_only=True))


def _actions(ledger: Contents, day: date) -> Iterator[Reason]:
    yield from (action_reason(each, day) for each in ledger.actions(open_only=True))


def _changes(
    flights: tuple[Flown, ...], shown: Reliability, present: Mapping[str, bytes]
) -> Iterator[Reason]:
    """Yield what has never flown as it stands, told by what changed since the last flight."""
    last = next((each for each in reversed(flights) if each.documents), None)
    if last is None:
        if flights:
            says = "no flight has kept the documents that flew"
            do = "keep the campaign's documents in flights/NAME/build/"
            yield Reason(kind="change", says=says, do=do)
        return
    differs = build_changes(last.documents, present)
    told: dict[tuple[str, ...], list[str]] = {}
    for each in shown.functions:
        if not any(flight.is_same for flight in each.flights):
            found = changes_that_count(differs, shown.asked.depends[each.function])
            told.setdefault(tuple(change.path for change in found), []).append(each.function)
    for paths, functions in told.items():
        changes = tuple(change for change in differs if change.path in paths)
        says = f"{_count(len(changes), 'change')} since {last.entry.name} in what "
        says += f"{listed(functions)} depends on: never flown so"
        do = "fly it as it stands, on the vehicle that may be lost"
        yield Reason(kind="change", says=says, do=do, changes=changes)


def _records(shown: Reliability) -> Iterator[Reason]:
    """Yield flights of which it is not known how they went."""
    unknown: dict[str, list[str]] = {}
    for function in shown.functions:
        for each in function.flights:
            if each.outcome == NOT_KNOWN:
                unknown.setdefault(each.flight, []).append(function.function)
    for flight, functions in unknown.items():
        yield unknown_reason(flight, functions)


def _levels(shown: Reliability) -> Iterator[Reason]:
    asked = shown.asked
    for each in shown.functions:
        if each.is_shown:
            continue
        worked, flown = round(each.exact_tally.worked), round(each.exact_tally.flights)
        says = f"{each.function}: worked in {worked} of {flown} flights that count in full. That "
        says += f"shows {_percent(each.lower)} with confidence {_percent(asked.confidence)}; "
        says += f"wanted is {_percent(asked.wanted)}"
        more = each.more.by_formula
        flights = _count(more, "more flight")
        allowed = _allowed(each.more.may_fail)
        do = f"fly {flights} of this build{allowed}"
        yield Reason(kind="reliability", says=says, do=do, function=each.function)


def _allowed(may_fail: int) -> str:
    if may_fail == 0:
        return " without a failure"
    return f" of which no more than {may_fail} may fail"


def _rests_on(flights: tuple[Flown, ...], shown: Reliability, verified: Verified) -> Iterator[str]:
    yield _count(len(flights), "flight")
    yield f"{_count(verified.files, 'file')} of evidence, read and held to the ledger's digests"
    for each in shown.functions:
        yield _rests(each, shown.asked)


def _rests(each: FunctionReliability, asked: Asked) -> str:
    worked, flown = round(each.exact_tally.worked), round(each.exact_tally.flights)
    says = f"{each.function}: {worked} of {flown} flights that count in full, at least "
    says += f"{_percent(each.lower)} with confidence {_percent(asked.confidence)}"
    others = sum(1 for one in each.flights if one.weight > 0.0 and not one.is_same)
    if others and asked.count == "weighted":
        says += f"; {_count(others, 'flight')} of another build, by {asked.weight:g} in posteriors"
    return says


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _percent(share: float) -> str:
    """Return a share as a percentage, rounded down: a bound must not read as more than it is."""
    return f"{int(100.0 * share + 1e-9)} %"
