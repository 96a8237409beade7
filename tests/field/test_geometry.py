"""Arrays of points against shapes agree with the laws, one by one."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from loftwright.field.geometry import beyond_line, inside, meet, to_line
from loftwright.physics.plane import distance_to_edge, edge_meeting, holds

metres = st.floats(-100.0, 100.0)
places = st.tuples(metres, metres)
rows = st.lists(places, min_size=3, max_size=8).map(np.array)
clouds = st.lists(places, min_size=1, max_size=20).map(np.array)


@given(clouds, rows)
def test_inside_is_the_law(points, corners):
    row = tuple(corners.ravel().tolist())
    expected = [holds(e, n, row) == 1.0 for e, n in points.tolist()]
    assert inside(points, corners).tolist() == expected


@given(clouds, rows)
def test_distance_to_a_line_is_the_law(points, line):
    expected = [
        min(
            distance_to_edge(*point, *a, *b)
            for a, b in zip(line[:-1].tolist(), line[1:].tolist(), strict=True)
        )
        for point in points.tolist()
    ]
    np.testing.assert_allclose(to_line(points, line), expected, atol=1e-9)


whole = st.tuples(st.integers(-9, 9), st.integers(-9, 9))


@given(st.lists(whole, min_size=2, max_size=5), st.lists(whole, min_size=2, max_size=5))
def test_lines_that_cross_are_seen_to_meet(one, other):
    one, other = np.array(one, dtype=float), np.array(other, dtype=float)
    shares = [
        (edge_meeting(*a, *b, *c, *d), edge_meeting(*c, *d, *a, *b))
        for a, b in pairwise(one.tolist())
        for c, d in pairwise(other.tolist())
        # Edges that run along each other share points and do not cross.
        if (b[0] - a[0]) * (d[1] - c[1]) != (b[1] - a[1]) * (d[0] - c[0])
    ]
    # Lines that merely touch may count either way.
    if any(0.0 < ours < 1.0 and 0.0 < theirs < 1.0 for ours, theirs in shares):
        assert meet(one, other) or any(0.0 in pair or 1.0 in pair for pair in shares)
    if all(pair == (-1.0, -1.0) for pair in shares):
        assert not meet(one, other)


def test_a_plain_crossing_is_a_meeting():
    assert meet(np.array([[0.0, 0.0], [4.0, 4.0]]), np.array([[0.0, 3.0], [3.0, 0.0]]))


def test_beyond_a_straight_line_is_its_far_side():
    line = np.array([[-10.0, 20.0], [10.0, 20.0]])
    points = np.array([[0.0, 19.0], [0.0, 21.0], [400.0, 21.0], [-400.0, 19.0], [3.0, -50.0]])
    assert beyond_line(points, line).tolist() == [False, True, True, False, False]


def test_a_line_with_a_corner_counts_once_through_the_corner():
    line = np.array([[-10.0, 10.0], [0.0, 20.0], [10.0, 10.0]])
    points = np.array([[0.0, 25.0], [0.0, 15.0], [9.0, 12.0], [30.0, 0.0]])
    assert beyond_line(points, line).tolist() == [True, False, True, True]


@given(places, st.floats(0.0, 6.3), st.booleans())
def test_turning_pad_line_and_point_together_changes_nothing(point, angle, backwards):
    line = np.array([[-30.0, 12.0], [4.0, 33.0], [40.0, 21.0]])
    cos, sin = np.cos(angle), np.sin(angle)
    turned = np.array([[cos, sin], [-sin, cos]])
    there = np.array([point])
    if abs(to_line(there, line)[0]) < 1e-6:
        return
    ordered = line[::-1] if backwards else line
    assert beyond_line(there @ turned, ordered @ turned) == beyond_line(there, line)
