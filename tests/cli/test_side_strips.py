"""Strips of studies, tuning and fits: two flights on one clock, beside what the answer says."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from loftwright.documents import read_campaign
from loftwright.report.strip_file import read_strip
from loftwright.report.strip_model import Strip
from loftwright.report.theme import LIGHT
from loftwright.units import DIMENSIONS

WATER = "vehicle.fill.water_volume=0.4 L..1.2 L"
MENDED = Path(__file__).resolve().parents[2] / "examples" / "sedge-lift-mended"
FOOT = DIMENSIONS["length"].units["ft"].to_si(1.0)


def kept(folder: Path, page: Path) -> list[Strip]:
    """Return the strips of a page, which has a figure for each."""
    index = json.loads((folder / "index.json").read_text(encoding="utf-8"))
    strips = [read_strip(folder / each["file"]).strip for each in index["strips"]]
    text = page.read_text(encoding="utf-8")
    numbers = re.findall(r'data-strip="(\d+)"', text)
    assert numbers == [str(number) for number in range(len(strips))]
    assert ('id="strip-data"' in text) == bool(strips)
    return strips


def run(loftwright, tmp_path: Path, *words: object) -> tuple[dict, list[Strip]]:
    folder, page = tmp_path / "kept", tmp_path / "page.html"
    ended = loftwright(*words, "--strips", folder, "--report", page, "--json")
    assert ended.code == 0, ended.err
    return ended.answer, kept(folder, page)


def top(strip: Strip, line: str) -> float:
    """Return the greatest height of a line, m."""
    (height,) = [lane for lane in strip.lanes if lane.name == "height"]
    (curve,) = [each for each in height.curves if line in (each.name, each.told)]
    return float(np.nanmax(curve.value)) * (FOOT if height.unit == "ft" else 1.0)


def same_scales(one: Strip, other: Strip) -> bool:
    reaches = [[(lane.name, lane.unit, lane.reach) for lane in s.lanes] for s in (one, other)]
    return (one.start, one.end) == (other.start, other.end) and reaches[0] == reaches[1]


def test_the_best_point_flies_beside_what_is_written(loftwright, demo, tmp_path):
    answer, (now, best) = run(
        loftwright, tmp_path, "best", demo, "--aim", "apogee", "--vary", WATER
    )
    assert (now.title, best.title) == (
        "The whole flight, as written", "The whole flight, the best point"
    )  # fmt: skip
    assert same_scales(now, best)
    for strip, figures in ((now, answer["figures_now"]), (best, answer["figures"])):
        assert top(strip, "as set") == pytest.approx(figures["apogee_m"], rel=1e-3)
        middle = strip.lanes[0].spreads[0].percentiles[:, 2].max() * FOOT
        assert middle == pytest.approx(figures["apogee_m"], rel=0.05)


def test_of_single_flights_ink_is_the_one_that_the_answer_tells(loftwright, demo, tmp_path):
    answer, (now, best) = run(
        loftwright, tmp_path, "explore", demo, WATER, "--points", 3, "--show", "apogee"
    )
    figure = answer["figures"]["apogee_m"]
    assert top(now, "as set") == pytest.approx(figure["now"], rel=1e-3)
    assert top(best, "as set") == pytest.approx(figure["best"]["figure"], rel=1e-3)
    assert best.title.endswith("where greatest height is most")
    assert same_scales(now, best)


def test_what_is_best_nowhere_has_no_strip(loftwright, demo, tmp_path):
    _, strips = run(
        loftwright, tmp_path, "explore", demo, WATER, "--points", 3, "--limit", "apogee > 900 m"
    )
    assert strips == []


def test_what_counts_most_flies_at_both_its_ends(loftwright, demo, tmp_path):
    words = ("--set", "vehicle.fill.gauge_pressure=75 psi ± 20 psi", "--flights", 16)
    answer, (low, high) = run(loftwright, tmp_path, "sensitivity", demo, *words)
    assert answer["figures"]["apogee_m"]["inputs"][0]["path"] == "vehicle.fill.gauge_pressure"
    # 1.645 deviations to either side.
    titles = [each.title.replace("\u00a0", " ").rpartition(", ")[2] for each in (low, high)]
    assert titles == ["fill pressure 42.1 psi", "fill pressure 108 psi"]
    assert same_scales(low, high)
    tops = [each.lanes[0].spreads[0].percentiles.max(axis=0) for each in (low, high)]
    assert tops[0][4] < tops[1][0]


def test_of_where_it_lands_a_strip_shows_nothing(loftwright, demo, tmp_path):
    words = ("--figure", "reach", "--flights", 16)
    assert run(loftwright, tmp_path, "sensitivity", demo, *words)[1] == []


def test_the_chosen_setting_flies_beside_the_written_one(loftwright, tmp_path):
    words = ("--vary", "board.climbing.climb=20 ft/s..30 ft/s", "--flights", 6, "--points", 2)
    answer, strips = run(loftwright, tmp_path, "tune", MENDED, *words)
    assert [each.title.rpartition(", ")[2] for each in strips] == ["as written", "chosen"] * 2
    assert same_scales(*strips[:2])
    assert same_scales(*strips[2:])
    said = answer["chosen"]["says"]["board.climbing.climb"]
    assert f"(climb < {said})" in strips[1].description
    assert f"(climb < {said})" not in strips[0].description
    let_go = [next(e for e in each.events if e.words == "payload moved") for each in strips[:2]]
    assert let_go[0].time < let_go[1].time
    assert all(each.early <= each.late for each in let_go)
    assert all(len(each.lanes[0].spreads) == 1 for each in strips)


def test_what_is_written_is_shown_alone_where_nothing_beats_it(loftwright, tmp_path):
    words = ("--vary", "board.climbing.climb=49 ft/s..51 ft/s", "--flights", 4, "--points", 2)
    answer, strips = run(
        loftwright, tmp_path, "tune", MENDED, *words, "--limit", "release_height > 900 m"
    )
    assert answer["chosen"] is None
    assert [each.title.rpartition(", ")[2] for each in strips] == ["as written"] * 2


def test_a_kept_pair_is_drawn_again(loftwright, demo, tmp_path):
    run(loftwright, tmp_path, "explore", demo, WATER, "--points", 2)
    drawn, picture = tmp_path / "best.svg", tmp_path / "best.png"
    ended = loftwright("strip", tmp_path / "kept" / "1.npz", "--svg", drawn, "--png", picture)
    assert ended.code == 0
    assert LIGHT["vehicle"] in drawn.read_text(encoding="utf-8")
    assert picture.stat().st_size > 10_000
    assert read_campaign(demo).head.units == "us"


def test_who_breaks_off_the_strips_keeps_the_answer(loftwright, demo, tmp_path, monkeypatch):
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("loftwright.flight.forecast.forecast", stopped)
    monkeypatch.setattr("loftwright.rehearsal.flown_settings.fly_settings", stopped)
    explore = ("explore", demo, WATER, "--points", 2)
    tune = ("tune", MENDED, "--vary", "board.climbing.climb=20 ft/s..30 ft/s")
    for words in (explore, (*tune, "--flights", 2, "--points", 2)):
        folder = tmp_path / str(words[0])
        ended = loftwright(*words, "--strips", folder, "--json")
        assert ended.code == 0
        assert "the strips are left out" in ended.err
        assert ended.answer["files"] == [str(folder / "index.json")]
        assert ended.answer["provenance"]
