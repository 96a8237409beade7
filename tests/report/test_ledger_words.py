"""What the ledger says: lines of entries, figures side by side, sentences of reliability."""

from __future__ import annotations

import time

import pytest

from loftwright.documents.flight_record import Conditions, FlightRecord, Landed, Stopwatch
from loftwright.ledger.counting import Counted, Tally
from loftwright.ledger.demonstration import MoreFlights
from loftwright.ledger.entries import Action, Decision, EvidenceName, Figure, Finding
from loftwright.ledger.reliability import Asked, FunctionReliability
from loftwright.report import ledger_words as words
from loftwright.report.estimates import day_here
from loftwright.report.field_words import path_words
from loftwright.units import Quantity

DAY = "2026-05-03T10:00:00+00:00"


def test_an_action_says_who_when_and_what_closed_it():
    one = Action(number=3, noted=DAY, what="Fit a hook", who="Ben", due="2026-05-10", finding=2)
    assert words.action_line(one) == "A3  Fit a hook (Ben, due 2026-05-10, for F2)"
    two = Action(
        number=4, noted=DAY, what="Ask", closed=DAY, closed_by="lift-2", closed_why="agreed"
    )
    assert words.action_line(two) == "A4  Ask; closed 2026-05-03 by lift-2: agreed"


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be changed there")
@pytest.mark.parametrize(("zone", "day"), [("UTC", "03"), ("XXX+8", "02"), ("XXX-9", "03")])
def test_a_day_is_that_of_this_place(monkeypatch, zone, day):
    monkeypatch.setenv("TZ", zone)  # POSIX: XXX+8 is eight hours behind
    time.tzset()
    try:
        two = Action(number=4, noted=DAY, what="Ask", closed="2026-05-03T02:00:00+00:00")
        assert words.action_line(two) == f"A4  Ask; closed 2026-05-{day}"
        assert day_here("2026-05-03") == "2026-05-03"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_finding_says_how_sure_it_is_and_what_shows_it():
    one = Finding(
        number=1, noted=DAY, what="It slipped", sure="known", flight="lift-1", who="Ana",
        explains="release", unsettled=True, evidence=(EvidenceName("lift-1", "b.csv", "e"),),
    )  # fmt: skip
    assert words.finding_line(one) == (
        "F1  It slipped (known, explains the release, from lift-1, by Ana, not settled). "
        "Shown by lift-1/b.csv."
    )
    assert words.finding_line(Finding(number=2, noted=DAY, what="Wet", sure="likely")) == (
        "F2  Wet (likely)"
    )


def test_a_decision_says_why_and_by_whom():
    one = Decision(number=1, noted=DAY, what="Fly", why="It holds", who="Ana")
    assert words.decision_line(one) == "D1  Fly. Because: It holds. By Ana, 2026-05-03."


@pytest.mark.parametrize(
    ("system", "cells"),
    [
        (
            "metric",
            [
                "0.6\u00a0L",
                "5.5\u00a0bar",
                "6.4\u00a0s",
                "48\u00a0m",
                "94.2\u00a0±\u00a00.8\u00a0m",
            ],
        ),
        (
            "us",
            [
                "0.6\u00a0L",
                "79.8\u00a0psi",
                "6.4\u00a0s",
                "157\u00a0ft",
                "309\u00a0±\u00a03\u00a0ft",
            ],
        ),
    ],
)
def test_figures_stand_side_by_side_in_the_persons_units(system, cells):
    record = FlightRecord(
        name="x", evidence=(), saw=(), station=(), sighting=(),
        conditions=Conditions(water_volume=Quantity(0.6e-3, 0), gauge_pressure=Quantity(5.5e5, 0)),
        stopwatch=(Stopwatch(end="apogee", time=Quantity(6.4, 0.3)),),
        landed=(Landed(distance=Quantity(48.0, 3.0), bearing=Quantity(1.0, 0.1)),),
    )  # fmt: skip
    apogee = Figure(flight="x", name="apogee_m", made_by="log", value=94.2, sd=0.8, noted=DAY)
    bare = FlightRecord(
        name="y", evidence=(), saw=(), station=(), sighting=(), stopwatch=(), landed=()
    )
    rows = words.figure_rows([(record, (apogee,)), (bare, ())], system)
    assert [row[1] for row in rows] == cells
    assert {row[2] for row in rows} == {words.NONE}
    assert rows[0][0] == "water filled in"


def one_function(**more) -> FunctionReliability:
    flight = Counted(
        flight="lift-1", title="x", outcome="worked", says="", weight=0.5,
        changes=("payload.hold.strength", "payload.mass", "a.b", "a.c", "a.d", "a.e"),
    )  # fmt: skip
    values = {
        "function": "release", "flights": (flight,), "tally": Tally(worked=0.5, flights=0.5),
        "exact_tally": Tally(worked=0, flights=0), "exact": (0.0, 1.0), "lower": 0.8999,
        "jeffreys": (0.1, 1.0), "prior": (0.2, 0.9), "chance_wanted": 0.31,
        "more": MoreFlights(
            total=16, by_formula=16, by_simulation=16, by_posterior=None, may_fail=1, chance=0.2
        ),
    }  # fmt: skip
    return FunctionReliability(**{**values, **more})


def test_a_bound_is_never_rounded_up():
    said = " ".join(words.reliability_sentences(one_function(), Asked()))
    assert "at least 89.9 % with confidence 80 %" in said


def test_what_is_needed_and_what_changed_is_said():
    said = " ".join(words.reliability_sentences(one_function(), Asked()))
    assert "with 1 at most of them failing: 16 more by the success-run formula" in said
    assert "more than anybody flies by the posterior" in said
    assert "Since changed: strength of the hold, payload mass, " in said
    assert "and 2 more" in said


def test_each_way_to_count_is_said_in_words():
    said = {words.counting_sentence(Asked(count=count)) for count in ("same", "weighted", "all")}
    assert len(said) == 3
    assert any("counts 0.5 (--weight)" in each for each in said)


@pytest.mark.parametrize(
    ("path", "called"),
    [
        ("program.board", "program of board"),
        ("program.board.sample_every", "program of board: sample every"),
        ("program.board.stage.2.way.0.hold", "program of board: stage 3, way 1, hold"),
        ("payload.hold.strength", "strength of the hold"),
        ("payload2", "second payload"),
    ],
)
def test_fields_are_called_by_words(path, called):
    assert path_words(path) == called
