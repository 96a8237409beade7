"""Lines of sight: there and back, and where they pass each other."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from loftwright.physics.sighting import bearing_and_elevation, between_lines, sight_direction
from loftwright.physics.sound_travel import sound_delay

PLACES = st.tuples(*[st.floats(-500.0, 500.0)] * 3)


@given(st.floats(-3.1, 3.1), st.floats(-1.5, 1.5), PLACES, st.floats(1.0, 1000.0))
def test_angles_come_back(bearing, elevation, station, away):
    direction = np.array(sight_direction(bearing, elevation))
    assert np.linalg.norm(direction) == pytest.approx(1.0)
    target = tuple(np.array(station) + away * direction)
    back = bearing_and_elevation(station, target)
    assert back[1] == pytest.approx(elevation, abs=1e-8)
    assert (back[0] - bearing + pi) % (2.0 * pi) - pi == pytest.approx(0.0, abs=1e-7)


@given(PLACES, PLACES, PLACES)
def test_lines_to_one_place_meet_there(station, other, target):
    away = [np.array(target) - np.array(each) for each in (station, other)]
    reach = [float(np.linalg.norm(each)) for each in away]
    assume(min(reach) > 1.0)
    ways = [tuple(each / length) for each, length in zip(away, reach, strict=True)]
    assume(np.linalg.norm(np.cross(*ways)) > 0.05)
    *middle, miss, first, second = between_lines(station, ways[0], other, ways[1])
    np.testing.assert_allclose(middle, target, atol=1e-6)
    assert miss == pytest.approx(0.0, abs=1e-6)
    assert (first, second) == pytest.approx(reach, rel=1e-6)


@given(PLACES, PLACES, *[st.floats(-3.0, 3.0)] * 2, *[st.floats(0.1, 1.4)] * 2)
def test_no_other_way_between_the_lines_is_shorter(station, other, one, two, up, high):
    ways = np.array([sight_direction(one, up), sight_direction(two, high)])
    assume(np.linalg.norm(np.cross(*ways)) > 0.05)
    *_, miss, first, second = between_lines(station, tuple(ways[0]), other, tuple(ways[1]))
    for t, s in ((1.0, 0.0), (0.0, 1.0), (-1.0, 1.0)):
        here = np.array(station) + (first + t) * ways[0]
        there = np.array(other) + (second + s) * ways[1]
        assert np.linalg.norm(there - here) >= miss - 1e-9


def test_parallel_lines_are_refused():
    with pytest.raises(ValueError, match="parallel"):
        between_lines((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (5.0, 0.0, 0.0), (0.0, 1.0, 0.0))


@given(st.floats(0.0, 1000.0), st.floats(230.0, 330.0))
def test_sound_is_slower_than_sight(distance, temperature):
    assert sound_delay(distance, temperature) >= distance / 365.0
    assert sound_delay(2.0 * distance, temperature) == pytest.approx(
        2.0 * sound_delay(distance, temperature)
    )
