"""Thinned curves look the same and keep their peaks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from loftwright.report.decimate import column_extremes, simplify, thin

curves = arrays(np.float64, st.integers(1, 400), elements=st.floats(-500, 500))
TOLERANCE = 0.2


@given(curves)
def test_the_extremes_of_each_pixel_column_stay(y: np.ndarray) -> None:
    x = np.linspace(0, 40, y.size)
    rows = column_extremes(x, y)
    for column in np.unique(np.floor(x)):
        here = y[np.floor(x) == column]
        kept = y[rows][np.floor(x[rows]) == column]
        assert kept.min() == here.min()
        assert kept.max() == here.max()


@given(curves)
def test_simplified_curves_stay_within_tolerance_and_keep_the_extremes(y: np.ndarray) -> None:
    x = np.arange(y.size, dtype=float)
    rows = simplify(x, y, TOLERANCE)
    back = np.interp(x, x[rows], y[rows])
    assert np.abs(back - y).max() <= TOLERANCE + 1e-9
    assert y[rows].max() == y.max()
    assert y[rows].min() == y.min()
    assert rows[0] == 0
    assert rows[-1] == y.size - 1


def test_a_single_sharp_peak_in_a_long_record_survives() -> None:
    x = np.linspace(0, 800, 200_000)
    y = np.zeros_like(x)
    y[123_457] = 90.0
    _, kept = thin(x, y)
    assert kept.max() == 90.0
    assert kept.size < 20


def test_a_straight_line_needs_two_points() -> None:
    x = np.linspace(0, 500, 5000)
    kept, _ = thin(x, 0.3 * x)
    assert kept.size == 2


def test_rows_without_numbers_are_left_out() -> None:
    x = np.array([0.0, 1.0, np.nan, 3.0])
    y = np.array([0.0, np.nan, 2.0, 3.0])
    kept_x, kept_y = thin(x, y)
    assert kept_x.tolist() == [0.0, 3.0]
    assert kept_y.tolist() == [0.0, 3.0]


@pytest.mark.parametrize("size", [0, 1])
def test_nothing_to_thin(size: int) -> None:
    x, y = thin(np.zeros(size), np.zeros(size))
    assert x.size == y.size == size
