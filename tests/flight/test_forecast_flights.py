"""Forecasts of the example, single and many: whole, repeatable, and true to what was drawn."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight.draws import bounds_of
from loftwright.flight.figures import CARRIED, FIGURES, FREE
from loftwright.flight.forecast import MODEL, forecast
from loftwright.flight.results import Ensemble, Flight
from loftwright.units import Quantity

CAMPAIGN = example("sedge-lift")
VALUES, SDS, _ = flatten(CAMPAIGN)
# What is told from several flights of the same, and not in an ensemble.
ALONE = {"carry_trim_deg", "veer_m"}


@cache
def flight() -> Flight:
    return forecast(CAMPAIGN)


@cache
def ensemble(flights: int = 300, seed: int = 1) -> Ensemble:
    return forecast(CAMPAIGN, flights=flights, seed=seed)


def exact(campaign):
    """The campaign with every uncertainty taken away, and no gusts."""
    values = {path: Quantity(VALUES[path]) for path, sd in SDS.items() if sd > 0.0}
    return with_fields(campaign, {**values, "site.wind.gust": Quantity(VALUES["site.wind.speed"])})


# ---------------------------------------------------------------- a single flight


def test_a_flight_is_whole():
    assert set(flight().tracks) == {"vehicle", "payload"}
    assert set(flight().touchdown) == {"vehicle", "payload"}
    carried = set(CARRIED) - {"hold_use"} | {"hold_margin", "recontact", "time_aloft_s"}
    assert set(flight().figures) == set(FIGURES) | set(FREE) | carried | ALONE
    assert flight().outcome.startswith("Flew")


def test_figures_agree_with_the_track():
    vehicle = flight().tracks["vehicle"]
    found = flight().figures
    speed = np.linalg.norm(vehicle.velocity, axis=1)
    felt = np.linalg.norm(vehicle.acceleration, axis=1)
    assert found["apogee_m"] == pytest.approx(vehicle.position[:, 2].max(), rel=1e-9)
    assert found["max_speed_m_s"] == pytest.approx(speed.max(), rel=2e-4)
    assert found["max_acceleration_m_s2"] == pytest.approx(felt.max(), rel=1e-6)
    assert found["peak_thrust_n"] == pytest.approx(vehicle.thrust.max(), rel=1e-6)
    assert found["apogee_time_s"] == vehicle.events["apogee"]


@pytest.mark.parametrize("body", ["vehicle", "payload"])
def test_a_track_ends_at_its_touchdown(body):
    track, down = flight().tracks[body], flight().touchdown[body]
    assert track.time[-1] == pytest.approx(down["time_s"], abs=1e-9)
    np.testing.assert_allclose(track.position[-1], [down["east_m"], down["north_m"], 0], atol=1e-8)
    assert np.linalg.norm(track.velocity[-1]) == pytest.approx(down["speed_m_s"], rel=1e-9)


def test_a_payload_starts_where_the_vehicle_lets_it_go():
    vehicle, payload = flight().tracks["vehicle"], flight().tracks["payload"]
    released = vehicle.events["release"]
    assert payload.time[0] == pytest.approx(released, abs=1e-12)
    there = vehicle.position[np.argmin(np.abs(vehicle.time - released))]
    assert np.linalg.norm(payload.position[0] - there) < 0.2  # within the vehicle


def test_a_flight_names_what_made_it():
    made_by = flight().provenance
    assert made_by.model == MODEL
    assert made_by.documents == dict(CAMPAIGN.hashes)
    assert made_by.seed is None
    assert all(law.startswith("loftwright.physics.") for law in made_by.laws)
    assert "loftwright.physics.water_jet.water_jet_speed" in made_by.laws


def test_a_campaign_without_payload_flies():
    alone = forecast(with_fields(CAMPAIGN, {"payload": None}))
    assert set(alone.tracks) == set(alone.touchdown) == {"vehicle"}
    assert set(alone.figures) == set(FIGURES)
    assert alone.figures["apogee_m"] > flight().figures["apogee_m"]


# ---------------------------------------------------------------- many


@settings(deadline=None, max_examples=10)
@given(seed=st.integers(0, 10**9), short=st.integers(1, 20), more=st.integers(1, 60))
def test_the_first_flights_of_a_longer_ensemble_are_those_of_a_shorter(seed, short, more):
    one = forecast(CAMPAIGN, flights=short, seed=seed)
    other = forecast(CAMPAIGN, flights=short + more, seed=seed)
    for name, values in one.columns.items():
        assert values.tobytes() == other.columns[name][:short].tobytes()


def test_seeds_differ_and_repeat():
    one, other = ensemble(20, 1), ensemble(20, 2)
    again = forecast(CAMPAIGN, flights=20, seed=1)
    assert not np.array_equal(one.columns["apogee_m"], other.columns["apogee_m"])
    for name, values in one.columns.items():
        assert values.tobytes() == again.columns[name].tobytes()


def test_every_uncertain_field_is_drawn_within_its_bounds():
    bounds = bounds_of(CAMPAIGN)
    drawn = ensemble().drawn
    assert set(drawn) == {path for path, sd in SDS.items() if sd > 0.0}
    for path, values in drawn.items():
        low, high = bounds[path]
        assert (values >= low).all()
        assert (values <= high).all()


def test_statistics_are_those_of_the_columns():
    found = ensemble()
    for name in ("apogee_m", "touchdown_payload_east_m"):
        column = found.columns[name]
        assert found.statistics[name]["mean"] == pytest.approx(np.nanmean(column), rel=1e-12)
        assert found.statistics[name]["p50"] == pytest.approx(np.nanmedian(column), rel=1e-12)


def test_the_middle_of_the_ensemble_is_near_the_single_flight():
    found = ensemble()
    for name in ("apogee_m", "impulse_n_s", "burnout_speed_m_s"):
        spread = found.statistics[name]["sd"]
        assert abs(found.statistics[name]["p50"] - flight().figures[name]) < spread
    assert found.nominal.figures == flight().figures


def test_drivers_sum_to_one():
    for share in ensemble().drivers.values():
        assert sum(share.values()) == pytest.approx(1.0, abs=1e-9)


def test_pressure_and_losses_drive_the_impulse():
    leading = list(ensemble().drivers["impulse_n_s"])[:3]
    assert "vehicle.fill.gauge_pressure" in leading
    assert ensemble().drivers["impulse_n_s"]["rest"] < 0.05


def test_the_only_uncertain_field_is_the_only_driver():
    campaign = with_fields(exact(CAMPAIGN), {"vehicle.fill.gauge_pressure": Quantity(5e5, 1e4)})
    found = forecast(campaign, flights=60, seed=3)
    assert list(found.drawn) == ["vehicle.fill.gauge_pressure"]
    assert found.drivers["apogee_m"]["vehicle.fill.gauge_pressure"] > 0.99


def test_without_uncertainty_and_gusts_every_flight_is_the_single_one():
    campaign = exact(CAMPAIGN)
    found = forecast(campaign, flights=5, seed=9)
    one = forecast(campaign)
    assert found.drawn == {}
    for name, value in one.figures.items():
        if name in ALONE:
            continue
        expected = np.nan if value is None else value
        np.testing.assert_allclose(found.columns[name], expected, rtol=1e-12)


def test_bands_hold_the_heights():
    found = ensemble()
    height = found.band.lanes["height_m"]
    assert height.shape == (len(found.band.time), 5)
    assert np.nanmax(height[:, 2]) == pytest.approx(found.statistics["apogee_m"]["p50"], rel=0.05)


def test_progress_reaches_the_total():
    seen = []
    forecast(CAMPAIGN, flights=300, progress=lambda done, total: seen.append((done, total)))
    assert seen[-1] == (300, 300)
    assert seen == sorted(seen)
