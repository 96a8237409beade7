"""Scores are exact, proper and fair; ranks of calibrated forecasts are uniform."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats
from scipy.special import ndtr

from loftwright.debrief.scoring.crps import crps, rank
from loftwright.physics.scoring import crps_of_normal, mean_distance, normal_share

FIGURES = st.floats(-50.0, 50.0)
SAMPLES = st.lists(FIGURES, min_size=2, max_size=12).map(np.array)
SPREADS = st.floats(0.05, 20.0)


def by_quadrature(samples, measured, sd):
    """Integrate the squared difference of distribution functions, which is the definition."""
    reach = 10.0 * sd + 1.0
    corners = np.unique([*samples, measured])
    edges = [corners[0] - reach, *corners, corners[-1] + reach]
    return sum(piece(samples, measured, sd, *ends) for ends in pairwise(edges))


def piece(samples, measured, sd, begin, end):
    """Integrate between two corners, where the difference is smooth."""
    middle = 0.5 * (begin + end)
    if sd == 0.0:
        return (end - begin) * (np.mean(samples <= middle) - (middle >= measured)) ** 2
    x = np.linspace(begin, end, 801)
    below = ndtr((x[:, None] - samples) / sd).mean(axis=1)
    return integrate.simpson((below - (middle >= measured)) ** 2, x=x)


@given(SAMPLES, FIGURES)
def test_it_is_the_area_between_the_distribution_functions(samples, measured):
    found = crps(samples, measured, fair=False)
    assert found == pytest.approx(by_quadrature(samples, measured, 0.0), abs=1e-6)


@given(SAMPLES, FIGURES, st.floats(0.5, 5.0))
def test_so_it_is_with_an_error_of_measurement(samples, measured, sd):
    found = crps(samples, measured, sd, fair=False)
    assert found == pytest.approx(by_quadrature(samples, measured, sd), abs=1e-5)


@given(SAMPLES, FIGURES)
def test_a_small_error_of_measurement_is_none(samples, measured):
    for fair in (True, False):
        plain, with_error = (crps(samples, measured, sd, fair=fair) for sd in (0.0, 1e-9))
        assert plain == pytest.approx(with_error, abs=1e-6)


@given(SAMPLES, FIGURES, SPREADS, st.floats(0.1, 10.0), FIGURES)
def test_it_moves_and_stretches_with_its_unit(samples, measured, sd, size, shift):
    found = crps(samples * size + shift, measured * size + shift, sd * size)
    assert found == pytest.approx(size * crps(samples, measured, sd), rel=1e-6, abs=1e-6)
    assert rank(samples * size + shift, measured * size + shift, sd * size) == pytest.approx(
        rank(samples, measured, sd), abs=1e-6
    )


@given(FIGURES, FIGURES, SPREADS)
def test_one_sample_with_an_error_is_a_normal_forecast(mean, measured, sd):
    found = crps(np.array([mean]), measured, sd, fair=False)
    assert found == pytest.approx(crps_of_normal(measured, mean, sd), abs=1e-9)


def test_the_fair_form_does_not_depend_on_how_many_flights_there_are():
    stream = np.random.default_rng(5)
    exact = crps_of_normal(0.7, 0.0, 1.0)
    for size in (2, 5, 20):
        draws = stream.standard_normal((20_000, size))
        scores = np.array([crps(row, 0.7) for row in draws])
        error = scores.std() / np.sqrt(len(scores))
        assert scores.mean() == pytest.approx(exact, abs=4.0 * error)
        unfair = np.mean([crps(row, 0.7, fair=False) for row in draws[:4000]])
        assert unfair > exact + 0.3 / (2 * size)  # half of E|X - X'| over m more


@given(st.floats(-2.0, 2.0), st.floats(0.3, 3.0))
def test_nobody_expects_a_better_score_than_from_the_truth(mean, sd):
    """Expected score over a normal truth, by quadrature of its normal distribution."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(80)
    weights = weights / weights.sum()
    own, other = (
        sum(w * crps_of_normal(x, *forecast) for x, w in zip(nodes, weights, strict=True))
        for forecast in ((0.0, 1.0), (mean, sd))
    )
    assert other >= own - 2e-3 * 1.0  # the quadrature's own error at the kink
    if abs(mean) > 0.5 or abs(np.log(sd)) > 0.5:
        assert other > own


def test_the_truth_with_its_error_beats_a_forecast_that_ignores_it():
    stream = np.random.default_rng(11)
    truth, sd = stream.standard_normal(4000), 1.5
    measured = truth + sd * stream.standard_normal(4000)
    samples = stream.standard_normal(200)
    right = np.mean([crps(samples, each, sd) for each in measured[:600]])
    blind = np.mean([crps(samples, each) for each in measured[:600]])
    assert right < blind


@pytest.mark.parametrize("sd", [0.0, 0.5])
def test_ranks_of_calibrated_forecasts_are_uniform(sd):
    stream = np.random.default_rng(17)
    ranks = []
    for _ in range(3000):
        mean, spread = stream.normal(60.0, 10.0), stream.uniform(1.0, 5.0)
        samples = stream.normal(mean, spread, 60)
        measured = stream.normal(mean, spread) + sd * stream.standard_normal()
        ranks.append(rank(samples, measured, sd))
    assert stats.kstest(ranks, "uniform").pvalue > 0.01
    inside = np.mean([0.05 <= each <= 0.95 for each in ranks])
    assert inside == pytest.approx(0.9, abs=0.025)


def test_a_forecast_that_is_too_sure_has_ranks_at_its_ends():
    stream = np.random.default_rng(3)
    ranks = [rank(stream.normal(0.0, 0.5, 60), stream.normal()) for _ in range(1000)]
    assert np.mean([0.05 <= each <= 0.95 for each in ranks]) < 0.7


def test_without_samples_nothing_is_scored():
    for law in (crps, rank):
        with pytest.raises(ValueError, match="samples"):
            law(np.zeros(0), 1.0)


@given(FIGURES, SPREADS)
def test_a_mean_distance_is_no_less_than_that_of_the_mean(mean, sd):
    assert mean_distance(mean, sd) >= abs(mean) - 1e-12
    assert mean_distance(mean, sd) == pytest.approx(mean_distance(-mean, sd))
    assert mean_distance(mean, 0.0) == abs(mean)


@given(FIGURES, FIGURES, SPREADS)
def test_a_share_of_a_normal_distribution(value, mean, sd):
    assert normal_share(value, mean, sd) == pytest.approx(
        float(stats.norm.cdf(value, mean, sd)), abs=1e-12
    )
