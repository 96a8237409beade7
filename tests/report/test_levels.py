"""Levels lose nothing that can be seen: no extreme of any pixel column, whatever the window."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report.stripped import END, START, noisy

from loftwright.report.decimate import column_extremes
from loftwright.report.levels import LONG, SIZES, columns_of, levels_of, rows_in
from loftwright.report.scales import Scale


def columns(x: np.ndarray, y: np.ndarray) -> dict[int, tuple[float, ...]]:
    """Return of each pixel column its first, lowest, highest and last value."""
    good = np.isfinite(y)
    x, y = np.floor(x[good]), y[good]
    here = {int(column): y[x == column] for column in np.unique(x)}
    return {column: (v[0], v.min(), v.max(), v[-1]) for column, v in here.items()}


@settings(deadline=None, max_examples=60)
@given(
    count=st.integers(LONG + 1, 60_000),
    seed=st.integers(0, 2**32 - 1),
    gaps=st.sampled_from([0, 100, 20_000]),
    edges=st.tuples(st.floats(START - 1, END + 1), st.floats(START - 1, END + 1)),
    width=st.sampled_from([236.0, 512.0, 884.0, 17.5]),
)
def test_no_extreme_of_any_pixel_column_is_lost(count, seed, gaps, edges, width) -> None:
    time, value = noisy(count, seed, gaps)
    low, high = min(edges), max(edges)
    clock = Scale(low, high if high > low else low + 1e-3, 132.0, 132.0 + width)
    levels = levels_of(time, value)
    assert levels is not None
    rows = rows_in(time, levels, clock)
    assert (np.diff(rows) > 0).all()
    shown = (time >= clock.low) & (time <= clock.high)
    kept = rows[shown[rows]]
    x = columns_of(time, clock)
    assert columns(x[kept], value[kept]) == columns(x[shown], value[shown])
    # One row beyond either edge, so that the line runs to the edge.
    before, after = np.flatnonzero(time < clock.low), np.flatnonzero(time > clock.high)
    assert set(before[-1:]) | set(after[:1]) <= set(rows)


def test_few_rows_are_looked_at() -> None:
    time = np.linspace(0.0, 100.0, 1_000_000)
    value = np.random.default_rng(3).normal(size=time.size)
    levels = levels_of(time, value)
    assert levels is not None
    rows = rows_in(time, levels, Scale(0.0, 100.0, 0.0, 900.0))
    assert rows.size < 150_000
    thinned = rows[column_extremes(time[rows] * 9.0, value[rows])]
    assert value[thinned].max() == value.max()
    assert value[thinned].min() == value.min()


@pytest.mark.parametrize("spoilt", [np.nan, -1e9, np.inf])
def test_a_clock_that_cannot_be_searched_has_no_levels(spoilt: float) -> None:
    time, value = noisy(LONG + 1, 0)
    time[5000] = spoilt
    assert levels_of(time, value) is None


def test_a_short_curve_needs_no_levels() -> None:
    assert levels_of(*noisy(LONG, 0)) is None


def test_a_stretch_without_a_number_draws_nothing() -> None:
    time, value = noisy(LONG * 2, 0)
    value[: LONG + 500] = np.nan
    levels = levels_of(time, value)
    assert levels is not None
    assert set(levels.places) == set(SIZES)
    rows = rows_in(time, levels, Scale(START, END, 0.0, 900.0))
    assert np.nanmax(value[rows]) == np.nanmax(value)
