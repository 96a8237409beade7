"""Draws beside the moments of densities that are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from loftwright.debrief.sampler import sample


def test_a_correlated_normal() -> None:
    mean = np.array([1.0, -2.0, 0.5])
    covariance = np.array([[2.0, 1.2, 0.0], [1.2, 1.0, 0.1], [0.0, 0.1, 0.25]])
    inverse = np.linalg.inv(covariance)

    def density(points: np.ndarray) -> np.ndarray:
        away = points - mean
        return -0.5 * np.einsum("ni,ij,nj->n", away, inverse, away)

    start = np.random.default_rng(2).normal(size=(80, 3))
    draws, settled = sample(density, start, seed=3)
    assert settled
    np.testing.assert_allclose(draws.mean(axis=0), mean, atol=0.15)
    np.testing.assert_allclose(np.cov(draws.T), covariance, atol=0.25)


def test_a_bound_is_kept_and_its_mean_found() -> None:
    def density(points: np.ndarray) -> np.ndarray:
        x = points[:, 0]
        return np.where((x > 0.0) & (np.abs(points[:, 1]) < 1.0), -x, -np.inf)

    start = np.random.default_rng(2).uniform(0.1, 0.9, size=(60, 2))
    draws, _ = sample(density, start, seed=1)
    assert draws[:, 0].min() > 0.0
    assert draws[:, 0].mean() == pytest.approx(1.0, abs=0.1)  # exponential distribution
    assert draws[:, 1].std() == pytest.approx(1.0 / np.sqrt(3.0), abs=0.05)  # even distribution


def test_the_same_seed_gives_the_same_draws() -> None:
    def density(points: np.ndarray) -> np.ndarray:
        return -0.5 * (points**2).sum(axis=1)

    start = np.random.default_rng(2).normal(size=(20, 2))
    one, two, other = (sample(density, start.copy(), seed=seed)[0] for seed in (7, 7, 8))
    np.testing.assert_array_equal(one, two)
    assert not np.array_equal(one, other)
