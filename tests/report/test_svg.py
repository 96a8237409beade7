"""SVG is written well-formed, escaped and short; ticks are round."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.report import svg
from loftwright.report.scales import Scale, nice_ticks, tick_texts
from loftwright.report.svg import Box


@given(st.text())
def test_any_words_make_well_formed_xml(words: str) -> None:
    drawn = svg.document(
        10, 10, svg.text(1, 2, words, size=12), title=words, description=words, kind="k"
    )
    root = ET.fromstring(drawn)
    kept = "".join(c for c in words if svg.escape(c))
    # XML reads a carriage return as a line feed (XML 1.0, 2.11).
    assert root[2].text in (kept.replace("\r\n", "\n").replace("\r", "\n"), None)


def test_markup_in_a_name_is_text() -> None:
    drawn = svg.text(0, 0, '<b>&"', size=12)
    assert "<b>" not in drawn
    assert ET.fromstring(drawn).text == '<b>&"'


def test_control_characters_are_dropped() -> None:
    assert svg.escape("a\x00b\x0bc\ud800d\ufffe") == "abcd"


@pytest.mark.parametrize(
    ("value", "short"), [(1.0, "1"), (1.25, "1.2"), (-0.01, "0"), (0.5, "0.5"), (-3.0, "-3")]
)
def test_coordinates_are_short(value: float, short: str) -> None:
    assert svg.num(value) == short


coordinates = st.floats(-5000, 5000).map(lambda v: round(v, 3))


@given(st.lists(st.tuples(coordinates, coordinates), min_size=1, max_size=60))
def test_a_path_ends_where_its_points_end(points: list[tuple[float, float]]) -> None:
    data = svg.polyline(points)
    pieces = data[1:].split("l")
    x, y = map(float, pieces[0].split(","))
    for piece in pieces[1:]:
        dx, dy = map(float, piece.split(","))
        x, y = x + dx, y + dy
    assert x == pytest.approx(points[-1][0], abs=0.06)
    assert y == pytest.approx(points[-1][1], abs=0.06)


def test_a_path_of_nothing_is_empty_and_a_closed_one_closes() -> None:
    assert svg.polyline([], close=True) == ""
    assert svg.polyline([(0, 0), (1, 0), (1, 1)], close=True).endswith("Z")


def test_boxes_overlap_or_do_not() -> None:
    box = Box(0, 0, 10, 10)
    assert box.overlaps(Box(9, 9, 20, 20))
    assert not box.overlaps(Box(10, 0, 20, 10))
    assert box.overlaps(Box(12, 0, 20, 10), gap=3)


@pytest.mark.parametrize(("anchor", "left"), [("start", 100.0), ("end", 60.0), ("middle", 80.0)])
def test_text_boxes_follow_their_anchor(anchor: str, left: float) -> None:
    width = svg.text_width("water out", 12)
    box = svg.text_box(100.0, 50.0, "water out", 12, anchor=anchor)
    shift = {"start": 0.0, "end": -width, "middle": -width / 2}[anchor]
    assert box.left == pytest.approx(100.0 + shift)
    assert box.top < 50.0 < box.bottom
    assert left <= 100.0


def test_bold_and_longer_words_take_more_room() -> None:
    assert svg.text_width("apogee", 12) < svg.text_width("apogee", 12, bold=True)
    assert svg.text_width("apogee", 12) < svg.text_width("apogee, due", 12)


finite = st.floats(-1e7, 1e7)


@given(finite, finite, st.integers(1, 12))
def test_ticks_lie_inside_are_round_and_not_too_many(a: float, b: float, about: int) -> None:
    low, high = sorted((a, b))
    if 0 < high - low < 1e-6 * max(1.0, abs(low), abs(high)):
        return
    ticks = nice_ticks(low, high, about)
    room = 1e-6 * max(high - low, abs(high), abs(low))
    assert all(low - room <= t <= high + room for t in ticks)
    assert len(ticks) <= about + 1
    if len(ticks) > 1:
        mantissa = (ticks[1] - ticks[0]) / 10 ** math.floor(math.log10(ticks[1] - ticks[0]) + 1e-9)
        assert any(mantissa == pytest.approx(m, rel=1e-4) for m in (1, 2, 5, 10))


def test_ticks_of_odd_ranges() -> None:
    assert nice_ticks(3.0, 3.0, 5) == [3.0]
    assert nice_ticks(math.nan, 1.0, 5) == []
    assert nice_ticks(0.0, math.inf, 5) == []


def test_tick_texts_have_just_enough_decimals() -> None:
    assert tick_texts([0.0, 0.05, 0.1]) == ["0", "0.05", "0.10"]
    assert tick_texts([-10.0, 0.0, 10.0]) == ["−10", "0", "10"]
    assert tick_texts([1000.0, 2000.0]) == ["1000", "2000"]
    assert tick_texts([10000.0, 20000.0]) == ["10\u202f000", "20\u202f000"]
    assert tick_texts([2.5]) == ["2.5"]


def test_a_scale_maps_ends_to_ends_and_survives_an_empty_range() -> None:
    scale = Scale(0, 10, 100, 0)
    assert (scale(0), scale(10), scale(5)) == (100, 0, 50)
    assert Scale(1, 1, 7, 9)(1) == 7


@given(
    st.lists(st.tuples(st.floats(-2000, 2000), st.floats(-2000, 2000)), max_size=30), st.booleans()
)
def test_a_line_of_arrays_is_that_of_pairs(pairs, close):
    x, y = (np.array([pair[k] for pair in pairs]) for k in (0, 1))
    assert svg.polyline_of(x, y, close=close) == svg.polyline(pairs, close=close)
