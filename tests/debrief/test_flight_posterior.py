"""The posterior of a flight fit where it is known in closed form, and its laws."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.debrief.fitting.doubt import SCALES, doubt_of, scale_weights, smooth_error
from loftwright.debrief.fitting.posterior import (
    Posterior,
    informed_directions,
    near,
    sample_posterior,
    settle,
)

seeds = st.integers(0, 2**32 - 1)


def certain(count: int, noise: float = 1.0):
    """Independent noise of a known size."""
    return doubt_of(noise**2 * np.eye(count), np.zeros((count, count)), np.ones(1), np.ones(1))


def begin(found):
    return near(found, 100, np.random.default_rng(1))


def linear(slopes: np.ndarray):
    return lambda points: points @ slopes.T


def test_a_record_of_nothing_leaves_the_prior_as_it_is() -> None:
    """Not about: to the last digit."""
    predict = linear(np.zeros((5, 4)))
    found = settle(predict, np.array([3.0, -1.0, 0.2, 9.0, 0.0]), certain(5), np.zeros(4))
    posterior = sample_posterior(predict, np.zeros(5), certain(5), found, begin(found), seed=1)
    assert np.array_equal(posterior.covariance, np.eye(4))
    assert np.array_equal(posterior.mean, np.zeros(4))


def test_two_numbers_that_act_alike_are_known_together_only() -> None:
    predict = linear(np.array([[10.0, 10.0, 0.0]]))
    measured = np.array([14.0])
    found = settle(predict, measured, certain(1, 0.1), np.zeros(3))
    posterior = sample_posterior(predict, measured, certain(1, 0.1), found, begin(found), seed=2)
    covariance = posterior.covariance
    sd = np.sqrt(np.diag(covariance))
    assert covariance[0, 1] / (sd[0] * sd[1]) == pytest.approx(-1.0, abs=0.01)
    assert 1.0 - sd[0] ** 2 == pytest.approx(0.5, abs=0.02)  # each keeps half its variance
    assert sd[2] == pytest.approx(1.0)
    assert posterior.mean[:2].sum() == pytest.approx(1.4, abs=0.01)


@given(seeds)
def test_more_records_never_widen(seed: int) -> None:
    """With normal errors: the covariance with more rows is less in every direction."""
    rng = np.random.default_rng(seed)
    slopes = rng.normal(size=(6, 3)) * rng.exponential(size=(6, 1))
    spreads = []
    for rows in (2, 4, 6):
        part = slopes[:rows]
        found = settle(linear(part), rng.normal(size=rows), certain(rows), np.zeros(3))
        spreads.append(np.linalg.inv(found.information + np.eye(3)))
    for wide, narrow in pairwise(spreads):
        assert np.linalg.eigvalsh(wide - narrow).min() > -1e-9


@given(seeds)
def test_many_readings_of_one_error_do_not_count_as_many(seed: int) -> None:
    """A model's smooth error keeps a number from being known better the faster a log is."""
    rng = np.random.default_rng(seed)
    size = 1.0 + rng.random()
    sds = []
    for count in (20, 200):
        share = np.linspace(0.05, 1.0, count)
        doubt = doubt_of(
            0.01 * np.eye(count), size**2 * smooth_error(share, share), np.array([0.5]), np.ones(1)
        )
        information = share @ doubt.precision(np.zeros(count)) @ share
        sds.append(1.0 / np.sqrt(information))
    assert sds[1] > 0.8 * sds[0]


def test_the_records_say_how_large_the_models_error_is() -> None:
    share = np.linspace(0.05, 1.0, 30)
    fixed, growing = 0.05**2 * np.eye(30), 90.0**2 * smooth_error(share, share)
    doubt = doubt_of(fixed, growing, SCALES, scale_weights())
    calm = doubt.weights(np.full(30, 0.01)) @ SCALES
    rough = doubt.weights(3.0 * share * np.sin(9.0 * share)) @ SCALES
    assert calm < 0.004
    assert rough > 0.01


def test_a_banana_is_drawn_as_it_is() -> None:
    """A number that bends what is measured: means and sds by quadrature."""

    def predict(points: np.ndarray) -> np.ndarray:
        x, y = points[:, :1], points[:, 1:]
        return np.concatenate([(x + 0.25 * x**2 + y) * 3.0, 0.5 * x], axis=1)

    measured = np.array([1.5, 0.2])
    found = settle(predict, measured, certain(2, 0.6), np.array([0.3, 0.1]))
    posterior = sample_posterior(predict, measured, certain(2, 0.6), found, begin(found), seed=3)
    grid = np.linspace(-5.0, 5.0, 801)
    x, y = np.meshgrid(grid, grid, indexing="ij")
    away = np.stack([1.5 - 3.0 * (x + 0.25 * x**2 + y), 0.2 - 0.5 * x]) / 0.6
    density = np.exp(-0.5 * (x**2 + y**2 + np.square(away).sum(axis=0)))
    density /= density.sum()
    sd = np.sqrt(np.diag(posterior.covariance))
    for number, values in enumerate((x, y)):
        mean = float((density * values).sum())
        assert posterior.mean[number] == pytest.approx(mean, abs=0.06)
        expected = float(np.sqrt((density * (values - mean) ** 2).sum()))
        assert sd[number] == pytest.approx(expected, rel=0.08)


def test_the_same_seed_gives_the_same_posterior() -> None:
    predict = linear(np.array([[1.0, 2.0]]))
    found = settle(predict, np.array([0.5]), certain(1), np.zeros(2))
    one, other = (
        sample_posterior(predict, np.array([0.5]), certain(1), found, begin(found), seed=7)
        for _ in range(2)
    )
    assert np.array_equal(one.active, other.active)


def test_draws_beside_the_directions_are_the_priors() -> None:
    basis = np.array([[1.0], [0.0], [0.0]])
    posterior = Posterior(basis, np.array([9.0]), np.zeros((1, 1)), np.ones(1))
    draws = posterior.draws(4000, np.random.default_rng(1))
    assert np.array_equal(draws[:, 0], np.zeros(4000))
    np.testing.assert_allclose(draws[:, 1:].std(axis=0), 1.0, atol=0.05)


def test_directions_come_strongest_first_and_no_more_than_asked() -> None:
    basis, strength = informed_directions(np.diag([0.0, 5.0, 1e-6, 80.0]), 5)
    assert strength.tolist() == [80.0, 5.0]
    assert np.abs(basis[3, 0]) == 1.0
    assert informed_directions(np.diag([3.0, 5.0, 80.0]), 2)[1].tolist() == [80.0, 5.0]
