"""What ``forecast --json`` tells of holds, partings, gliders, stages and the ground."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from flight.staged import STAGED

from loftwright.flight.chance import wilson


@pytest.fixture
def strong(demo):
    """The demo on a hold that bears what the boost asks."""
    path = demo / "payload.toml"
    text = path.read_text(encoding="utf-8").replace('"11 N ± 1 N"', '"40 N ± 3 N"')
    path.write_text(text, encoding="utf-8")
    return demo


@pytest.fixture
def staged(tmp_path):
    """A copy of the campaign with several payloads, boosters and an upper stage."""
    return Path(shutil.copytree(STAGED, tmp_path / "staged"))


def nothing_odd(value: object) -> None:
    """Walk an answer; the reader of these tests has refused NaN and Infinity already."""
    if isinstance(value, dict):
        for each in value.values():
            nothing_odd(each)
    elif isinstance(value, list):
        for each in value:
            nothing_odd(each)
    else:
        assert value is None or isinstance(value, str | int | float)


def test_a_hold_that_gives_way_is_told_from_a_release(loftwright, demo):
    # The demo's hold bears 11 N, less than half of what the boost asks.
    answer = loftwright("forecast", demo, "--flights", 40, "--json").answer
    retainer = answer["retainer"]
    assert retainer == answer["retainers"]["payload"]
    assert retainer["tear_off_probability"] > 0.8
    assert retainer["tear_off_interval"][0] < retainer["tear_off_probability"]
    parting = answer["partings"]["payload"]
    assert parting["torn_off_probability"] == retainer["tear_off_probability"]
    assert parting["let_go_probability"] == pytest.approx(1.0 - parting["torn_off_probability"])
    count = round(40 * parting["torn_off_probability"])
    assert parting["torn_off_interval"] == pytest.approx(wilson(count, 40))
    # What it does while on is told with the values as written; how far it veers, over all flights.
    assert answer["carry_trim_deg"] == answer["nominal"]["carry_trim_deg"]
    assert set(answer["veer_m"]) >= {"p05", "p50", "p95"}
    carrying = answer["carrying"]
    assert sum(carrying["trim_parts_deg"].values()) == pytest.approx(
        carrying["carry_trim_deg"], rel=0.05
    )
    assert "time" not in carrying


def test_one_flight_has_chances_of_nought_or_one_and_no_intervals(loftwright, demo):
    answer = loftwright("forecast", demo, "--json").answer
    assert answer["retainer"]["tear_off_probability"] == 1.0
    assert answer["retainer"]["margin"] == 0.0
    assert answer["partings"]["payload"]["let_go_probability"] == 0.0
    assert answer["recontact_interval"] is None
    assert answer["ground"] is None
    nothing_odd(answer)


def test_a_described_glider_tells_its_glide(loftwright, strong):
    answer = loftwright("forecast", strong, "--flights", 20, "--json").answer
    glide = answer["gliders"]["payload"]
    assert glide["trims"] is True
    # Distance over height lost is what was measured.
    assert glide["glide_ratio"] == pytest.approx(5.5, rel=0.02)
    assert glide["sink_m_s"] == pytest.approx(
        glide["speed_m_s"] / (1.0 + glide["glide_ratio"] ** 2) ** 0.5
    )
    assert {"phugoid_period_s", "phugoid_damping", "spiral_time_constant_s", "says"} <= set(glide)
    assert answer["retainer"]["tear_off_probability"] == 0.0
    assert answer["recontact_probability"] == 0.0
    assert answer["recontact_interval"] == pytest.approx(wilson(0, 20))
    assert answer["fin_clearance_m"]["p05"] > 0.0


def test_the_ground_is_told_body_by_body_and_shape_by_shape(loftwright, strong):
    answer = loftwright("forecast", strong, "--flights", 30, "--json").answer
    assert set(answer["ground"]) == set(answer["touchdown"]) == {"vehicle", "payload"}
    for body in answer["ground"].values():
        places = {place["shape"]: place for place in body["places"]}
        assert {"Sedge Flat", "Alder row", "Watchers", "Rope"} <= set(places)
        for chance in (*body["places"], *body["energies"]):
            assert chance["probability"] == chance["count"] / body["landings"]
            assert chance["interval"] == pytest.approx(wilson(chance["count"], body["landings"]))
        # 14 CFR 107.120 and 107.130, and RCC 321: 11, 25 and 58 ft lbf.
        assert [each["above_j"] for each in body["energies"]] == pytest.approx(
            [14.914, 33.895, 78.637], abs=1e-3
        )
        assert [each["shape"] for each in body["hits"]] == ["Watchers"]


def test_every_stage_is_told_and_nothing_is_no_number(loftwright, staged):
    one = loftwright("forecast", staged, "--json").answer
    many = loftwright("forecast", staged, "--flights", 20, "--json").answer
    for answer in (one, many):
        nothing_odd(answer)
        assert list(answer["stages"]) == ["boosters", "upper"]
        assert answer["stages"]["upper"]["name"] == "Plover"
        assert answer["stages"]["upper"]["parting_probability"] == 1.0
        assert answer["partings"]["payload2"]["release_time_s"] is None
        assert answer["partings"]["payload2"]["recontact_probability"] is None
        assert answer["retainers"]["payload2"]["margin"] is None
        assert {"upper", "booster1", "booster2", "payload3"} <= set(answer["touchdown"])
    assert one["stages"]["upper"]["apogee_m"] == one["upper_apogee_m"]
    assert many["stages"]["upper"]["firing_interval"] == pytest.approx(wilson(20, 20))
    assert "caught" not in many["touchdown"]["vehicle"]


def test_a_vehicle_alone_has_nothing_to_let_go(loftwright, demo):
    head = demo / "campaign.toml"
    text = head.read_text(encoding="utf-8")
    for line in ('payload = "payload.toml"\n', 'avionics = "avionics.toml"\n'):
        assert line in text
        text = text.replace(line, "")
    head.write_text(text, encoding="utf-8")
    for words in ((), ("--flights", 5)):
        answer = loftwright("forecast", demo, *words, "--json").answer
        for key in ("carry_trim_deg", "veer_m", "carrying", "retainer", "fin_clearance_m"):
            assert answer[key] is None
        assert answer["recontact_probability"] is None
        assert answer["retainers"] == answer["gliders"] == answer["stages"] == {}


@pytest.mark.parametrize("many", [(), ("--flights", 3)])
def test_a_push_that_does_not_leave_the_guide_is_an_answer(loftwright, demo, many):
    weak = ("--set", "vehicle.fill.gauge_pressure=0.02 bar")
    ended = loftwright("forecast", demo, *many, *weak, "--json")
    assert ended.code == 0, ended.err
    nothing_odd(ended.answer)
    assert "Did not leave the guide" in str(ended.answer["outcomes"])
    told = loftwright("forecast", demo, *many, *weak)
    assert told.out.startswith("No height to speak of.")
    assert "e−" not in told.out
