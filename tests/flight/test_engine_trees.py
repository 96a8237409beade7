"""Bodies that fly into walls of trees: caught where a straight path meets them, never beyond."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from flight.engine_rows import (
    coasting,
    column,
    figure,
    fly,
    parameters,
    point,
    thing,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from loftwright.flight.kernel import slots
from loftwright.flight.kernel.driver import TREE_WAY

EAST_WIND = 4.0
SINK = 3.0


def wall(top, near, far=None, half=500.0):
    """A belt across the wind's way, from ``near`` to ``far`` east of the pad."""
    far = near + 0.5 if far is None else far
    corners = [near, -half, far, -half, far, half, near, half]
    return np.array([1.0, top, near, far, -half, half, 4.0, *corners])


def even_wind(speed):
    """One gust so long that it is a steady wind; its partner, a quarter further on, is nothing."""
    return {"GUST_ALONG_0": speed, "GUST_1_PHASE": 0.5 * pi, "ROUGHNESS": 1e-12}


def drifting(shapes, height=60.0, **rows):
    """Under a canopy at its steady rate and with the wind: a straight path down."""
    area = 2.0 * 0.3 * 9.80665 / (1.225 * SINK**2)
    table = parameters(
        DRY_MASS=0.3, CANOPY_DRAG=area, CANOPY_AT=0.0, CANOPY_DIAMETER=0.6, **even_wind(EAST_WIND),
        **rows,
    )  # fmt: skip
    return fly(
        table,
        coasting(UP=height, V_UP=-SINK, V_EAST=EAST_WIND),
        tolerance=1e-9,
        shapes=shapes,
        recorded=1,
        capacity=4000,
    )


@settings(deadline=None, max_examples=30)
@given(near=st.floats(5.0, 75.0), top=st.floats(1.0, 30.0), thick=st.floats(TREE_WAY, 100.0))
def test_a_descent_into_a_wall_ends_where_its_straight_path_meets_it(near, top, thick):
    raw = drifting(wall(top, near, near + thick))
    # Down the straight path: at the wall's face it is this high.
    height = 60.0 - SINK * near / EAST_WIND
    over = (60.0 - top) * EAST_WIND / SINK  # where it comes down to the top's height
    # What grazes an edge is inside for less than a way that may be stepped over.
    assume(not 0.0 <= near + thick - over < TREE_WAY)
    if height < top:  # through the face
        east, up = near, height
    elif over < near + thick:  # into the top from above
        east, up = over, top
    else:
        east, up = 60.0 * EAST_WIND / SINK, 0.0
    caught = figure(raw, "OUTCOME") == slots.HUNG
    assert caught == (up > 0.0)
    assert figure(raw, "DOWN_EAST") == pytest.approx(east, abs=0.01)
    assert figure(raw, "DOWN_UP") == pytest.approx(up, abs=0.01)
    if caught:
        assert figure(raw, "CAUGHT") == 0.0
        assert column(raw.tapes[0]["vehicle"], "UP")[-1] == pytest.approx(up, abs=0.01)
        assert figure(raw, "DOWN_SPEED") == pytest.approx(5.0, rel=1e-3)


@settings(deadline=None, max_examples=30)
@given(near=st.floats(5.0, 100.0), speed=st.floats(3.0, 15.0), thick=st.floats(TREE_WAY, 3.0))
def test_a_glide_into_a_wall_is_caught_at_it(near, speed, thick):
    """A point in a steady glide: lift and drag that carry its weight at its speed and slope.

    The wall is as thick as a step among trees is long, at least: a thinner one may be stepped over.
    """
    slope = 0.2
    whole = 0.1 * 9.80665 / (0.5 * 1.225 * speed**2)
    cosine, sine = 1.0 / (1.0 + slope**2) ** 0.5, slope / (1.0 + slope**2) ** 0.5
    # It is let go northwards of nothing: nose up, its back to the west, so that it flies east.
    item = thing(MASS=0.1, AT=0.0, Z=-1e-12, FROM_NOSE=0.0)
    table = parameters(DRY_MASS=0.3, items=[item], CANOPY_AT=0.0, CANOPY_DRAG=1.0)
    glider = point(DRY_MASS=0.1, LIFT_AREA=whole * cosine, DRAG_AREA=whole * sine)
    height = slope * near + 10.0
    start = coasting(UP=height, V_EAST=speed * cosine, V_UP=-speed * sine)
    shapes = wall(40.0, near, near + thick)
    raw = fly(table, start, glider, shapes=shapes, recorded=1, capacity=4000)
    ours = {name: figure(raw, name, body="payload") for name in ("DOWN_EAST", "DOWN_UP", "OUTCOME")}
    assert ours["OUTCOME"] == slots.HUNG
    assert near - 1e-9 <= ours["DOWN_EAST"] <= near + 0.02
    assert ours["DOWN_UP"] == pytest.approx(10.0, abs=0.05)
    assert column(raw.tapes[0]["payload"], "EAST").max() <= near + 0.02


def test_taller_trees_catch_higher():
    """What a flight has drawn for its trees raises their tops."""
    down, grown = (figure(drifting(wall(10.0, 60.0), TREES_RAISED=up), "DOWN_UP") for up in (0, 8))
    assert down == 0.0
    assert grown == pytest.approx(60.0 - SINK * 60.0 / EAST_WIND, abs=0.01)


def test_from_above_it_sits_on_the_top():
    raw = drifting(wall(12.0, 0.0, 400.0))
    assert figure(raw, "DOWN_UP") == pytest.approx(12.0, abs=0.01)
    assert figure(raw, "DOWN_EAST") == pytest.approx(48.0 * EAST_WIND / SINK, abs=0.02)


def test_trees_beside_the_way_change_nothing():
    one = drifting(np.zeros(1))
    other = drifting(wall(50.0, -20.0, -10.0))
    assert figure(other, "OUTCOME") == slots.LANDED
    for name in ("DOWN_TIME", "DOWN_EAST", "DOWN_SPEED"):
        assert figure(other, name) == pytest.approx(figure(one, name), rel=1e-6)
