"""``loftwright causes``: why a flight went wrong, from what is kept of it."""

from __future__ import annotations

import pytest
from debrief.made_up_failures import campaign_folder, plan_in, trial_of

from loftwright.debrief.synthetic import log_text, synthetic_log

FLIGHTS = ("--flights", "32")


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A campaign that keeps a flight whose connector opened at liftoff."""
    from loftwright.cli.main import run

    place = tmp_path_factory.mktemp("kept")
    folder = campaign_folder(place)
    plan = plan_in(folder, 99)
    record = synthetic_log(plan, trial_of(plan, "vent blocked: nose bay"), 1, "board")
    log = place / "board.csv"
    log.write_text(log_text(record))
    words = ["--source", "board", "--yes", "--no-forecast", "--set", "outcome=failure"]
    assert run(["record", str(folder), "third", str(log), *words]) == 0
    flight = folder / "flights" / "third" / "flight.toml"
    flight.write_text(
        flight.read_text() + '\n[[saw]]\nwhat = "release"\nof = "payload"\nsure = "95 %"\n'
    )
    return folder


def test_the_answer_names_the_cause_and_what_speaks_for_it(kept, loftwright):
    ended = loftwright("causes", str(kept), "third", *FLIGHTS)
    assert ended.code == 0, ended.err
    assert "vent blocked (nose bay)" in ended.out
    assert "For it:" in ended.out
    assert "The log of board: pressure, push, stages, supply." in ended.out


def test_the_answer_for_programs(kept, loftwright):
    ended = loftwright("causes", str(kept), "third", *FLIGHTS, "--json")
    assert ended.code == 0, ended.err
    answer = ended.answer
    assert answer["schema"] == "loftwright/causes/1"
    assert answer["flights_of_each"] == 32
    made = answer["provenance"]
    assert (made["flights"], made["seed"]) == (32, answer["seed"])
    assert "vehicle.toml" in made["documents_sha256"]
    first = answer["causes"][0]
    assert first["faults"] == ["vent blocked"]
    assert first["interval"][0] <= first["probability"] <= first["interval"][1]
    assert sum(each["probability"] for each in answer["causes"]) == pytest.approx(1.0)
    assert {"says", "weight_log10_odds", "lane", "time_s"} == set(first["speaks_for"][0])


def test_a_flight_that_is_not_kept_is_told(kept, loftwright):
    ended = loftwright("causes", str(kept), "thrid", *FLIGHTS)
    assert ended.code == 2
    assert 'did you mean "third"?' in ended.err


def test_the_report_argues_for_and_against(kept, loftwright, tmp_path):
    page = tmp_path / "causes.html"
    ended = loftwright("causes", str(kept), "third", *FLIGHTS, "--report", page)
    assert ended.code == 0, ended.err
    text = page.read_text()
    assert "For it" in text
    assert "What was looked at" in text
    assert "<script src" not in text


def test_the_report_is_not_written_over_what_was_kept(kept, loftwright):
    document = kept / "flights" / "third" / "flight.toml"
    before = document.read_bytes()
    ended = loftwright("causes", str(kept), "third", *FLIGHTS, "--report", document)
    assert ended.code == 2
    assert document.read_bytes() == before
