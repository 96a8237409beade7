"""The landing scatter: equal scales, everything in sight, words apart."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import synthetic
from report.test_strip import boxes

from loftwright.report.quantities import amount
from loftwright.report.scatter import WIDTHS, Landing, _frame, draw_scatter, landings

WIND = {"speed": 2.7, "coming_from": 4.2}


def at(east: float, north: float, body: str = "vehicle") -> Landing:
    return Landing(body, np.array([east, north]), np.zeros((0, 2)))


def test_landings_drop_flights_that_never_came_down() -> None:
    ensemble = synthetic.ensemble(100)
    ensemble.columns["touchdown_payload_east_m"][:10] = np.nan
    vehicle, payload = landings(ensemble.nominal, ensemble)
    assert (len(vehicle.points), len(payload.points)) == (100, 90)


@given(st.floats(-3000, 3000), st.floats(-3000, 3000))
def test_pad_and_landing_are_in_sight_and_north_is_up(east: float, north: float) -> None:
    place = _frame([at(east, north)], 540)
    for spot in (place.at(0, 0), place.at(east, north)):
        assert all(0 <= v <= 540 for v in spot)
    assert place.at(east + 1, north)[0] > place.at(east, north)[0]
    assert place.at(east, north + 1)[1] < place.at(east, north)[1]


def test_both_axes_have_the_same_scale() -> None:
    place = _frame([at(100, 7)], 540)
    x0, y0 = place.at(0, 0)
    x1, y1 = place.at(10, 10)
    assert x1 - x0 == pytest.approx(y0 - y1)


@settings(deadline=None, max_examples=40)
@given(
    st.floats(-300, 300),
    st.floats(-300, 300),
    st.floats(0, 2 * math.pi),
    st.sampled_from(list(WIDTHS.values())),
)
def test_words_never_overlap(east: float, north: float, wind: float, width: float) -> None:
    bodies = [at(east, north), at(-north, 0.4 * east, "payload")]
    drawn = draw_scatter(bodies, {"speed": 3.0, "coming_from": wind}, "us", width)
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other)


@pytest.mark.parametrize("coming_from", [0.0, math.pi / 2, math.pi, 4.0])
def test_the_arrow_points_where_the_air_goes(coming_from: float) -> None:
    drawn = draw_scatter([at(3, 3)], {"speed": 3.0, "coming_from": coming_from}, "metric", 540)
    shaft = next(
        line for line in ET.fromstring(drawn).iter("{http://www.w3.org/2000/svg}line")
        if abs(math.hypot(
            float(line.get("x2", 0)) - float(line.get("x1", 0)),
            float(line.get("y2", 0)) - float(line.get("y1", 0)),
        ) - 44) < 0.2
    )  # fmt: skip
    east = float(shaft.get("x2", 0)) - float(shaft.get("x1", 0))
    north = float(shaft.get("y1", 0)) - float(shaft.get("y2", 0))
    assert east == pytest.approx(-44 * math.sin(coming_from), abs=0.2)
    assert north == pytest.approx(-44 * math.cos(coming_from), abs=0.2)


def test_an_ensemble_is_drawn_with_two_contours_a_body() -> None:
    ensemble = synthetic.ensemble(800)
    drawn = draw_scatter(landings(ensemble.nominal, ensemble), WIND, "metric", 540)
    assert drawn.count('fill-opacity="0.08"') >= 4
    assert "9 in 10 within" in drawn


def test_nothing_landed_is_still_a_map() -> None:
    ET.fromstring(draw_scatter([], WIND, "metric", 340))
    everything_on_the_pad = Landing("vehicle", np.zeros(2), np.zeros((50, 2)))
    ET.fromstring(draw_scatter([everything_on_the_pad], WIND, "metric", 340))


def test_very_many_landings_are_drawn_from_a_fixed_part_and_told_from_all() -> None:
    points = np.random.default_rng(1).standard_normal((200_000, 2)) * 30.0 + 50.0
    body = Landing("vehicle", np.array([50.0, 50.0]), points)
    drawn = draw_scatter([body], WIND, "metric", 540)
    assert drawn == draw_scatter([body], WIND, "metric", 540)
    assert len(drawn) < 60_000
    half, most = np.quantile(np.hypot(*points.T), (0.5, 0.9)).tolist()
    assert f"half within {amount(half, 'distance', 'metric', 2)} of the pad" in drawn
    assert f"9 in 10 within {amount(most, 'distance', 'metric', 2)}" in drawn
