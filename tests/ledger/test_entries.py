"""Findings, actions and decisions: kept as they were said, closed once, refused in words."""

from __future__ import annotations

import pytest

from loftwright.errors import ProblemError


def codes(error: pytest.ExceptionInfo[ProblemError]) -> list[str]:
    return [problem.code for problem in error.value.problems]


def test_a_finding_keeps_what_shows_it(ledger):
    made = ledger.add_finding(
        "  The hook slipped at 11 N ",
        sure="known",
        flight="First lift",
        evidence=["board.csv"],
        explains="release",
        unsettled=True,
        who="Ana",
    )
    assert ledger.findings("first-lift") == (made,)
    assert ledger.findings("second-lift") == ()
    assert made.what == "The hook slipped at 11 N"
    assert (made.flight, made.evidence[0].file) == ("first-lift", "board.csv")
    assert made.evidence[0].sha256 == ledger.evidence("first-lift")[0].sha256
    assert made.is_open


def test_a_finding_is_closed_once_by_a_flight(ledger):
    number = ledger.add_finding("It slipped", unsettled=True).number
    assert ledger.close_finding(number, flight="second-lift").closed_by == "second-lift"
    assert ledger.findings(open_only=True) == ()
    with pytest.raises(ProblemError) as told:
        ledger.close_finding(number, why="again")
    assert codes(told) == ["ledger-closed"]


def test_a_finding_that_waits_for_nothing_is_not_closed(ledger):
    number = ledger.add_finding("The field is wet").number
    with pytest.raises(ProblemError) as told:
        ledger.close_finding(number, why="dry now")
    assert codes(told) == ["ledger-closed"]


def test_an_action_is_open_until_a_flight_or_a_reason_closes_it(ledger):
    finding = ledger.add_finding("It slipped").number
    one = ledger.add_action("A second hook", who="Ben", due="2026-06-01", finding=finding)
    two = ledger.add_action("Ask the farmer")
    assert ledger.actions(open_only=True) == (one, two)
    assert (one.due, one.finding) == ("2026-06-01", finding)
    ledger.close_action(two.number, why="he agreed")
    assert ledger.actions(open_only=True) == (one,)
    assert ledger.action(two.number).closed_why == "he agreed"


def test_a_decision_keeps_why_and_on_what(ledger):
    made = ledger.add_decision(
        "Fly on", why="The hook holds", who="Ana", evidence=["first-lift/board.csv"]
    )
    assert ledger.decisions() == (made,)
    assert made.evidence[0].flight == "first-lift"


def test_figures_are_replaced_by_what_made_them_only(ledger):
    ledger.keep_figures("first-lift", {"apogee_m": (90.0, 1.0), "x_s": (1.0, None)}, made_by="log")
    ledger.keep_figures("first-lift", {"apogee_m": (84.0, 5.0)}, made_by="watch")
    ledger.keep_figures("first-lift", {"apogee_m": (91.0, 0.8)}, made_by="log")
    found = {(each.name, each.made_by): (each.value, each.sd) for each in ledger.figures()}
    assert found == {("apogee_m", "log"): (91.0, 0.8), ("apogee_m", "watch"): (84.0, 5.0)}


@pytest.mark.parametrize(
    ("write", "code"),
    [
        (lambda own: own.add_finding("  "), "ledger-words"),
        (lambda own: own.add_finding("x" * 4001), "ledger-words"),
        (lambda own: own.add_finding("a\0b"), "ledger-words"),
        (lambda own: own.add_finding("a\ud800b"), "ledger-words"),
        (lambda own: own.add_finding("x", sure="surely"), "ledger-words"),
        (lambda own: own.add_finding("x", explains="release"), "ledger-words"),
        (lambda own: own.add_finding("x", flight="third"), "ledger-no-such"),
        (lambda own: own.add_finding("x", flight="first-lift", evidence=["n"]), "ledger-no-such"),
        (lambda own: own.add_finding("x", evidence=["board.csv"]), "ledger-no-such"),
        (lambda own: own.add_action("x", due="3 May"), "ledger-day"),
        (lambda own: own.add_action("x", due="2026-02-30"), "ledger-day"),
        (lambda own: own.add_action("x", finding=9), "ledger-no-such"),
        (lambda own: own.add_decision("x", why=""), "ledger-words"),
        (lambda own: own.close_action(1, why="x"), "ledger-no-such"),
        (lambda own: own.close_finding(1, why="x"), "ledger-no-such"),
        (lambda own: own.judge("first-lift", "boost", "worked"), "ledger-words"),
        (lambda own: own.judge("first-lift", "launch", "fine"), "ledger-words"),
        (lambda own: own.judge("third", "launch", "worked"), "ledger-no-such"),
        (lambda own: own.keep_figures("first-lift", {"a": (float("nan"), None)}, made_by="x"),
         "ledger-words"),
        (lambda own: own.document("0" * 64), "ledger-no-such"),
        (lambda own: own.build("0" * 64), "ledger-no-such"),
        (lambda own: own.decision(4), "ledger-no-such"),
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_refused_and_nothing_is_written(ledger, write, code):
    from loftwright.ledger.exchange import content

    before = content(ledger)
    with pytest.raises(ProblemError) as told:
        write(ledger)
    assert codes(told) == [code]
    assert told.value.problems[0].mend
    assert content(ledger) == before


def test_closing_without_saying_by_what_is_refused(ledger):
    number = ledger.add_action("x").number
    with pytest.raises(ProblemError) as told:
        ledger.close_action(number)
    assert codes(told) == ["ledger-words"]
    assert ledger.action(number).is_open


def test_a_name_that_would_be_a_command_of_the_database_is_only_a_name(ledger):
    words = "x'); DROP TABLE action; --"
    ledger.add_action(words)
    assert ledger.actions()[0].what == words
