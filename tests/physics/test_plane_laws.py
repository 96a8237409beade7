"""Shapes on the ground: what must hold however they lie, and places there and back."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, radians, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from loftwright.physics.geodesy import (
    geographic,
    ground_offset,
    meridian_radius,
    normal_radius,
)
from loftwright.physics.hazard import casualty_area
from loftwright.physics.plane import (
    distance_to_edge,
    edge_meeting,
    first_crossing,
    holds,
    signed_area,
    turn,
)

metres = st.floats(-100.0, 100.0)
angles = st.floats(0.0, 2.0 * pi)


@st.composite
def stars(draw):
    """Polygons that do not cross themselves: corners around a middle at growing bearings."""
    count = draw(st.integers(3, 9))
    reaches = draw(st.lists(st.floats(5.0, 60.0), min_size=count, max_size=count))
    start = draw(angles)
    bearings = [start + 2.0 * pi * k / count for k in range(count)]
    east, north = draw(metres), draw(metres)
    return [(east + r * cos(b), north + r * sin(b)) for r, b in zip(reaches, bearings, strict=True)]


def row(corners):
    return tuple(each for corner in corners for each in corner)


def edges(corners):
    return list(pairwise([*corners, corners[0]]))


def off_the_edges(point, corners):
    return min(distance_to_edge(*point, *a, *b) for a, b in edges(corners)) > 1e-6


def moved(corners, angle, east, north, mirror=1.0):
    return [
        (
            mirror * (e * cos(angle) - n * sin(angle)) + east,
            e * sin(angle) + n * cos(angle) + north,
        )
        for e, n in corners
    ]


def winding(point, corners):
    """Turns that a person at the point makes while somebody walks round the shape."""
    bearings = [atan2(n - point[1], e - point[0]) for e, n in corners]
    steps = [(b - a + pi) % (2.0 * pi) - pi for a, b in pairwise([*bearings, bearings[0]])]
    return round(sum(steps) / (2.0 * pi))


# ---------------------------------------------------------------- inside


@given(stars(), metres, metres)
def test_a_shape_holds_what_it_winds_around(corners, east, north):
    assume(off_the_edges((east, north), corners))
    assert holds(east, north, row(corners)) == abs(winding((east, north), corners))


@given(stars(), metres, metres, angles, metres, metres, st.sampled_from([1.0, -1.0]))
def test_moving_turning_and_mirroring_all_changes_nothing(
    corners, east, north, angle, shift_east, shift_north, mirror
):
    assume(off_the_edges((east, north), corners))
    (point,) = moved([(east, north)], angle, shift_east, shift_north, mirror)
    there = moved(corners, angle, shift_east, shift_north, mirror)
    assert holds(*point, row(there)) == holds(east, north, row(corners))
    assert signed_area(row(there)) == pytest.approx(mirror * signed_area(row(corners)), rel=1e-9)


@given(stars(), metres, metres, st.integers(0, 8))
def test_the_first_corner_and_the_way_round_do_not_matter(corners, east, north, first):
    assume(off_the_edges((east, north), corners))
    first %= len(corners)
    shifted = corners[first:] + corners[:first]
    here = holds(east, north, row(corners))
    assert holds(east, north, row(shifted)) == here
    assert holds(east, north, row(shifted[::-1])) == here
    assert signed_area(row(shifted[::-1])) == pytest.approx(-signed_area(row(corners)))


def test_a_point_level_with_corners_counts_once():
    diamond = (0.0, -2.0, 3.0, 0.0, 0.0, 2.0, -3.0, 0.0)
    assert holds(0.0, 0.0, diamond) == 1.0
    assert holds(-4.0, 0.0, diamond) == 0.0
    assert holds(-1.0, 2.0, diamond) == 0.0


@given(stars())
def test_a_share_of_a_grid_inside_is_the_area(corners):
    low_east, high_east = min(e for e, _ in corners), max(e for e, _ in corners)
    low_north, high_north = min(n for _, n in corners), max(n for _, n in corners)
    steps = 60
    inside = sum(
        holds(
            low_east + (high_east - low_east) * (k + 0.5) / steps,
            low_north + (high_north - low_north) * (m + 0.5) / steps,
            row(corners),
        )
        for k in range(steps)
        for m in range(steps)
    )
    box = (high_east - low_east) * (high_north - low_north)
    assert inside / steps**2 * box == pytest.approx(abs(signed_area(row(corners))), abs=0.05 * box)


# ---------------------------------------------------------------- crossing

grid = st.tuples(st.integers(-4, 4), st.integers(-4, 4))


def exactly_meet(a, b, c, d):
    """Whether two edges share a point, in whole numbers only (every case spelt out)."""

    def side(p, q, r):
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    def between(p, q, r):
        return side(p, q, r) == 0 and all(
            min(p[k], q[k]) <= r[k] <= max(p[k], q[k]) for k in (0, 1)
        )

    sides = side(a, b, c) * side(a, b, d), side(c, d, a) * side(c, d, b)
    return (sides[0] < 0 and sides[1] < 0) or any(
        (between(a, b, c), between(a, b, d), between(c, d, a), between(c, d, b))
    )


@given(grid, grid, grid, grid)
def test_edges_meet_exactly_where_whole_numbers_say(a, b, c, d):
    assume(a != b and c != d)
    share = edge_meeting(*map(float, (*a, *b, *c, *d)))
    assert (share >= 0.0) == exactly_meet(a, b, c, d)
    if share >= 0.0:
        exact = Fraction(share).limit_denominator(10_000)
        place = [a[k] + exact * (b[k] - a[k]) for k in (0, 1)]
        assert distance_to_edge(float(place[0]), float(place[1]), *c, *d) < 1e-9


@given(st.lists(grid, min_size=3, max_size=7, unique=True), st.booleans())
def test_the_first_crossing_is_the_one_that_brute_force_finds(corners, closed):
    ends = [*corners, corners[0]] if closed else corners
    parts = list(pairwise(ends))
    expected = (-1, -1)
    for j, one in enumerate(parts):
        for k in range(j + 1, len(parts)):
            other = parts[k]
            shared = set(one) & set(other)
            if shared:
                # Neighbours: one folds back if the far end of one lies on the other.
                (corner,) = shared
                (p,), (q,) = set(one) - shared, set(other) - shared
                same_line = turn(*map(float, (*p, *corner, *q))) == 0.0
                ahead = (p[0] - corner[0]) * (q[0] - corner[0])
                ahead += (p[1] - corner[1]) * (q[1] - corner[1])
                meets = same_line and ahead > 0
            else:
                meets = exactly_meet(*one, *other)
            if meets and expected == (-1, -1):
                expected = (j, k)
    found = first_crossing(row([tuple(map(float, c)) for c in corners]), float(closed))
    assert found[:2] == expected
    if expected != (-1, -1):
        for j in expected:
            assert distance_to_edge(*found[2:], *parts[j][0], *parts[j][1]) < 1e-9


@given(stars())
def test_a_star_does_not_cross_itself(corners):
    assert first_crossing(row(corners), 1.0)[0] == -1.0


@given(metres, metres, metres, metres, metres, metres)
def test_no_point_of_an_edge_is_nearer_than_its_distance(e, n, e1, n1, e2, n2):
    nearest = distance_to_edge(e, n, e1, n1, e2, n2)
    shares = [k / 50.0 for k in range(51)]
    marched = [hypot(e1 + s * (e2 - e1) - e, n1 + s * (n2 - n1) - n) for s in shares]
    assert nearest <= min(marched) + 1e-9
    assert min(marched) <= nearest + hypot(e2 - e1, n2 - n1) / 100.0 + 1e-9


# ---------------------------------------------------------------- places

latitudes = st.floats(-60.0, 60.0).map(radians)
longitudes = st.floats(-180.0, 180.0).map(radians)
reaches = st.floats(-14_000.0, 14_000.0)


@given(latitudes, longitudes, st.floats(-100.0, 4000.0), reaches, reaches, st.floats(-50.0, 200.0))
def test_a_place_comes_back(latitude, longitude, height, east, north, up):
    pad = latitude, longitude, height
    back = ground_offset(*geographic(east, north, up, *pad), *pad)
    assert back == pytest.approx((east, north, up), abs=1e-5)


@given(latitudes, longitudes, st.floats(0.01, 1.0))
def test_near_the_pad_the_radii_are_the_scale(latitude, longitude, seconds):
    step = radians(seconds / 3600.0)
    east, north, _ = ground_offset(latitude, longitude + step, 0.0, latitude, longitude, 0.0)
    assert east == pytest.approx(normal_radius(latitude) * cos(latitude) * step, rel=1e-6)
    assert abs(north) < 1e-2
    east, north, _ = ground_offset(latitude + step, longitude, 0.0, latitude, longitude, 0.0)
    assert north == pytest.approx(meridian_radius(latitude) * step, rel=1e-5)
    assert abs(east) < 1e-7


def test_the_date_line_is_no_edge():
    east, _, _ = ground_offset(0.0, radians(-179.999), 0.0, 0.0, radians(179.999), 0.0)
    assert east == pytest.approx(normal_radius(0.0) * radians(0.002), rel=1e-6)
    assert degrees(geographic(east, 0.0, 0.0, 0.0, radians(179.999), 0.0)[1]) % 360.0 == (
        pytest.approx(180.001)
    )


# ---------------------------------------------------------------- people


@given(st.floats(0.0, 2.0), st.floats(0.0, 10.0))
def test_a_larger_or_flatter_body_reaches_more_people(area, run):
    assert casualty_area(area + 0.1, run) > casualty_area(area, run)
    assert casualty_area(area, run + 0.1) > casualty_area(area, run)
    # A point that falls straight down hits who stands within a foot of it.
    assert casualty_area(0.0, 0.0) == pytest.approx(pi * 0.3048**2)
