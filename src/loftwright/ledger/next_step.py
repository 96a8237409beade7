"""What to do next in a campaign: one step, by rules that are gone through in their order.

The first rule that has something to say says it; the last one always has. What rules look at is a
`loftwright.ledger.standing.Standing`: doing a step changes what its rule looks at, so that a step
that was done is never named again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from loftwright.documents.flights import FLIGHT_FILE, FLIGHTS, free_among
from loftwright.documents.template import EXAMPLES
from loftwright.errors import Where
from loftwright.ledger.reasons import (
    action_reason,
    failure_reason,
    finding_reason,
    listed,
    unknown_reason,
)
from loftwright.ledger.standing import FlightSeen, Standing

__all__ = ["RULES", "Against", "Step", "against", "beside_the_check", "next_step"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The one thing to do next.

    ``kind`` is "mend", "flight record", "ledger", "debrief", "keep", "cause", "explain",
    "finding", "judge", "describe", "forecast", "firing", "rehearse", "action", "begin" or "pad".
    ``says`` is the step in a sentence, ``why`` what calls for it; ``command`` are the words that
    do it after ``loftwright``, with DIR for the campaign, none where a person does it. ``where``
    is the place in a document, ``flight`` the flight and ``entry`` the entry of the ledger that it
    is about.
    """

    kind: str
    says: str
    why: str
    command: tuple[str, ...] = ()
    where: Where | None = None
    flight: str | None = None
    entry: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """One thing that speaks against flying yet: of which ``kind``, and what it says."""

    kind: str
    says: str


Rule = Callable[[Standing], Step | None]


def next_step(found: Standing) -> Step:
    """Return the one step to do next."""
    return next(step for rule in RULES if (step := rule(found)) is not None)


def _mend(found: Standing) -> Step | None:
    if not found.broken:
        return None
    first = found.broken[0]
    where = first.where
    place = ", ".join(each for each in (where.file, where.field) if each)
    more = f" (and {len(found.broken) - 1} more)" if len(found.broken) > 1 else ""
    return Step(
        kind="mend",
        says=f"Mend {place or 'the documents'}{more}.",
        why=f"{first.message}; {first.mend}" if first.mend else first.message,
        command=("check", "DIR"),
        where=where,
    )


def _flight_record(found: Standing) -> Step | None:
    broken = next((each for each in found.flights if each.problem is not None), None)
    if broken is None or broken.problem is None:
        return None
    problem = broken.problem
    return Step(
        kind="flight record",
        says=f"Mend {FLIGHTS}/{broken.name}/{FLIGHT_FILE}.",
        why=f"{problem.message}; {problem.mend}" if problem.mend else problem.message,
        where=problem.where,
        flight=broken.name,
    )


def _ledger(found: Standing) -> Step | None:
    problem = found.ledger_problem
    if problem is None:
        return None
    return Step(
        kind="ledger",
        says="See to the ledger.",
        why=f"{problem.message}; {problem.mend}" if problem.mend else problem.message,
        command=("ledger", "verify", "DIR"),
        where=problem.where,
    )


def _newest(found: Standing, of: Callable[[FlightSeen], object]) -> FlightSeen | None:
    """Return the last flight that something is to be done about."""
    sound = (each for each in reversed(found.flights) if each.problem is None)
    return next((each for each in sound if of(each)), None)


def _it(flight: FlightSeen) -> str:
    """Return what to call a flight that was named by its title: by its folder, as elsewhere."""
    return "it" if flight.title == flight.name else flight.name


def _debrief(found: Standing) -> Step | None:
    flight = _newest(found, lambda each: each.logs and not each.is_debriefed)
    if flight is None:
        return None
    return Step(
        kind="debrief",
        says=f"Debrief {flight.title}.",
        why="its record has changed since its figures were kept in the ledger"
        if flight.has_changed
        else f"{_it(flight)} left {listed(list(flight.logs))} behind, and nobody has looked at "
        "that yet",
        command=("debrief", "DIR", flight.name, "--keep"),
        flight=flight.name,
    )


def _keep(found: Standing) -> Step | None:
    flight = _newest(found, lambda each: each.logs and each.is_debriefed and not each.is_kept)
    if flight is None:
        return None
    return Step(
        kind="keep",
        says=f"Keep what the debrief of {flight.title} found in the ledger.",
        why="those in the ledger are of its record as it was before"
        if flight.has_changed
        else "its figures are in no ledger yet, and later flights are held against them",
        command=("debrief", "DIR", flight.name, "--keep"),
        flight=flight.name,
    )


def _cause(found: Standing) -> Step | None:
    flight = _newest(found, lambda each: each.unexplained and each.logs and not each.is_sought)
    if flight is None:
        return None
    return Step(
        kind="cause",
        says=f"Look for the cause of what went wrong in {flight.title}.",
        why=f"the {listed(list(flight.unexplained))} failed, and nobody knows why",
        command=("debrief", "DIR", flight.name, "--causes", "--keep"),
        flight=flight.name,
    )


def _finding(found: Standing) -> Step | None:
    if not found.findings:
        return None
    first = found.findings[0]
    name = f"F{first.number}"
    return Step(
        kind="finding",
        says=f"Settle finding {name}.",
        why=first.what,
        command=("ledger", "close", "DIR", name, "--why", "TEXT"),
        flight=first.flight,
        entry=name,
    )


def _explain(found: Standing) -> Step | None:
    flight = _newest(found, lambda each: each.unexplained)
    if flight is None:
        return None
    function = flight.unexplained[0]
    more = ("--flight", flight.name, "--explains", function, "--sure", "likely")
    return Step(
        kind="explain",
        says=f"Write down why the {function} failed in {flight.title}.",
        why="a failure without a cause comes again",
        command=("ledger", "finding", "DIR", "WHAT", *more),
        flight=flight.name,
    )


def _judge(found: Standing) -> Step | None:
    flight = _newest(found, lambda each: each.not_known)
    if flight is None:
        return None
    functions = list(flight.not_known)
    return Step(
        kind="judge",
        says=f"Say how the {listed(functions)} went in {flight.title}.",
        why="nobody said so, and a flight counts for what is known of it",
        command=("ledger", "judge", "DIR", flight.name, functions[0], "worked"),
        flight=flight.name,
    )


def _describe(found: Standing) -> Step | None:
    if not found.examples:
        return None
    return Step(
        kind="describe",
        says=f"Put what you measured into {found.examples[0]}.",
        why="most of it is still the example that a campaign begins with; where that happens to be "
        f'yours, take out its line "{EXAMPLES}"',
        where=Where(file=found.examples[0]),
    )


def _firing(found: Standing) -> Step | None:
    if found.flies or found.firing is not None:
        return None
    return Step(
        kind="firing",
        says="Fire it on the stand, by the model.",
        why="it has no fins and does not fly; what it pushes was not worked out yet",
        command=("firing", "DIR"),
    )


def _forecast(found: Standing) -> Step | None:
    if not found.flies or found.is_forecast:
        return None
    why = "nobody has worked out yet what these documents will do"
    if found.changed is not None:
        why = f"the documents have changed since {found.changed}, and were not forecast since"
    command = ("forecast", "DIR", "--flights", "400")
    return Step(kind="forecast", says="Forecast the flight.", why=why, command=command)


def _rehearse(found: Standing) -> Step | None:
    if not found.flies or not found.needs_programs or found.rehearsal is not None:
        return None
    return Step(
        kind="rehearse",
        says="Rehearse it with every fault.",
        why="the programs were not rehearsed with these documents",
        command=("rehearse", "DIR"),
    )


def _action(found: Standing) -> Step | None:
    if not found.actions:
        return None
    first = min(found.actions, key=lambda each: (each.due is None, each.due or "", each.number))
    name = f"A{first.number}"
    who = f"{first.who}: " if first.who else ""
    return Step(
        kind="action",
        says=f"Do action {name}, and close it.",
        why=f"{who}{first.what}",
        command=("ledger", "close", "DIR", name, "--why", "TEXT"),
        entry=name,
    )


def _begin(found: Standing) -> Step | None:
    if found.begun is not None or not found.flies:
        return None
    name = free_among((each.name for each in found.flights), found.day.isoformat())
    return Step(
        kind="begin",
        says=f"Begin flight {name}: keep the documents as they are, with a forecast.",
        why="a forecast that is kept before the flight can be scored after it",
        command=("record", "DIR", name),
        flight=name,
    )


def _pad(found: Standing) -> Step:
    begun = found.begun
    if begun is None:
        return Step(
            kind="pad",
            says="Go over the list on the pad, and fire it from a distance.",
            why="nothing in the documents and the ledger speaks for anything else first",
        )
    return Step(
        kind="pad",
        says=f"Go over the list on the pad, fly {begun.title}, and take in what it leaves behind.",
        why="its documents and its forecast are kept",
        command=("record", "DIR", begun.name, "FILE"),
        flight=begun.name,
    )


RULES: tuple[Rule, ...] = (
    _mend,
    _flight_record,
    _ledger,
    _debrief,
    _cause,
    _keep,
    _finding,
    _explain,
    _judge,
    _describe,
    _firing,
    _forecast,
    _rehearse,
    _action,
    _begin,
    _pad,
)


# ---------------------------------------------------------------- what speaks against it


def against(found: Standing) -> tuple[Against, ...]:
    """Return what speaks against flying yet, by the documents, the ledger and what was done."""
    return tuple(_against(found))


def _against(found: Standing) -> Iterator[Against]:
    for problem in found.broken:
        place = ", ".join(each for each in (problem.where.file, problem.where.field) if each)
        yield Against(kind="documents", says=f"{place}: {problem.message}" if place else
                      problem.message)  # fmt: skip
    for file in found.examples:
        yield Against(kind="example", says=f"{file} is still mostly the example of a new campaign")
    if found.ledger_problem is not None:
        yield Against(kind="ledger", says=found.ledger_problem.message)
    for problem in found.doubts:
        yield Against(kind="check", says=problem.message)
    yield from _not_debriefed(found)
    yield from _of_flights(found)
    for finding in found.findings:
        yield Against(kind="finding", says=finding_reason(finding).says)
    for action in found.actions:
        yield Against(kind="action", says=action_reason(action, found.day).says)
    yield from _not_done(found)


def beside_the_check(found: Standing) -> tuple[Against, ...]:
    """Return what speaks against flying besides documents, check and open actions.

    A list for the pad tells those by themselves; what concerns records alone can wait till after.
    """
    kinds = ("ledger", "failure", "finding", "forecast", "rehearsal")
    return tuple(each for each in _against(found) if each.kind in kinds)


MOST_NAMED = 3


def _not_debriefed(found: Standing) -> Iterator[Against]:
    """Yield the flights that nobody looked at, as one reason: a long season would hide the rest."""
    sound = (each for each in found.flights if each.problem is None)
    names = [each.name for each in sound if each.logs and not each.is_debriefed]
    if len(names) > MOST_NAMED + 1:
        names = [*names[:MOST_NAMED], f"{len(names) - MOST_NAMED} more"]
    if names:
        says = f"{listed(names)} {'is' if len(names) == 1 else 'are'} not debriefed"
        yield Against(kind="flight", says=says)


def _of_flights(found: Standing) -> Iterator[Against]:
    for flight in found.flights:
        if flight.problem is not None:
            says = f"the record of {flight.name} does not read: {flight.problem.message}"
            yield Against(kind="flight", says=says)
            continue
        for function in flight.unexplained:
            yield Against(kind="failure", says=failure_reason(flight.name, function).says)
        if flight.not_known:
            says = unknown_reason(flight.name, list(flight.not_known)).says
            yield Against(kind="record", says=says)


def _not_done(found: Standing) -> Iterator[Against]:
    if found.campaign is None:
        return
    if found.flies and not found.is_forecast:
        yield Against(kind="forecast", says="these documents were not forecast")
    if found.flies and found.needs_programs and found.rehearsal is None:
        yield Against(kind="rehearsal", says="the programs were not rehearsed with these documents")
