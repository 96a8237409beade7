"""The statistics beneath causes, beside problems whose answer is known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from loftwright.debrief.causes.alike import pair_error
from loftwright.debrief.causes.calibration import reliability
from loftwright.debrief.causes.forest import Bins, grow_forest
from loftwright.debrief.causes.model import Rows, fit_model
from loftwright.debrief.causes.people import Measured, Said

COUNT = 600
AWAY = 2.0  # standard deviations between two normals


def two_normals(seed, count=COUNT, noise=3):
    """Two causes that leave normals a distance apart in one feature, and nothing in others."""
    dice = np.random.default_rng(seed)
    cause = np.repeat([0, 1], count)
    values = dice.normal(size=(2 * count, 1 + noise))
    values[:, 0] += AWAY * cause
    return Rows(
        tuple(f"feature {n}" for n in range(1 + noise)),
        values,
        cause,
        np.tile(np.arange(count), 2),
        np.ones(2 * count),
    )


def bayes(values, prior):
    """Exact posterior of the second of two normals."""
    likely = np.stack([norm.pdf(values), norm.pdf(values - AWAY)], axis=1) * prior
    return likely[:, 1] / likely.sum(axis=1)


@pytest.mark.parametrize("prior", [(0.5, 0.5), (0.9, 0.1), (0.02, 0.98)])
def test_a_posterior_is_that_of_bayes(prior):
    model = fit_model(two_normals(1), np.array(prior))
    fresh = two_normals(2)
    found = model.posterior(model.shares(fresh.values))[:, 1]
    exact = bayes(fresh.values[:, 0], np.array(prior))
    often = np.array(prior)[fresh.cause]  # as such flights would be met
    assert np.average(np.abs(found - exact), weights=often) < 0.05


def test_weights_of_rows_count_as_so_many_rows():
    """A cause whose flights all count three times is three times as likely."""
    rows = two_normals(3)
    heavy = Rows(rows.names, rows.values, rows.cause, rows.flight, 1.0 + 2.0 * rows.cause)
    model = fit_model(heavy, np.array([0.5, 0.5]))
    fresh = two_normals(4)
    found = model.posterior(model.shares(fresh.values))[:, 1]
    exact = bayes(fresh.values[:, 0], np.array([0.25, 0.75]))
    assert np.abs(found - exact).mean() < 0.06


def test_bounds_hold_what_more_flights_would_say():
    """The exact posterior lies between the 90 % bounds in about nine of ten cases."""
    fresh = two_normals(5, 20)
    exact = bayes(fresh.values[:, 0], np.array([0.5, 0.5]))
    inside = []
    for seed in range(6):
        model = fit_model(two_normals(10 + seed, 150), np.array([0.5, 0.5]), seed=seed)
        for row, true in zip(fresh.values, exact, strict=True):
            low, high = model.bounds(row[None, :], seed)
            inside.append(low[1] <= true <= high[1])
    assert 0.75 <= np.mean(inside) <= 1.0


def test_the_error_between_two_causes_is_that_of_bayes():
    """Two normals a distance d apart are told apart with an error of Phi(-d / 2)."""
    model = fit_model(two_normals(6), np.array([0.5, 0.5]))
    likely = model.likelihoods(model.forest.unseen())
    rows = model.rows
    error = pair_error(0, 1, likely, rows.cause, rows.weights)
    assert error == pytest.approx(norm.cdf(-AWAY / 2.0), abs=0.03)


def test_a_forest_does_not_depend_on_threads(monkeypatch):
    rows = two_normals(7, 100)
    bins = Bins.of(rows.values)(rows.values)

    def shares():
        forest = grow_forest(bins, rows.cause, rows.weights, rows.flight, count=2, bags=4)
        return forest(bins)

    many = shares()
    monkeypatch.setattr("loftwright.debrief.causes.forest.processors", lambda: 1)
    np.testing.assert_array_equal(many, shares())


def test_what_is_unseen_tells_nothing_of_labels_by_chance():
    """Trees know by heart what they grew on; what they say of the rest is worth no more."""
    dice = np.random.default_rng(8)
    values, cause = dice.normal(size=(400, 5)), dice.integers(0, 2, 400)
    bins = Bins.of(values)(values)
    forest = grow_forest(bins, cause, np.ones(400), np.arange(400), count=2)
    seen = (forest(bins).argmax(axis=1) == cause).mean()
    unseen = (forest.unseen().argmax(axis=1) == cause).mean()
    assert seen > 0.9
    assert unseen == pytest.approx(0.5, abs=0.1)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(float("nan"))), min_size=1, max_size=80))
def test_bins_keep_the_order_and_mark_what_is_missing(column):
    values = np.array(column)[:, None]
    bins = Bins.of(values)(values)[0]
    there = np.isfinite(values[:, 0])
    assert np.all((bins > 0) == there)
    order = np.argsort(values[there, 0], kind="stable")
    assert np.all(np.diff(bins[there][order].astype(int)) >= 0)


def test_reliability_of_what_is_calibrated_and_of_what_boasts():
    dice = np.random.default_rng(9)
    said = dice.random(20_000)
    assert reliability(said, dice.random(20_000) < said).error < 0.02
    boasted = reliability(np.full(20_000, 0.95), dice.random(20_000) < 0.7)
    assert boasted.error == pytest.approx(0.25, abs=0.02)


def test_words_count_by_how_sure_they_are():
    truth = {"release_time_s": np.array([2.0, np.nan]), "liftoff_s": np.zeros(2)}
    yes, no = (Said("release", "payload", happened, 0.9) for happened in (True, False))
    np.testing.assert_allclose(yes.chance(truth), [0.9, 0.1])
    np.testing.assert_allclose(no.chance(truth), [0.1, 0.9])


def test_a_bundle_is_seldom_called_an_open_canopy():
    truth = {"canopy_open_s": np.full(3, 4.0), "canopy_share": np.array([0.04, 0.3, 1.0])}
    chance = Said("canopy open", "vehicle", True, 1.0).chance(truth)
    assert chance[0] < 0.15 < chance[1] < 0.75 < chance[2] == 1.0


def test_times_and_places_are_taken_with_their_spread():
    truth = {
        "liftoff_s": np.zeros(4000),
        "apogee_time_s": np.full(4000, 4.0),
        "touchdown_vehicle_east_m": np.full(4000, 30.0),
        "touchdown_vehicle_north_m": np.full(4000, 40.0),
    }
    watch = Measured("watch", "time", "liftoff_s", "apogee_time_s", (4.1,), (0.2,))
    taken = watch.simulated(truth, 1)["watch"]
    assert taken.mean() == pytest.approx(4.0, abs=0.02)
    assert taken.std() == pytest.approx(0.2, rel=0.05)
    place = Measured("vehicle lies", "place", "", "vehicle", (50.0, 0.64), (2.0, 0.1))
    east, north = place.simulated(truth, 1).values()
    assert np.hypot(east, north).mean() == pytest.approx(50.0, abs=0.3)
    assert np.arctan2(east, north).std() == pytest.approx(0.1, rel=0.05)
    assert place.told()["vehicle lies: east"] == pytest.approx(50.0 * np.sin(0.64))


def test_without_features_the_shares_are_those_of_the_weights():
    """Words alone: the chance of a cause is its flights' weights, exactly as Bayes has it."""
    dice = np.random.default_rng(11)
    cause, weights = np.repeat([0, 1, 2], 200), dice.uniform(0.1, 1.0, 600)
    flight = np.tile(np.arange(200), 3)
    prior = np.array([0.5, 0.3, 0.2])
    model = fit_model(Rows((), np.zeros((600, 0)), cause, flight, weights), prior)
    mass = prior * np.bincount(cause, weights)
    found = model.posterior(model.shares(np.zeros((1, 0))))[0]
    np.testing.assert_allclose(found, mass / mass.sum(), atol=0.02)
