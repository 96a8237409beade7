"""``loftwright tune`` as people and programs use it."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from loftwright.cli.main import run

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-mended"
SMALL = ["--vary", "board.climbing.climb=40 ft/s..60 ft/s", "--flights", "4", "--points", "3"]


def test_it_answers_programs(capsys):
    assert run(["tune", str(EXAMPLE), *SMALL, "--limit", "lost < 50 %", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "loftwright/tune/1"
    assert answer["varied"][0]["name"] == "board.climbing.climb"
    assert (answer["aim"], answer["against"]) == ("released_well", "release_height")
    assert answer["limits"] == ["lost < 50 %"]
    assert len(answer["settings"]) == 4
    assert sum(each["chosen"] for each in answer["settings"]) == 1
    assert answer["chosen"]["figures"]["release_height"]["interval"][0] is not None
    assert answer["provenance"]["flights"] == 4
    assert answer["set"] == []


def test_what_was_set_is_told_beside_the_settings_that_were_tried(capsys):
    words = ["--set", "vehicle.fill.water_volume=0.9 L", "--json"]
    assert run(["tune", str(EXAMPLE), *SMALL, *words]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["set"] == ["vehicle.fill.water_volume=0.9 L"]
    assert len(answer["settings"]) == 4


def test_it_writes_its_page_and_every_setting(tmp_path, capsys):
    page, table = tmp_path / "tune.html", tmp_path / "tune.csv"
    words = ["tune", str(EXAMPLE), *SMALL, "--report", str(page), "--csv", str(table)]
    assert run(words) == 0
    shown = capsys.readouterr().out
    assert "board.climbing.climb" in shown
    assert f"Written: {page}" in shown
    assert "board.climbing.climb" in page.read_text(encoding="utf-8").lower()
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 4
    assert [row["as written"] for row in rows] == ["yes", "no", "no", "no"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ([], "command-usage"),
        (["--vary", "board.climbing.clim=1 m/s..2 m/s"], "tune-unknown-knob"),
        ([*SMALL, "--aim", "luck"], "tune-unknown-figure"),
        ([*SMALL, "--limit", "lost is small"], "tune-limit"),
        ([*SMALL, "--faults", "gremlins"], "rehearse-unknown-fault"),
    ],
)
def test_what_is_wrong_is_told(words, code, capsys):
    assert run(["tune", str(EXAMPLE), *words, "--json"]) == 2
    answer = json.loads(capsys.readouterr().out)
    assert [problem["code"] for problem in answer["problems"]] == [code]


def test_without_a_range_the_names_are_listed(capsys):
    assert run(["tune", str(EXAMPLE)]) == 2
    assert "board.let go.drop" in capsys.readouterr().err


def test_a_campaign_without_avionics_has_nothing_to_tune(capsys):
    bare = EXAMPLE.with_name("stand-bottle")
    assert run(["tune", str(bare), "--vary", "board.climbing.climb=1 m/s..2 m/s", "--json"]) == 2
    answer = json.loads(capsys.readouterr().out)
    assert answer["problems"][0]["code"] == "avionics-none"
