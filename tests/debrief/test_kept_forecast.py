"""A forecast that is kept: all of it comes back, and nothing that was changed counts."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.debrief.scoring.crps import rank
from loftwright.debrief.scoring.kept_flights import (
    DOCUMENTS,
    PROGRAMS,
    fly_kept,
    programs_fly,
    vehicle_figures,
)
from loftwright.debrief.scoring.kept_forecast import FILE, keep_forecast, read_kept_forecast
from loftwright.documents import read_campaign
from loftwright.errors import ProblemError
from loftwright.flight.forecast import forecast
from loftwright.rehearsal.plan import see_that_it_rehearses

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MADE = "2026-05-02T18:00:00+02:00"
FLIGHTS = 40


@pytest.fixture(scope="module")
def campaign():
    return read_campaign(EXAMPLES / "sedge-lift-mended")


@pytest.fixture(scope="module")
def kept_file(campaign, tmp_path_factory):
    folder = tmp_path_factory.mktemp("kept") / "first lift"
    return keep_forecast(campaign, folder, flights=FLIGHTS, made=MADE)


@pytest.fixture
def copy(kept_file, tmp_path):
    return Path(shutil.copy(kept_file, tmp_path / FILE))


def codes_of(path):
    with pytest.raises(ProblemError) as caught:
        read_kept_forecast(path)
    return {problem.code for problem in caught.value.problems}


def test_all_comes_back(campaign, kept_file):
    kept = read_kept_forecast(kept_file)
    flown = fly_kept(campaign, 1, FLIGHTS)
    assert (kept.made, kept.seed, kept.flights) == (MADE, 1, FLIGHTS)
    assert kept.documents == campaign.hashes
    assert set(kept.samples) == set(flown.columns) - {"outcome"}
    for name, column in kept.samples.items():
        np.testing.assert_allclose(column, flown.columns[name], rtol=1e-8)
    for name, lane in kept.band.items():
        np.testing.assert_allclose(lane, flown.band.lanes[name], rtol=1e-8)
    assert kept.band["height_m"].shape == (len(kept.band_time), 5)


def test_it_is_the_same_however_often_it_is_made(campaign, kept_file, tmp_path):
    again = keep_forecast(campaign, tmp_path / "again", flights=FLIGHTS, made=MADE)
    assert again.read_bytes() == kept_file.read_bytes()


def test_programs_decide_where_there_are_some(kept_file):
    kept = read_kept_forecast(kept_file)
    assert kept.decided_by == PROGRAMS
    # The program holds its condition for 40 ms behind a filter: later than the document's moment.
    documents = forecast(read_campaign(EXAMPLES / "sedge-lift-mended"), flights=FLIGHTS)
    later = kept.happened("release_time_s") - documents.columns["release_time_s"]
    assert later.min() > 0.0


def test_without_programs_flights_are_those_of_a_forecast():
    campaign = read_campaign(EXAMPLES / "terrace-stages")
    flown = fly_kept(campaign, 3, FLIGHTS)
    assert flown.decided_by == DOCUMENTS
    plain = forecast(campaign, seed=3, flights=FLIGHTS).columns
    for name in ("apogee_m", "canopy_open_s", "upper_apogee_m", "touchdown_upper_east_m"):
        np.testing.assert_array_equal(flown.columns[name], plain[name])
    assert (flown.columns["max_climb_m_s"] <= plain["max_speed_m_s"]).all()


def test_programs_that_work_nothing_leave_it_to_the_documents(campaign):
    idle = replace(campaign, avionics=replace(campaign.avionics, actuator=()))
    flown = fly_kept(idle, 1, 4)
    assert flown.decided_by == DOCUMENTS
    plain = forecast(idle, flights=4).columns
    np.testing.assert_array_equal(flown.columns["release_time_s"], plain["release_time_s"])


def test_so_do_programs_that_cannot_be_rehearsed(campaign):
    riding = replace(campaign, payload=replace(campaign.payload, on="upper"))
    with pytest.raises(ProblemError):
        see_that_it_rehearses(riding)
    assert not programs_fly(riding)
    assert programs_fly(campaign)


def test_events_are_those_of_most_flights(kept_file):
    kept = read_kept_forecast(kept_file)
    events = kept.events()
    order = ("liftoff", "water out", "release", "apogee", "canopy open", "touchdown")
    middles = [events[kind][1] for kind in order]
    assert middles == sorted(middles)
    assert all(low <= middle <= high for low, middle, high in events.values())


def test_a_kept_forecast_stands_unless_it_may_go(campaign, copy):
    before = copy.read_bytes()
    with pytest.raises(ProblemError) as caught:
        keep_forecast(campaign, copy.parent, flights=FLIGHTS, made=MADE)
    assert caught.value.problems[0].code == "forecast-kept-already"
    assert copy.read_bytes() == before
    keep_forecast(campaign, copy.parent, flights=2, made=MADE, replace=True)
    assert read_kept_forecast(copy).flights == 2


@pytest.mark.parametrize("share", [0.0, 0.3, 0.999])
def test_a_file_that_is_cut_off_is_refused(copy, share):
    whole = copy.read_bytes()
    copy.write_bytes(whole[: int(share * len(whole))])
    assert codes_of(copy) == {"forecast-damaged"}


def test_a_single_changed_number_is_refused(copy):
    body = json.loads(copy.read_text(encoding="utf-8"))
    body["samples"]["apogee_m"][7] += 0.001
    copy.write_text(json.dumps(body), encoding="utf-8")
    assert codes_of(copy) == {"forecast-changed"}


def test_layout_is_no_change(copy):
    body = json.loads(copy.read_text(encoding="utf-8"))
    copy.write_text(json.dumps(body, indent=1), encoding="utf-8")
    assert read_kept_forecast(copy).flights == FLIGHTS


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("[]", "forecast-damaged"),
        ("{}", "forecast-damaged"),
        ('{"schema": 3}', "forecast-damaged"),
        ('{"schema": "loftwright/kept-forecast/9"}', "forecast-version"),
        ('{"schema": "loftwright/kept-forecast/1"}', "forecast-changed"),
        ("[" * 100_000, "forecast-damaged"),
        ('{"schema": "loftwright/kept-forecast/1", "seed": NaN}', "forecast-damaged"),
        ('{"schema": "loftwright/kept-forecast/1", "seed": 1e999}', "forecast-damaged"),
        ("\udcff".encode("utf-8", "surrogateescape").decode("latin-1"), "forecast-damaged"),
    ],
)
def test_what_is_no_forecast_is_refused(tmp_path, text, code):
    path = tmp_path / FILE
    path.write_text(text, encoding="latin-1")
    assert codes_of(path) == {code}


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_whatever_is_damaged_is_refused_and_nothing_worse(kept_file, tmp_path_factory, data):
    whole = bytearray(kept_file.read_bytes())
    for _ in range(data.draw(st.integers(1, 4))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.mktemp("damaged") / FILE
    path.write_bytes(whole)
    told = set()
    try:
        # What was changed may not count, such as a blank.
        told = {read_kept_forecast(path).sha256}
    except ProblemError as refused:
        told = {problem.code.partition("-")[0] for problem in refused.problems}
    assert told <= {"forecast", read_kept_forecast(kept_file).sha256}


def test_flights_of_the_same_model_are_forecast_as_they_should_be(campaign, kept_file):
    """Of other flights of the model, nine in ten lie inside, whatever the figure."""
    kept = read_kept_forecast(kept_file)
    others = fly_kept(campaign, 77, 150).columns
    names = ("apogee_m", "max_climb_m_s", "release_time_s", "canopy_rate_m_s", "water_out_s")
    ranks = np.array(
        [[rank(kept.happened(name), each, 0.0) for each in others[name]] for name in names]
    )
    inside = (np.abs(ranks - 0.5) <= 0.45).mean(axis=1)
    # 40 flights leave their own range unsure: its share is spread by 4 in 100.
    assert inside.min() > 0.75
    assert inside.mean() == pytest.approx(0.9, abs=0.06)


def test_a_whole_file_of_the_wrong_shape_is_refused(copy, monkeypatch):
    from loftwright.debrief.scoring import kept_forecast

    body = json.loads(copy.read_text(encoding="utf-8"))
    del body["sha256"]
    for damage in (
        {"samples": {"apogee_m": [1.0]}},
        {"samples": {"apogee_m": ["x"] * FLIGHTS}},
        {"band": {}},
        {"decided_by": "nobody"},
        {"pad": None},
        {"flights": "many"},
    ):
        changed = {**body, **damage}
        copy.write_text(json.dumps({**changed, "sha256": kept_forecast._digest(changed)}))
        assert codes_of(copy) == {"forecast-damaged"}


def test_a_file_that_is_not_there_is_told(tmp_path):
    assert codes_of(tmp_path / FILE) == {"file-missing"}


def test_steady_descent_is_the_second_half_under_canopy():
    time = np.linspace(0.0, 20.0, 201)
    height = np.where(time < 10.0, 100.0 - 5.0 * time, 50.0 - 4.0 * (time - 10.0))
    figures = vehicle_figures(time, height, np.gradient(height, time), 2.0, 20.0)
    assert figures["canopy_rate_m_s"] == pytest.approx(4.0)
    assert np.isnan(vehicle_figures(time, height, height, np.nan, 20.0)["canopy_rate_m_s"])
