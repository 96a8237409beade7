"""Where a campaign stands: read without writing, whatever is broken."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path

import pytest
from ledger import campaigns

from loftwright.documents import read_campaign
from loftwright.documents.template import new_campaign
from loftwright.documents.worked import Worked, note_worked, what_flies, worked_out
from loftwright.errors import ProblemError
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.next_step import against, next_step
from loftwright.ledger.since import last_flight
from loftwright.ledger.standing import standing
from loftwright.ledger.taking_in import take_in


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def noted(folder: Path, verb: str, **more: object) -> None:
    from dataclasses import asdict

    campaign = read_campaign(folder)
    of = what_flies(campaign.hashes, asdict(campaign.head))
    note_worked(folder, Worked(verb=verb, of=of, says="it goes well", **more))


def test_looking_writes_nothing(flown) -> None:
    before = files_of(flown)
    found = standing(flown)
    assert files_of(flown) == before
    assert not found.has_ledger
    assert found.last_flight.name == "second-lift"
    assert found.changed is None


def test_a_broken_document_is_told_with_its_place(campaign) -> None:
    campaigns.change(campaign / "vehicle.toml", "[fill]", "[fil]")
    found = standing(campaign)
    step = next_step(found)
    assert step.kind == "mend"
    assert step.where.file == "vehicle.toml"
    assert found.head.name == "Sedge lift"
    assert against(found)[0].kind == "documents"


def test_a_new_campaign_is_to_be_filled_in_before_it_is_forecast(tmp_path) -> None:
    new_campaign(tmp_path, "Lifts", payload=False)
    found = standing(tmp_path)
    assert found.examples == ("vehicle.toml", "site.toml")
    assert [each.kind for each in against(found)].count("example") == 2
    step = next_step(found)
    assert (step.kind, step.where.file) == ("describe", "vehicle.toml")


def test_without_any_campaign_there_is_nothing_to_look_at(tmp_path) -> None:
    with pytest.raises(ProblemError) as caught:
        standing(tmp_path)
    assert caught.value.problems[0].code == "file-missing"
    with pytest.raises(ProblemError):
        standing(tmp_path / "gone")


def test_a_record_that_does_not_read_is_the_next_step(flown) -> None:
    campaigns.change(flown / "flights/second-lift/flight.toml", "outcome", "outcom")
    found = standing(flown)
    assert next_step(found).kind == "flight record"
    assert next_step(found).flight == "second-lift"
    assert found.last_flight.name == "first-lift"


def test_a_ledger_that_does_not_open_is_told(flown) -> None:
    (flown / "ledger.sqlite").write_bytes(b"no database, but a long enough text " * 40)
    found = standing(flown)
    assert found.ledger_problem.code == "ledger-not-ours"
    assert next_step(found).kind == "ledger"


def test_what_is_noted_counts_for_the_documents_as_they_stand(campaign) -> None:
    assert next_step(standing(campaign)).kind == "forecast"
    noted(campaign, "forecast", flights=400)
    noted(campaign, "rehearse", is_whole=False)
    assert next_step(standing(campaign)).kind == "rehearse"
    noted(campaign, "rehearse")
    assert next_step(standing(campaign)).kind == "begin"
    campaigns.change(campaign / "campaign.toml", "Does the", "And does the")
    assert standing(campaign).rehearsal is not None, "another question flies no other way"
    campaigns.change(campaign / "payload.toml", 'strength = "11 N', 'strength = "22 N')
    assert next_step(standing(campaign)).kind == "forecast"
    campaigns.change(campaign / "payload.toml", 'strength = "22 N', 'strength = "11 N')
    assert next_step(standing(campaign)).kind == "begin", "what was undone counts again"


def test_a_flight_begun_with_these_documents_waits_for_the_pad(campaign) -> None:
    noted(campaign, "forecast")
    noted(campaign, "rehearse")
    campaigns.add_flight(campaign, "next-lift")
    step = next_step(standing(campaign, date(2026, 5, 17)))
    assert (step.kind, step.flight) == ("pad", "next-lift")


def test_judgements_findings_and_figures_come_from_the_ledger(flown) -> None:
    with open_ledger(flown) as ledger:
        take_in(ledger)
        ledger.keep_figures("first-lift", {"apogee_m": (61.0, 0.8)}, made_by="debrief")
        ledger.add_finding("It slipped", flight="first-lift", explains="release", sure="likely")
        ledger.judge("first-lift", "recovery", "not known")
        ledger.add_action("Fit a hook", due="2026-06-01")
    found = standing(flown)
    first = found.flights[0]
    assert first.is_debriefed
    assert not first.unexplained
    assert not first.not_known
    assert [each.kind for each in against(found) if each.kind != "check"] == [
        "action",
        "forecast",
        "rehearsal",
    ]


def test_a_debrief_of_a_record_that_was_changed_since_does_not_count(flown) -> None:
    from hashlib import sha256

    record = flown / "flights/first-lift/flight.toml"
    of = sha256(record.read_bytes()).hexdigest()
    note_worked(flown, Worked(verb="debrief", of=of, flight="first-lift", is_kept=True))
    assert standing(flown).flights[0].is_kept
    campaigns.change(record, "First lift", "First lift of all")
    assert not standing(flown).flights[0].is_debriefed


def test_figures_that_were_kept_of_the_record_as_it_was_before_are_told_as_such(flown) -> None:
    def seen():
        return next(each for each in standing(flown).flights if each.name == "first-lift")

    def debriefed(**more: bool) -> None:
        of = hashlib.sha256(path.read_bytes()).hexdigest()
        note_worked(flown, Worked(verb="debrief", of=of, flight="first-lift", **more))

    path = flown / "flights" / "first-lift" / "flight.toml"
    with open_ledger(flown) as ledger:
        take_in(ledger)
        ledger.keep_figures("first-lift", {"apogee_m": (61.0, 0.8)}, made_by="debrief")
    debriefed(is_kept=True)
    assert (seen().is_debriefed, seen().is_kept, seen().has_changed) == (True, True, False)
    path.write_text(path.read_text("utf-8") + "\n# corrected\n", "utf-8")
    assert (seen().is_debriefed, seen().is_kept, seen().has_changed) == (False, False, True)
    debriefed()
    assert (seen().is_debriefed, seen().is_kept, seen().has_changed) == (True, False, True)
    debriefed(is_kept=True)
    assert (seen().is_debriefed, seen().is_kept, seen().has_changed) == (True, True, False)


def test_notes_that_are_none_are_passed_over(campaign) -> None:
    noted(campaign, "forecast")
    place = campaign / ".loftwright/worked"
    for name, text in (("a", "{"), ("b", "[]"), ("c", '{"schema": "loftwright/worked/1"}')):
        (place / f"{name}.json").write_text(text)
    (place / "d.json").mkdir()
    assert [each.verb for each in worked_out(campaign)] == ["forecast"]
    assert (campaign / ".loftwright/.gitignore").read_text() == "*\n"


def test_a_shorter_run_takes_nothing_back_and_old_notes_go(campaign) -> None:
    note_worked(campaign, Worked(verb="rehearse", of="0", is_kept=True))
    note_worked(campaign, Worked(verb="rehearse", of="0", is_whole=False))
    (own,) = worked_out(campaign)
    assert own.is_whole
    assert own.is_kept
    for k in range(70):
        note_worked(campaign, Worked(verb="rehearse", of=str(k)))
    assert len(worked_out(campaign)) == 60


def test_a_firing_on_the_stand_is_no_flight_that_anything_speaks_of(flown) -> None:
    before = standing(flown)
    place = campaigns.add_flight(
        flown, "stand-1", flown="2026-12-01", files={"stand.csv": b"t,F\n"}
    )
    campaigns.change(place / "flight.toml", 'kind = "log"', 'kind = "firing"')
    found = standing(flown)
    assert found.last_flight == before.last_flight
    assert last_flight(flown) == before.last_flight.name
    assert found.begun == before.begun
    assert [each.says for each in against(found)] == [each.says for each in against(before)]
    with open_ledger(flown) as ledger:
        take_in(ledger)
    assert not [each for each in against(standing(flown)) if "stand-1" in each.says]
