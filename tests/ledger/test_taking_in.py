"""Flights from their folders into the ledger: whole, once, and never over what is there."""

from __future__ import annotations

import hashlib

import pytest
from ledger import campaigns

from loftwright.errors import ProblemError
from loftwright.ledger.exchange import content
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.taking_in import build_digest, record_of, take_in


def test_a_flight_is_taken_in_with_record_build_and_evidence(ledger, flown):
    first, second = ledger.flights()
    assert (first.name, first.title, first.flown) == ("first-lift", "First lift", "2026-05-03")
    assert (second.outcome, first.outcome) == ("success", "failure")
    (file,) = ledger.evidence("first-lift")
    data = (flown / "flights" / "first-lift" / "evidence" / "board.csv").read_bytes()
    assert (file.file, file.size) == ("board.csv", len(data))
    assert file.sha256 == hashlib.sha256(data).hexdigest()
    documents = ledger.documents(first.build)
    folder = flown / "flights" / "first-lift" / "build"
    assert documents == {path.name: path.read_bytes() for path in folder.iterdir()}
    assert build_digest(documents) == first.build
    assert record_of(ledger, first).saw[0].by == "Ana"


def test_documents_are_kept_once(ledger):
    one, other = (ledger.build(each.build).documents for each in ledger.flights())
    assert one["payload.toml"] != other["payload.toml"]
    assert one["vehicle.toml"] == other["vehicle.toml"]
    kept = {sha256 for (sha256,) in ledger.rows("SELECT sha256 FROM document")}
    assert len(kept) == len({*one.values(), *other.values()}) + 2  # and two records


def test_a_second_time_changes_nothing(ledger):
    before = content(ledger)
    found = take_in(ledger)
    assert (found.new, found.changed, found.problems) == ((), (), ())
    assert content(ledger) == before


def test_two_programs_may_take_in_the_same_flights(ledger, flown):
    campaigns.add_flight(flown, "third")
    with open_ledger(flown) as other:
        assert take_in(other).new == ("third",)
        assert take_in(ledger).new == ()
        assert [each.number for each in other.flights()] == [1, 2, 3]


def test_a_changed_record_is_taken_in_again_and_what_people_wrote_stays(ledger, flown):
    ledger.add_finding("It slipped", flight="first-lift", evidence=["board.csv"])
    ledger.judge("first-lift", "canopy", "failed")
    record = flown / "flights" / "first-lift" / "flight.toml"
    campaigns.change(record, 'outcome = "failure"', 'outcome = "partial"')
    assert take_in(ledger).changed == ("first-lift",)
    assert ledger.flight("first-lift").outcome == "partial"
    assert ledger.flight("first-lift").number == 1
    assert len(ledger.findings("first-lift")) == len(ledger.judgements("first-lift")) == 1


def test_a_changed_snapshot_is_told_not_followed_unless_accepted(ledger, flown):
    before = ledger.flight("first-lift").build
    vehicle = flown / "flights" / "first-lift" / "build" / "vehicle.toml"
    vehicle.write_text(vehicle.read_text(encoding="utf-8") + "# later\n", encoding="utf-8")
    found = take_in(ledger)
    assert [problem.code for problem in found.problems] == ["ledger-build-changed"]
    assert "--accept first-lift" in found.problems[0].mend
    assert ledger.flight("first-lift").build == before
    assert take_in(ledger, accept=["first-lift"]).changed == ("first-lift",)
    assert ledger.flight("first-lift").build != before
    assert ledger.documents(before)  # what was taken in is never thrown away


def test_a_lost_snapshot_leaves_the_build_that_was_taken_in(ledger, flown):
    import shutil

    before = ledger.flight("first-lift").build
    shutil.rmtree(flown / "flights" / "first-lift" / "build")
    assert [problem.code for problem in take_in(ledger).problems] == ["ledger-build-changed"]
    assert ledger.flight("first-lift").build == before


def test_a_snapshot_that_comes_later_is_taken_in(campaign):
    campaigns.add_flight(campaign, "one", build=False)
    with open_ledger(campaign) as ledger:
        take_in(ledger)
        assert ledger.flight("one").build is None
        campaigns.snapshot(campaign, "one")
        assert take_in(ledger).changed == ("one",)
        assert ledger.documents(ledger.flight("one").build)


def test_evidence_with_another_digest_is_kept_beside_the_first(ledger, flown):
    record = flown / "flights" / "first-lift" / "flight.toml"
    (old,) = ledger.evidence("first-lift")
    campaigns.change(record, old.sha256, "ab" * 32)
    take_in(ledger)
    assert ledger.evidence("first-lift")[0].sha256 == old.sha256
    assert len(ledger.evidence("first-lift")) == 2


def test_one_bad_record_does_not_keep_the_others_out(campaign):
    campaigns.add_flight(campaign, "bad")
    (campaign / "flights" / "bad" / "flight.toml").write_text('nmae = "x"\n', encoding="utf-8")
    campaigns.add_flight(campaign, "good")
    with open_ledger(campaign) as ledger:
        found = take_in(ledger)
        assert found.new == ("good",)
        assert {problem.where.file for problem in found.problems} == {"flights/bad/flight.toml"}
        assert [each.name for each in ledger.flights()] == ["good"]


def test_a_snapshot_of_far_too_much_is_refused(campaign):
    campaigns.add_flight(campaign, "one")
    for number in range(70):
        (campaign / "flights" / "one" / "build" / f"{number}.toml").write_text("", "utf-8")
    with open_ledger(campaign) as ledger:
        found = take_in(ledger)
        assert [problem.code for problem in found.problems] == ["ledger-build"]
        assert ledger.flight("one").build is None


def test_flights_come_in_the_order_in_which_they_were_flown(campaign):
    for name, flown in (("c", "2026-05-03"), ("a", None), ("b", "2025-01-01")):
        campaigns.add_flight(campaign, name, flown=flown)
    with open_ledger(campaign) as ledger:
        take_in(ledger)
        assert [each.name for each in ledger.flights()] == ["b", "c", "a"]


def test_a_flight_is_called_by_its_folder_or_by_its_title(ledger):
    assert ledger.flight("Second lift").name == "second-lift"
    with pytest.raises(ProblemError, match="did you mean second-lift"):
        ledger.flight("secnd-lift")


def test_documents_that_are_not_those_of_the_records_digest_are_told(campaign):
    campaigns.add_flight(campaign, "one", head=f'build = "{"ab" * 32}"')
    with open_ledger(campaign) as ledger:
        assert [problem.code for problem in take_in(ledger).problems] == ["ledger-build-changed"]


def test_accepting_a_flight_that_is_not_there_is_refused(ledger):
    with pytest.raises(ProblemError, match="there is no flight 'third'"):
        take_in(ledger, accept=["third"])
