"""Levels lose nothing that can be seen: no extreme of any pixel column, whatever the window."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report.stripped import END, START, noisy

from loftwright.report.decimate import column_extremes
from loftwright.report.levels import LONG, SIZES, columns_of, levels_of, rows_in
from loftwright.report.scales import Scale
from loftwright.report.strip_lines import draw_curve
from loftwright.report.strip_model import Curve, Role
from loftwright.report.svg import Box


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


@settings(deadline=None, max_examples=30)
@given(seed=st.integers(0, 2**32 - 1), width=st.sampled_from([236.0, 884.0]))
def test_a_dense_line_covers_every_pixel_from_its_foot_to_its_top(seed, width) -> None:
    time, value = noisy(40_000, seed)
    curve = Curve("log", time, value, Role.RECORD)
    room = Box(132.0, 20.0, 132.0 + width, 220.0)
    clock = Scale(START, END, room.left, room.right)
    level = Scale(-70.0, 320.0, room.bottom, room.top)
    drawn = draw_curve(curve, clock, level, room)
    assert "stroke" not in drawn
    outline = points_of(drawn)
    turn = max(range(len(outline)), key=lambda k: outline[k][0])
    tops, feet = outline[: turn + 1], outline[turn:][::-1]
    x, y = columns_of(time, clock), np.array([level(v) for v in value])
    told = columns(x, y)
    for column, (_, least, most, _) in told.items():
        around = [told[k] for k in range(column - 1, column + 2) if k in told]
        # Coordinates are written with one decimal; corners that nobody sees are left out.
        highest, lowest = reach(tops, column, min), reach(feet, column, max)
        assert highest <= least + 0.3
        assert lowest >= most - 0.3
        # And it covers nothing that the line does not come near.
        assert highest >= min(each[1] for each in around) - 2.0
        assert lowest <= max(each[2] for each in around) + 2.0


def reach(line: list[tuple[float, float]], column: int, most) -> float:
    """Return how far an edge of an outline reaches within a pixel column."""
    at, height = np.array(line).T
    # Places are written to a tenth of a pixel.
    inside = height[(at >= column - 0.06) & (at <= column + 1.06)]
    return most([*inside, *np.interp([column, column + 0.999], at, height)])


def points_of(drawn: str) -> list[tuple[float, float]]:
    """Return the corners of the one path in a drawing."""
    data = re.search(r' d="M([^"]*)Z"', drawn)
    assert data is not None
    first, *steps = (tuple(map(float, piece.split(","))) for piece in data[1].split("l"))
    found = [first]
    for dx, dy in steps:
        found.append((found[-1][0] + dx, found[-1][1] + dy))
    return found


def test_a_quiet_stretch_of_a_noisy_line_stays_a_line() -> None:
    time = np.linspace(0.0, 10.0, 40_000)
    value = np.random.default_rng(5).normal(0.0, 30.0, time.size)
    value[(time > 4.0) & (time < 5.0)] = 7.0
    room = Box(0.0, 0.0, 900.0, 200.0)
    level = Scale(-150.0, 150.0, room.bottom, room.top)
    curve = Curve("log", time, value, Role.RECORD)
    outline = points_of(draw_curve(curve, Scale(0.0, 10.0, 0.0, 900.0), level, room))
    turn = max(range(len(outline)), key=lambda k: outline[k][0])
    for column in range(362, 448):
        thick = reach(outline[turn:][::-1], column, max) - reach(outline[: turn + 1], column, min)
        assert thick == pytest.approx(1.5, abs=0.3)
