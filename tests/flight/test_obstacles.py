"""What flies into trees is caught where it enters them, plain and compiled alike."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.corners import Local
from loftwright.documents.site import Shape
from loftwright.flight.kernel.obstacles import caught, entered, tallest
from loftwright.flight.obstacles import catching, obstacles
from loftwright.units import Quantity

WOOD = ((20.0, -10.0), (40.0, -10.0), (40.0, 30.0), (30.0, 5.0), (20.0, 30.0))
BARN = ((-30.0, 0.0), (-20.0, 0.0), (-20.0, 8.0), (-30.0, 8.0))
HEDGE = ((-50.0, -20.0), (50.0, -20.0), (50.0, -20.4), (-50.0, -20.4))


def shape(name, kind, corners, height=None):
    return Shape(
        name=name,
        kind=kind,
        corners=tuple(Local(*corner) for corner in corners),
        height=None if height is None else Quantity(height, 1.0),
    )


def site(*shapes):
    return replace(example("sedge-lift").site, shape=shapes)


FIELD = shape("Field", "field edge", ((-90.0, -90.0), (90.0, -90.0), (0.0, 120.0)))
SITE = site(
    FIELD, shape("Wood", "trees", WOOD, 12.0), shape("Barn", "building", BARN, 5.0),
    shape("Hedge", "trees", HEDGE, 2.0),
)  # fmt: skip
ROW = obstacles(SITE)
EMPTY = np.zeros(1)


def test_only_trees_and_buildings_catch():
    assert catching(SITE) == (1, 2, 3)
    assert ROW[0] == 3
    assert ROW[1:7].tolist() == [12.0, 20.0, 40.0, -10.0, 30.0, 5.0]


@pytest.mark.parametrize(
    ("place", "found"),
    [
        ((25.0, 0.0, 3.0), 0.0),
        ((25.0, 0.0, 12.5), -1.0),  # above the tops
        ((30.0, 15.0, 3.0), -1.0),  # in the notch
        ((-25.0, 4.0, 4.9), 1.0),
        ((0.0, -20.2, 1.0), 2.0),
        ((0.0, 0.0, 0.0), -1.0),
    ],
)
def test_a_point_is_caught_inside_and_below_the_top(place, found):
    assert caught(*place, ROW, 0.0) == found


def test_tops_are_raised_together():
    assert caught(25.0, 0.0, 12.5, ROW, 1.0) == 0.0
    assert tallest(ROW, 1.0) == 13.0


def test_nothing_stands_on_an_empty_site():
    assert obstacles(site()).tolist() == [0.0]
    assert caught(0.0, 0.0, -1.0, EMPTY, 0.0) == -1.0
    assert entered(0.0, 0.0, 5.0, 9.0, 0.0, 0.0, EMPTY, 0.0) == (-1.0, -1.0)
    assert tallest(EMPTY, 5.0) == 0.0


def test_heights_may_come_from_elsewhere():
    assert obstacles(SITE, {"site.shape.2.height": 7.0})[0 + 1 + 16] == 7.0


def test_nothing_is_jumped_over_however_narrow():
    share, which = entered(0.0, 200.0, 1.5, 0.0, -300.0, 0.5, ROW, 0.0)
    assert which == 2.0
    assert share == pytest.approx(220.0 / 500.0)


def test_a_body_comes_in_through_the_top():
    share, which = entered(25.0, 0.0, 22.0, 25.0, 0.0, 2.0, ROW, 0.0)
    assert (share, which) == (0.5, 0.0)


def test_a_body_that_clears_the_top_flies_on():
    assert entered(0.0, 0.0, 14.0, 60.0, 0.0, 12.01, ROW, 0.0)[1] == -1.0
    assert entered(0.0, 0.0, 14.0, 60.0, 0.0, 8.01, ROW, 0.0)[1] == 0.0


ground = st.floats(-60.0, 60.0)
heights = st.floats(0.0, 25.0)


@given(ground, ground, heights, ground, ground, heights)
def test_the_way_in_is_where_a_fine_march_finds_it(e0, n0, u0, e1, n1, u1):
    share, which = entered(e0, n0, u0, e1, n1, u1, ROW, 0.0)
    marched = [k / 3000.0 for k in range(3001)]
    inside = [
        s for s in marched
        if caught(e0 + s * (e1 - e0), n0 + s * (n1 - n0), u0 + s * (u1 - u0), ROW, 0.0) >= 0.0
    ]  # fmt: skip
    if inside:
        assert which >= 0.0
        assert share <= inside[0] + 1e-9
    if which >= 0.0:
        # What is entered is where the way says: a little ahead or behind, the shape holds it.
        length = max(math.dist((e0, n0), (e1, n1)), 1e-3)
        raised = max(0.0, u0 + share * (u1 - u0) - 1e-9)
        around = [share + step / length for step in (-1e-7, 0.0, 1e-7)]
        assert raised < 12.0
        if inside and share < inside[0]:
            assert any(
                caught(e0 + s * (e1 - e0), n0 + s * (n1 - n0), raised, ROW, 1e-6) >= 0.0
                for s in around
            )


def test_compiled_and_plain_agree():
    from loftwright.compiling.clone import compiled

    fast = compiled(entered)
    at = compiled(caught)
    highest = compiled(tallest)
    points = np.random.default_rng(5).uniform((-60, -60, 0), (60, 60, 25), (400, 3))
    for one, other in pairwise(points):
        assert at(*one, ROW, 0.5) == caught(*one, ROW, 0.5)
        ours, theirs = entered(*one, *other, ROW, 0.5), fast(*one, *other, ROW, 0.5)
        assert ours[1] == theirs[1]
        assert ours[0] == pytest.approx(theirs[0], abs=1e-12)
    assert highest(ROW, 0.5) == tallest(ROW, 0.5)
    assert fast(0.0, 0.0, 9.0, 1.0, 0.0, 0.0, EMPTY, 0.0) == (-1.0, -1.0)
