"""``loftwright explore``, ``best`` and ``sensitivity``."""

from __future__ import annotations

import csv

import pytest

WATER = "vehicle.fill.water_volume"
ROW = f"{WATER}=0.6 L..1.2 L"


def test_explore_answers_with_points_and_the_best_of_them(loftwright, demo):
    ended = loftwright("explore", demo, ROW, "--points", 4, "--show", "apogee", "--show", "reach",
                       "--limit", "max_acceleration < 51 g", "--json")  # fmt: skip
    answer = ended.answer
    assert ended.code == 0
    assert answer["schema"] == "loftwright/explore/1"
    assert answer["varied"][0]["path"] == WATER
    assert len(answer["varied"][0]["values"]) == 4
    assert set(answer["figures"]) == {"apogee_m", "reach_m"}
    assert answer["limits"][0]["kept"] == [False, False, True, True]
    assert len(answer["crossings"]) == 1
    assert answer["figures"]["apogee_m"]["best"]["values"] == [answer["varied"][0]["values"][2]]
    assert answer["provenance"]["laws"]


def test_a_point_of_explore_is_the_forecast_with_set(loftwright, demo):
    explored = loftwright("explore", demo, ROW, "--points", 3, "--json").answer
    flown = loftwright("forecast", demo, "--set", f"{WATER}=0.9 L", "--json").answer
    assert explored["varied"][0]["values"][1] == pytest.approx(0.9e-3, rel=1e-15)
    alone = loftwright("forecast", demo, "--set", f"{WATER}=0.6 L", "--json").answer
    assert explored["figures"]["apogee_m"]["values"][0] == alone["apogee_m"]
    assert explored["figures"]["apogee_m"]["values"][1] == pytest.approx(flown["apogee_m"],
                                                                        rel=1e-12)  # fmt: skip


def test_explore_writes_every_point_as_csv(loftwright, demo, tmp_path):
    file = tmp_path / "points.csv"
    ended = loftwright("explore", demo, ROW, "vehicle.fins.0.count=3..5", "--points", 3,
                       "--flights", 4, "--csv", file)  # fmt: skip
    assert ended.code == 0
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 9
    assert set(rows[0]) == {
        WATER, "vehicle.fins.0.count", "apogee_m", "apogee_m_p05", "apogee_m_p95", "limits_kept",
        "refused",
    }  # fmt: skip
    assert all(
        float(row["apogee_m_p05"]) <= float(row["apogee_m"]) <= float(row["apogee_m_p95"])
        for row in rows
    )


def test_explore_in_a_terminal_says_what_is_refused(loftwright, demo):
    ended = loftwright("explore", demo, "vehicle.fill.gauge_pressure=80 psi..120 psi",
                       "--points", 5)  # fmt: skip
    assert ended.code == 0
    assert "2 of 5 points are not flown. Vehicle: this is over the proof pressure" in ended.out
    assert "refused" in ended.out


def test_best_answers_with_the_point_and_what_holds_it(loftwright, demo, tmp_path):
    page = tmp_path / "best.html"
    ended = loftwright("best", demo, "--vary", ROW, "--aim", "apogee", "--limit",
                       "max_acceleration < 45 g", "--report", page, "--json")  # fmt: skip
    answer = ended.answer
    assert ended.code == 0
    assert answer["schema"] == "loftwright/best/1"
    assert 0.6e-3 < answer["values"][WATER] < 1.2e-3
    limit = answer["limits"][0]
    assert limit["binds"]
    assert limit["gain_per_percent"] > 0.0
    assert answer["aims"][0]["value"] == answer["figures"]["apogee_m"]
    assert {warning["code"] for warning in answer["warnings"]}
    assert answer["trade_off"] == []
    assert page.stat().st_size > 5000


def test_best_in_a_terminal_says_what_binds(loftwright, demo):
    ended = loftwright("best", demo, "--vary", ROW, "--aim", "apogee", "--limit",
                       "max_acceleration < 45 g")  # fmt: skip
    assert '"max_acceleration < 45 g" binds: loosened by 1 % it gains' in ended.out
    assert "Pressurised bottles burst" in ended.out


def test_ballast_can_be_chosen_once_it_is_given(loftwright, demo):
    given = ("--set", "vehicle.ballast.mass=10 g", "--set", "vehicle.ballast.from_nose=60 mm")
    vary = ("--vary", "vehicle.ballast.mass=0 g..60 g")
    answer = loftwright("best", demo, *vary, *given, "--aim", "stability", "--json").answer
    assert answer["values"]["vehicle.ballast.mass"] == pytest.approx(0.06)
    bare = loftwright("best", demo, *vary, "--aim", "stability", "--json")
    assert bare.answer["problems"][0]["code"] == "study-unknown-path"


def test_sensitivity_answers_with_intervals_and_says_what_it_rounded(loftwright, demo, tmp_path):
    page = tmp_path / "shares.html"
    ended = loftwright("sensitivity", demo, "--figure", "apogee", "--flights", 20, "--report", page,
                       "--json")  # fmt: skip
    answer = ended.answer
    assert answer["schema"] == "loftwright/sensitivity/1"
    assert (answer["flights_asked"], answer["flights_in_each_sample"]) == (20, 16)
    inputs = answer["figures"]["apogee_m"]["inputs"]
    assert answer["flights"] == 16 * (len(inputs) + 2)
    assert all(len(each["total_interval"]) == 2 for each in inputs)
    assert page.stat().st_size > 5000
    words = loftwright("sensitivity", demo, "--flights", 20).out
    assert "20 was rounded to 16, a power of two" in words
    assert "cannot be told from zero" in words


def test_the_same_seed_gives_the_same_shares(loftwright, demo):
    one, other = (loftwright("sensitivity", demo, "--flights", 16, "--json").out for _ in range(2))
    assert one == other


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["explore", "DIR"], "command-usage"),
        (["explore", "DIR", ROW, ROW.replace("water_volume", "temperature"), "a=1..2"],
         "command-usage"),
        (["explore", "DIR", "vehicle.fill.water=0.4 L..1 L"], "study-unknown-path"),
        (["explore", "DIR", f"{WATER}=1 L..0.4 L"], "study-range"),
        (["explore", "DIR", f"{WATER}=1 psi..2 psi"], "quantity-wrong-dimension"),
        (["explore", "DIR", ROW, "--show", "hieght"], "study-unknown-figure"),
        (["explore", "DIR", ROW, "--limit", "apogee"], "study-phrase"),
        (["best", "DIR", "--vary", ROW], "command-usage"),
        (["best", "DIR", "--vary", ROW, "--aim", "p05 apogee"], "study-phrase"),
        (["best", "DIR", "--vary", ROW, *["--aim", "apogee"] * 3], "command-usage"),
        (["best", "DIR", "--vary", ROW, "--aim", "apogee", "--limit", "apogee > 900 m"],
         "study-infeasible"),
        (["sensitivity", "DIR", "--figure", "proof margin"], "study-never-happens"),
        (["sensitivity", "DIR", "--flights", "2"], "command-usage"),
        (["explore", "DIR", ROW, "--report", "DIR/vehicle.toml"], "command-output"),
    ],
)  # fmt: skip
def test_bad_input_is_told(loftwright, demo, words, code):
    ended = loftwright(*(word.replace("DIR", str(demo)) for word in words), "--json")
    assert ended.code == 2
    assert [problem["code"] for problem in ended.answer["problems"]] == [code]


def test_stopped_it_answers_with_130_and_what_it_had(loftwright, demo, monkeypatch):
    monkeypatch.setattr("loftwright.study.explore.SLICE", 2)

    def told(self, done, total):
        if done == 4:
            raise KeyboardInterrupt

    monkeypatch.setattr("loftwright.cli.progress.Progress.__call__", told)
    ended = loftwright("explore", demo, ROW, "--points", 6, "--json")
    assert ended.code == 130
    assert ended.answer["stopped"]
    assert ended.answer["figures"]["apogee_m"]["values"][-1] is None
