"""Uncertainty through functions: exact through straight ones, right by draws through bent ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from loftwright.debrief.scoring.propagation import correlation_of, covariance_of, propagate

FACTORS = arrays(float, (3, 3), elements=st.floats(-2.0, 2.0))


@given(FACTORS, FACTORS)
def test_through_a_matrix_it_is_exact(slopes, root):
    given_covariance = root @ root.T
    results, covariance = propagate(lambda x: slopes @ x, np.ones(3), given_covariance)
    np.testing.assert_allclose(results, slopes @ np.ones(3), atol=1e-9)
    # What has no variance adds nothing, so rows of rounding are left out of the comparison.
    np.testing.assert_allclose(covariance, slopes @ given_covariance @ slopes.T, atol=1e-6)


@given(FACTORS)
def test_what_comes_out_is_a_covariance(root):
    _, covariance = propagate(
        lambda x: [np.sin(x[0]) * x[1], x[2] ** 2], np.array([0.3, 2.0, 1.0]), root @ root.T
    )
    np.testing.assert_allclose(covariance, covariance.T, atol=1e-9)
    assert np.linalg.eigvalsh(covariance).min() > -1e-6


def test_draws_agree():
    stream = np.random.default_rng(9)
    correlation = np.array([[1.0, 0.8], [0.8, 1.0]])
    spread = covariance_of([0.5, 0.02], correlation)
    at = np.array([40.0, 0.7])

    def place(x):
        return np.array([x[0] * np.sin(x[1]), x[0] * np.cos(x[1])])

    _, covariance = propagate(place, at, spread)
    drawn = np.array([place(x) for x in stream.multivariate_normal(at, spread, 20_000)])
    np.testing.assert_allclose(covariance, np.cov(drawn.T), rtol=0.05, atol=0.005)


def test_dropping_a_correlation_shows():
    together = np.ones((2, 2))
    for correlation, expected in ((together, 0.0), (None, 2.0)):
        _, covariance = propagate(
            lambda x: [x[0] - x[1]], np.zeros(2), covariance_of([1.0, 1.0], correlation)
        )
        assert covariance[0, 0] == pytest.approx(expected)


def test_correlations_of_what_is_certain_are_none():
    found = correlation_of(np.diag([4.0, 0.0]))
    np.testing.assert_array_equal(found, np.eye(2))
