"""``record --dry-run`` and ``--proposal``: look first, correct, then keep all or none."""

from __future__ import annotations

import json

import pytest
from evidence.synthetic_logs import TOP, flown, written

from loftwright.cli.record_told import FileWords
from loftwright.documents.flights import flights_of
from loftwright.evidence.recorded_flight import read_recorded_flight

FLIGHT = flown(seconds=45.0)
FEET = 0.3048


@pytest.fixture
def board(tmp_path):
    path = tmp_path / "board.csv"
    columns = [FLIGHT.time * 1e3, FLIGHT.pressure / 100.0]
    path.write_text(written(columns, ("ms", "baro (hPa)")))
    return path


@pytest.fixture
def odd(tmp_path):
    """A log that cannot be read unasked: heights without a unit, decimal commas."""
    path = tmp_path / "odd.csv"
    columns = [FLIGHT.time, FLIGHT.height / FEET]
    path.write_text(written(columns, ("s", "height"), delimiter=";", decimal=","))
    return path


def dry(loftwright, folder, *words):
    return loftwright("record", folder, "a-1", *words, "--dry-run", "--json")


def test_looking_keeps_nothing(loftwright, demo, board):
    before = sorted(demo.rglob("*"))
    ended = dry(loftwright, demo, board)
    assert ended.code == 0, ended.out
    (file,) = ended.answer["files"]
    assert file["ready"]
    assert file["rise_m"] == pytest.approx(TOP, abs=3.0)
    assert [each["is"] for each in file["columns"]] == ["time", "pressure"]
    assert sorted(demo.rglob("*")) == before


def test_looking_says_in_words_what_is_not_settled(loftwright, demo, odd):
    ended = loftwright("record", demo, "a-1", odd, "--dry-run")
    assert ended.code == 2
    assert "metres and feet look alike" in ended.out
    assert "Nothing was kept" in ended.out


def test_a_proposal_is_corrected_and_given_back(loftwright, demo, odd, tmp_path):
    answer = dry(loftwright, demo, odd).answer
    answer["files"][0]["told"] = {"time": "1", "height": "2", "unit": ["2=ft"], "source": "board"}
    proposal = tmp_path / "proposal.json"
    proposal.write_text(json.dumps(answer))
    again = loftwright("record", demo, "a-1", "--proposal", proposal, "--dry-run", "--json").answer
    assert again["files"][0]["rise_m"] == pytest.approx(TOP, abs=3.0)
    ended = loftwright("record", demo, "a-1", "--proposal", proposal, "--no-forecast", "--json")
    assert ended.code == 0, ended.out
    kept = read_recorded_flight(demo, "a-1")
    assert kept.logs[0].entry.source == "board"
    assert (demo / "flights/a-1/evidence/odd.csv").read_bytes() == odd.read_bytes()


@pytest.mark.parametrize(
    "told",
    [
        {"colour": "red"},
        {"as": "poem"},
        {"unit": "2=ft"},
        {"flight_number": 0},
        {"time": ""},
        {"decimal": ".,"},
    ],
)
def test_what_cannot_be_told_is_refused(loftwright, demo, board, tmp_path, told):
    proposal = tmp_path / "proposal.json"
    proposal.write_text(json.dumps({"files": [{"file": str(board), "told": told}]}))
    ended = loftwright("record", demo, "a-1", "--proposal", proposal, "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["code"] == "record-correction"
    assert flights_of(demo) == ()


@pytest.mark.parametrize("text", ["", "[]", "{}", "[" * 100_000, '{"files": [3]}', "\0"])
def test_what_is_no_proposal_is_refused(loftwright, demo, tmp_path, text):
    proposal = tmp_path / "proposal.json"
    proposal.write_text(text)
    ended = loftwright("record", demo, "a-1", "--proposal", proposal, "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["code"] == "record-correction"


def test_words_of_the_options_say_the_same_as_the_proposal(loftwright, demo, odd):
    told = {"time": "1", "height": "2", "unit": ["2=ft"], "flight_number": 1, "decimal": ","}
    words = FileWords.of_told(odd, told)
    assert words.as_told() == told
    ended = dry(loftwright, demo, odd, *words.options())
    assert ended.answer["files"][0]["told"] == told


def test_one_file_that_cannot_be_kept_keeps_all_from_being_kept(loftwright, demo, board, tmp_path):
    other = tmp_path / "elsewhere" / "board.csv"
    other.parent.mkdir()
    other.write_text(board.read_text().replace("ms", "ms", 1) + "\n")
    ended = loftwright("record", demo, "a-1", board, other, "--no-forecast", "--json")
    assert ended.code == 2
    assert ended.answer["problems"][0]["code"] == "record-name-taken"
    assert flights_of(demo) == ()


def test_a_wrong_field_keeps_the_files_from_being_kept(loftwright, demo, board):
    words = ("--set", "conditions.wind_speed=six knots", "--no-forecast", "--json")
    ended = loftwright("record", demo, "a-1", board, *words)
    assert ended.code == 2
    assert flights_of(demo) == ()


def test_fields_are_taken_out(loftwright, demo, board):
    words = ("--set", "stopwatch.0.end=touchdown", "--set", "stopwatch.0.time=6 s")
    assert loftwright("record", demo, "a-1", board, *words, "--no-forecast").code == 0
    assert read_recorded_flight(demo, "a-1").record.stopwatch
    ended = loftwright("record", demo, "a-1", "--unset", "stopwatch.0", "--no-forecast")
    assert ended.code == 0, ended.err
    assert read_recorded_flight(demo, "a-1").record.stopwatch == ()
    ended = loftwright("record", demo, "a-1", "--unset", "evidence.0", "--no-forecast")
    assert ended.code == 2


def test_where_the_same_bytes_lie_already_is_said(loftwright, demo, board):
    assert loftwright("record", demo, "a-1", board, "--no-forecast").code == 0
    file = dry(loftwright, demo, board).answer["files"][0]
    assert file["kept_already_as"] == ["a-1/board.csv"]
