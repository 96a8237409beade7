"""The polynomial stand-in for a simulator."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.debrief.emulator import Axis, fit_emulator, spread_points

AXES = (Axis("a", 0.5, 2.0), Axis("b", -1.0, 3.0, logarithmic=False))


def cubic(inputs: dict[str, float]) -> np.ndarray:
    a, b = np.log(inputs["a"]), inputs["b"]
    return np.array([1.0 + a - 2.0 * b + a * a * b, b**3 - 0.5 * a * b])


def test_a_cubic_is_found_exactly() -> None:
    emulator = fit_emulator(cubic, AXES, seed=1)
    points = np.array([[0.6, -0.5], [1.0, 0.0], [1.9, 2.9]])
    expected = np.array([cubic({"a": a, "b": b}) for a, b in points])
    np.testing.assert_allclose(emulator(points), expected, atol=1e-9)
    assert np.all(emulator.error < 1e-9)


def test_the_error_is_that_of_runs_kept_back() -> None:
    def rough(inputs: dict[str, float]) -> np.ndarray:
        return np.array([np.sin(3.0 * inputs["b"])])

    emulator = fit_emulator(rough, AXES, seed=1)
    points = np.stack([np.full(200, 1.0), np.linspace(-0.9, 2.9, 200)], axis=1)
    off = emulator(points)[:, 0] - np.sin(3.0 * points[:, 1])
    assert 0.3 < np.sqrt(np.mean(off**2)) / emulator.error[0] < 3.0


def test_a_feature_that_is_sometimes_missing_and_one_that_always_is() -> None:
    def partial(inputs: dict[str, float]) -> np.ndarray:
        return np.array([inputs["b"] if inputs["b"] > -0.5 else np.nan, np.nan])

    emulator = fit_emulator(partial, AXES, seed=1)
    found = emulator(np.array([[1.0, 1.5]]))[0]
    assert found[0] == pytest.approx(1.5, abs=1e-9)
    assert np.isnan(found[1])
    assert np.isnan(emulator.error[1])


@given(st.integers(2, 60), st.integers(1, 6), st.integers(0, 1000))
def test_points_are_spread_one_to_a_stratum(count: int, axes: int, seed: int) -> None:
    points = spread_points(count, axes, np.random.default_rng(seed))
    strata = np.floor((points + 1.0) / 2.0 * count).astype(int)
    assert np.all(np.sort(strata, axis=0) == np.arange(count)[:, None])


@given(st.floats(0.1, 10.0), st.floats(0.01, 10.0), st.floats(-1.0, 1.0), st.booleans())
def test_scaling_there_and_back(low: float, width: float, at: float, log: bool) -> None:
    axis = Axis("x", low, low + width, log)
    back = axis.scaled(axis.unscaled(np.array([at])))
    assert back[0] == pytest.approx(at, abs=1e-6)
