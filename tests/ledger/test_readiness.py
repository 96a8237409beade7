"""Whether the program may go on a costlier vehicle: every reason, none hidden, never a bare yes."""

from __future__ import annotations

from datetime import date

import pytest
from ledger import campaigns

from loftwright.ledger.functions import FUNCTIONS
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.readiness import readiness
from loftwright.ledger.reliability import Asked
from loftwright.ledger.taking_in import take_in

EASY = Asked(wanted=0.3, confidence=0.5)  # what two flights show


def kinds(found) -> list[str]:
    return [reason.kind for reason in found.reasons]


@pytest.fixture
def good(campaign):
    """A campaign whose only two flights went well, its ledger open."""
    for number in (1, 2):
        campaigns.add_flight(
            campaign, f"lift-{number}", flown=f"2026-05-0{number}", outcome="success",
            files={"board.csv": b"x"},
        )  # fmt: skip
    with open_ledger(campaign) as ledger:
        take_in(ledger)
        yield ledger


def test_what_nothing_speaks_against_is_no_bare_yes(good):
    found = readiness(good, EASY)
    assert found.is_ready
    assert found.reasons == ()
    assert found.lead.startswith("Nothing in this ledger speaks against it; it does not say")
    assert any("2 flights" in each for each in found.rests_on)
    assert any("canopy: 2 of 2" in each for each in found.rests_on)
    cautions = " ".join(found.cautions)
    assert all(each in cautions for each in ("local codes", "landowner", "nobody is", "people"))


def test_what_was_wanted_is_not_yet_shown(good):
    found = readiness(good)
    assert found.lead == "Not yet: 4 things speak against it."
    assert kinds(found) == ["reliability"] * 4
    assert [reason.function for reason in found.reasons] == list(FUNCTIONS)
    assert "shows 44 % with confidence 80 %; wanted is 90 %" in found.reasons[0].says
    assert found.reasons[0].do == "fly 14 more flights of this build without a failure"


def test_nothing_flown_is_said_first(campaign):
    with open_ledger(campaign) as ledger:
        found = readiness(ledger, EASY)
    assert kinds(found)[0] == "flights"
    assert not found.is_ready


def test_an_open_action_speaks_against_it_and_an_overdue_one_says_so(good):
    good.add_action("Replace the cell", who="Ben", due="2026-05-10")
    (reason,) = readiness(good, EASY, today=date(2026, 5, 10)).reasons
    assert (reason.kind, "is due 2026-05-10" in reason.says) == ("action", True)
    (reason,) = readiness(good, EASY, today=date(2026, 5, 11)).reasons
    assert "was due 2026-05-10" in reason.says
    assert "close A1" in reason.do
    good.close_action(1, flight="lift-2")
    assert readiness(good, EASY).is_ready


def test_a_finding_that_is_not_settled_speaks_against_it(good):
    good.add_finding("The plug was loose", unsettled=True)
    good.add_finding("The grass was wet")
    (reason,) = readiness(good, EASY).reasons
    assert (reason.kind, "plug was loose" in reason.says) == ("finding", True)
    good.close_finding(1, why="glued")
    assert readiness(good, EASY).is_ready


def test_a_failure_that_nobody_explained_speaks_against_it(good):
    good.judge("lift-1", "canopy", "failed")
    asked = Asked(wanted=0.1, confidence=0.5)
    (reason,) = readiness(good, asked).reasons
    assert (reason.kind, reason.function, reason.flight) == ("failure", "canopy", "lift-1")
    assert "--explains canopy" in reason.do
    good.add_finding("A guess", sure="possible", flight="lift-1", explains="canopy")
    assert kinds(readiness(good, asked)) == ["failure"]
    good.add_finding("The door was taped", sure="known", flight="lift-1", explains="canopy")
    assert readiness(good, asked).is_ready


def test_a_change_that_never_flew_speaks_against_it_with_what_it_is(good):
    campaigns.change(good.folder / "payload.toml", 'strength = "11 N', 'strength = "15 N')
    found = readiness(good, EASY)
    assert kinds(found) == ["change", "reliability"]
    assert "since lift-2 in what release depends on" in found.reasons[0].says
    (change,) = found.reasons[0].changes
    assert (change.path, change.one, change.other) == (
        "payload.hold.strength", "11 N ± 1 N", "15 N ± 1 N",
    )  # fmt: skip


def test_weather_and_names_are_no_change(good):
    campaigns.change(good.folder / "campaign.toml", 'name = "Sedge lift"', 'name = "Other"')
    campaigns.change(good.folder / "site.toml", 'speed = "7 mph', 'speed = "3 mph')
    assert readiness(good, EASY).is_ready


def test_flights_without_their_documents_say_so(campaign):
    campaigns.add_flight(campaign, "one", outcome="success", build=False)
    with open_ledger(campaign) as ledger:
        take_in(ledger)
        assert "change" in kinds(readiness(ledger, EASY))


def test_evidence_that_is_not_what_it_was_speaks_against_it(good):
    (good.folder / "flights" / "lift-1" / "evidence" / "board.csv").write_bytes(b"y")
    (reason,) = readiness(good, EASY).reasons
    assert reason.kind == "evidence"
    assert "board.csv" in reason.says


def test_a_flight_that_nobody_judged_speaks_against_it(good):
    campaigns.add_flight(good.folder, "lift-3", outcome="partial")
    take_in(good)
    (reason,) = readiness(good, EASY).reasons
    assert (reason.kind, reason.flight) == ("record", "lift-3")
    for function in FUNCTIONS:
        assert function in reason.says
        good.judge("lift-3", function, "worked")
    assert readiness(good, EASY).is_ready


def test_what_the_build_has_not_is_not_asked_of_it(tmp_path):
    folder = campaigns.campaign(tmp_path / "stand", "stand-bottle")
    campaigns.add_flight(folder, "one", outcome="success")
    with open_ledger(folder) as ledger:
        take_in(ledger)
        found = readiness(ledger, Asked(wanted=0.3, confidence=0.5))
    assert "release" not in [each.function for each in found.reliability.functions]


def test_a_flight_that_was_only_begun_is_none(good):
    """Its documents are kept before it flies: what is in them has not flown by that."""
    campaigns.change(good.folder / "payload.toml", 'strength = "11 N', 'strength = "15 N')
    campaigns.add_flight(good.folder, "lift-3")
    take_in(good)
    found = readiness(good, EASY)
    assert kinds(found) == ["change", "reliability"]
    assert "since lift-2" in found.reasons[0].says
    assert any(each == "2 flights" for each in found.rests_on)
