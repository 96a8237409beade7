"""``loftwright debrief`` on the flights of the demo, as people and scripts see it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

FLOWN = Path(__file__).parents[2] / "examples" / "sedge-lift-flown"
GOOD, FAILED, UNCLEAR = "2026-05-09-a", "2026-05-09-b", "2026-05-16-a"
TOP = 82.8  # m, of the made-up good flight; examples/make_flights.py knows it


def assert_refused(ended) -> None:
    """It ends with 2, says why on standard error, and shows no traceback."""
    assert ended.code == 2
    assert ended.err
    assert "Traceback" not in ended.err


@pytest.fixture
def flown(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FLOWN, tmp_path / "flown"))


def test_the_answer_comes_first_and_says_that_the_flight_is_invented(loftwright):
    ended = loftwright("debrief", FLOWN, GOOD)
    assert (ended.code, ended.err) == (0, "")
    text = " ".join(ended.out.split())
    assert text.startswith("First lift: It went 27")
    assert "as forecast" in text[:80]
    assert "Invented for the demo" in text
    assert "Release: not visible" in " ".join(loftwright("debrief", FLOWN, FAILED).out.split())
    assert "release commanded" in text


def test_the_height_is_that_of_the_flight_that_was_made_up(loftwright):
    answer = json.loads(loftwright("debrief", FLOWN, GOOD, "--json").out)
    assert answer["schema"] == "loftwright/debrief/1"
    assert answer["apogee_p05_m"] < TOP < answer["apogee_p95_m"]
    assert answer["causes"] is None
    assert answer["score"]["before_flight"] is True
    assert not answer["missing"]
    commanded = [each["kind"] for each in answer["events"] if each["commanded"]]
    assert commanded == ["release"]


def test_a_command_is_not_what_it_commands(loftwright):
    answer = json.loads(loftwright("debrief", FLOWN, UNCLEAR, "--json").out)
    figures = {each["figure"] for each in answer["score"]["figures"]}
    assert "release_time_s" not in figures
    text = " ".join(loftwright("debrief", FLOWN, UNCLEAR).out.split())
    assert "Third lift: Reedling did not come free." in text
    assert "The forecast has Reedling come free; that did not happen." in text


def test_files_are_written_beside_the_answer(loftwright, tmp_path):
    page, table = tmp_path / "page.html", tmp_path / "path.csv"
    ended = loftwright("debrief", FLOWN, GOOD, "--report", page, "--csv", table)
    assert ended.code == 0
    assert "Invented for the demo" in page.read_text(encoding="utf-8")
    head, first, *_ = table.read_text(encoding="utf-8").splitlines()
    assert head.startswith("time_s,height_m,height_sd_m")
    assert len(first.split(",")) == len(head.split(","))


def test_nothing_that_a_flight_keeps_is_written_over(loftwright, flown):
    target = flown / "flights" / GOOD / "evidence" / "board.csv"
    before = target.read_bytes()
    assert_refused(loftwright("debrief", flown, GOOD, "--report", target))
    assert target.read_bytes() == before
    document = flown / "vehicle.toml"
    before = document.read_bytes()
    assert_refused(loftwright("debrief", flown, GOOD, "--csv", document))
    assert document.read_bytes() == before


def test_what_is_not_there_is_said_with_what_is(loftwright):
    assert "2026-05-09-" in loftwright("debrief", FLOWN, "2026-05-09").err
    ended = loftwright("debrief", FLOWN, GOOD, "--log", "phone.csv")
    assert_refused(ended)
    assert "board.csv" in ended.err


def test_a_flight_without_log_or_forecast_is_told_as_far_as_it_goes(loftwright, flown):
    folder = flown / "flights" / GOOD
    (folder / "forecast.json").unlink()
    answer = json.loads(loftwright("debrief", flown, GOOD, "--json").out)
    assert answer["score"] is None
    (folder / "evidence" / "board.csv").unlink()
    text = (folder / "flight.toml").read_text(encoding="utf-8")
    before, rest = text.split("[[evidence]]", 1)
    (folder / "flight.toml").write_text(before + rest.split("\n\n", 1)[1], encoding="utf-8")
    ended = loftwright("debrief", flown, GOOD)
    assert_refused(ended)
    assert "no log" in ended.err


def test_a_changed_log_is_not_debriefed(loftwright, flown):
    log = flown / "flights" / GOOD / "evidence" / "board.csv"
    log.chmod(0o644)
    log.write_text(log.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    ended = loftwright("debrief", flown, GOOD)
    assert_refused(ended)
    assert "not the file that was taken in" in ended.err


def test_the_failed_flight_is_explained(loftwright):
    words = ("debrief", FLOWN, FAILED, "--causes", "--flights", "40", "--json")
    answer = json.loads(loftwright(*words).out)
    first = answer["causes"]["causes"][0]
    assert first["faults"] == ["controller resets in flight"]
    assert first["parts"] == ["board"]
    assert first["probability"] > 0.7


def test_the_unclear_flight_stays_unclear_and_it_is_said_what_would_tell(loftwright):
    words = ("debrief", FLOWN, UNCLEAR, "--causes", "--flights", "100", "--json")
    told = json.loads(loftwright(*words).out)["causes"]
    likely = told["causes"][: told["in_set"]]
    assert told["in_set"] > 1
    assert {part for each in likely for part in each["parts"]} == {"latch servo"}
    assert likely[0]["probability"] < 0.9
    assert any("voltage" in each["says"] for each in told["tellings"])


def test_the_campaign_is_scored_as_a_whole(loftwright):
    answer = json.loads(loftwright("debrief", FLOWN, GOOD, "--campaign", "--json").out)
    apogee = next(each for each in answer["bias"] if each["figure"] == "apogee_m")
    assert apogee["flights"] == 3
    text = " ".join(loftwright("debrief", FLOWN, GOOD, "--campaign").out.split())
    assert "The model over this campaign" in text


@pytest.fixture
def dead(flown, loftwright, tmp_path):
    """The demo with a flight whose barometer was dead from the beginning."""
    log = tmp_path / "dead.csv"
    rows = "\n".join(f"{n * 0.02:.2f},0" for n in range(2000))
    log.write_text(f"time [s],pressure [Pa]\n{rows}\n")
    ended = loftwright("record", flown, "dead", log, "--source", "board", "--no-forecast")
    assert ended.code == 0
    assert "log-sensor-dead" in ended.err
    return flown


def test_of_a_dead_sensor_all_is_not_visible(loftwright, dead, tmp_path):
    page = tmp_path / "page.html"
    ended = loftwright("debrief", dead, "dead", "--report", page)
    assert ended.code == 0
    text = " ".join(ended.out.split())
    assert "How high it went is not visible" in text
    assert "It shows no flight: all of its readings are the same." in text
    assert "loftwright causes DIR dead" in text
    assert "nan" not in text
    assert "not visible" in page.read_text(encoding="utf-8")
    answer = loftwright("debrief", dead, "dead", "--json").answer
    assert answer["liftoff_time_s"] is answer["apogee_m"] is answer["naive_max_height_m"] is None


def test_what_people_saw_is_told_beside_a_dead_sensor(loftwright, dead):
    seen = ("stopwatch.0.begin=liftoff", "stopwatch.0.end=touchdown", "stopwatch.0.time=21.5 s")
    settings = [word for each in seen for word in ("--set", each)]
    assert loftwright("record", dead, "dead", *settings, "--no-forecast").code == 0
    answer = loftwright("debrief", dead, "dead", "--json").answer
    assert any("touchdown" in each["kind"] for each in answer["events"])


def test_a_liftoff_can_be_told_of_a_flights_log(loftwright, flown):
    found = loftwright("debrief", flown, GOOD, "--json").answer["liftoff_time_s"]
    told = loftwright("debrief", flown, GOOD, "--liftoff", f"{found + 0.1:.2f}s", "--json").answer
    assert told["liftoff_time_s"] == pytest.approx(found, abs=0.05)


def test_moments_that_films_tell_are_scored(loftwright):
    answer = loftwright("debrief", FLOWN, GOOD, "--json").answer
    assert "release_time_s" in {each["figure"] for each in answer["score"]["figures"]}
