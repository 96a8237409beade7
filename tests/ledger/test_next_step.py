"""What to do next: always exactly one step, never one that is done, and an end to them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.worked import Worked
from loftwright.errors import Problem, Where
from loftwright.ledger.entries import Action, Finding
from loftwright.ledger.functions import FUNCTIONS, OUTCOMES, Outcome
from loftwright.ledger.next_step import RULES, Step, against, next_step
from loftwright.ledger.standing import FlightSeen, Standing

DAY = date(2026, 5, 17)
PROBLEM = Problem("x", "it is wrong", Where(file="vehicle.toml", field="mass"), "mend it")

problems = st.lists(st.just(PROBLEM), max_size=3).map(tuple)
due = st.none() | st.dates(date(2026, 1, 1), date(2026, 12, 31)).map(date.isoformat)


@st.composite
def flights(draw: st.DrawFn, name: str) -> FlightSeen:
    if draw(st.integers(0, 5)) == 0:
        return FlightSeen(name=name, title=name, problem=PROBLEM)
    has_flown = draw(st.booleans())
    debriefed = draw(st.booleans())
    outcomes = {
        function: Outcome(
            function=function,
            outcome=draw(st.sampled_from(OUTCOMES)) if has_flown else "not tried",
            says="",
            judged=draw(st.booleans()),
        )
        for function in FUNCTIONS
    }
    return FlightSeen(
        name=name,
        title=f"Flight {name}",
        has_flown=has_flown,
        logs=("board.csv",) if has_flown and draw(st.booleans()) else (),
        outcomes=outcomes,
        is_debriefed=debriefed,
        is_kept=debriefed and draw(st.booleans()),
        is_sought=draw(st.booleans()),
        explained=frozenset(draw(st.sets(st.sampled_from(FUNCTIONS)))),
        is_present=draw(st.booleans()),
    )


@st.composite
def standings(draw: st.DrawFn) -> Standing:
    names = ("a", "b", "2026-05-17-a")[: draw(st.integers(0, 3))]
    finding = Finding(number=1, noted="", what="the hook slips", sure="likely", unsettled=True)
    counts = draw(st.integers(0, 2)), draw(st.integers(0, 3))
    return Standing(
        home=Path("lift"),
        day=DAY,
        broken=draw(problems),
        examples=draw(st.sampled_from([(), ("vehicle.toml",), ("vehicle.toml", "site.toml")])),
        flies=draw(st.booleans()),
        needs_programs=draw(st.booleans()),
        flights=tuple(draw(flights(name)) for name in names),
        ledger_problem=draw(st.none() | st.just(PROBLEM)),
        findings=tuple(replace(finding, number=k + 1) for k in range(counts[0])),
        actions=tuple(
            Action(number=k + 1, noted="", what="fit a hook", due=draw(due))
            for k in range(counts[1])
        ),
        is_forecast=draw(st.booleans()),
        rehearsal=draw(st.none() | st.just(Worked(verb="rehearse", of=""))),
        firing=draw(st.none() | st.just(Worked(verb="firing", of=""))),
    )


def done(found: Standing, step: Step) -> Standing:
    """Return where the campaign stands once ``step`` was done."""
    whole = {
        "mend": {"broken": ()},
        "describe": {"examples": found.examples[1:]},
        "ledger": {"ledger_problem": None},
        "forecast": {"is_forecast": True},
        "firing": {"firing": Worked(verb="firing", of="")},
        "rehearse": {"rehearsal": Worked(verb="rehearse", of="")},
        "finding": {"findings": tuple(e for e in found.findings if f"F{e.number}" != step.entry)},
        "action": {"actions": tuple(e for e in found.actions if f"A{e.number}" != step.entry)},
    }
    if step.kind in whole:
        return replace(found, **whole[step.kind])
    if step.kind == "begin":
        assert step.flight not in {each.name for each in found.flights}
        begun = FlightSeen(name=str(step.flight), title="new", is_present=True)
        return replace(found, flights=(*found.flights, begun))
    flights = [
        flown(each, step.kind) if each.name == step.flight else each for each in found.flights
    ]
    return replace(found, flights=tuple(flights))


def flown(flight: FlightSeen, kind: str) -> FlightSeen:
    """Return a flight once a step about it was done."""
    if kind == "judge":
        judged = {
            name: replace(own, judged=True) if own.outcome == "not known" else own
            for name, own in flight.outcomes.items()
        }
        return replace(flight, outcomes=judged)
    changes = {
        "flight record": {"problem": None},
        "debrief": {"is_debriefed": True, "is_kept": True},
        "keep": {"is_kept": True},
        "cause": {"is_sought": True},
        "explain": {"explained": flight.explained | set(flight.unexplained[:1])},
    }
    return replace(flight, **changes[kind])


@given(standings())
def test_there_is_one_step_and_doing_it_leads_to_another_until_the_pad(found: Standing) -> None:
    told = set()
    while (step := next_step(found)).kind != "pad":
        assert (step.kind, step.says) not in told, "named again although it was done"
        told.add((step.kind, step.says))
        assert step.says
        assert step.why
        found = done(found, step)
    assert next_step(found).says


@given(standings())
def test_a_step_is_named_because_something_speaks_for_it(found: Standing) -> None:
    step = next_step(found)
    reasons = against(found)
    if step.kind not in ("pad", "begin", "firing", "keep", "forecast", "rehearse"):
        assert reasons
    if step.kind == "pad":
        assert not [each for each in reasons if each.kind not in ("check",)]


@given(standings())
def test_the_first_rule_that_says_something_counts(found: Standing) -> None:
    said = [step for rule in RULES if (step := rule(found)) is not None]
    assert next_step(found) == said[0]


def test_what_is_due_first_is_done_first() -> None:
    actions = tuple(
        Action(number=number, noted="", what="x", due=due)
        for number, due in ((1, None), (2, "2026-06-01"), (3, "2026-05-01"))
    )
    found = Standing(home=Path("lift"), day=DAY, flies=False, actions=actions)
    found = replace(found, firing=Worked(verb="firing", of=""))
    assert next_step(found).entry == "A3"


def test_flights_that_nobody_looked_at_are_one_reason() -> None:
    def said(*names: str) -> list[str]:
        seen = tuple(FlightSeen(name=each, logs=("b.csv",)) for each in names)
        found = Standing(home=Path(), day=DAY, flights=seen)
        return [each.says for each in against(found) if each.kind == "flight"]

    assert said("a") == ["a is not debriefed"]
    assert said("a", "b", "c", "d") == ["a, b, c and d are not debriefed"]
    assert said(*"abcde") == ["a, b, c and 2 more are not debriefed"]
    assert said() == []
