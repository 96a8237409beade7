"""The strip: words that never collide, curves that keep their peaks, every width well-formed."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import synthetic

from loftwright.report.firing_lanes import firing_strip
from loftwright.report.lanes import boost_strip, whole_strip
from loftwright.report.rail import draw_rail, place_words, rail_height
from loftwright.report.readout import readout_data, readout_json
from loftwright.report.scales import Scale
from loftwright.report.strip import WIDTHS, draw_strip
from loftwright.report.strip_events import flight_events
from loftwright.report.strip_model import Curve, Event, Lane, Note, Role, Strip
from loftwright.report.svg import text_box

WORDS = ("liftoff", "tube clear", "guide exit", "water out", "air out", "release", "apogee")
NAMESPACE = "{http://www.w3.org/2000/svg}"


def texts(drawn: str) -> list[ET.Element]:
    return list(ET.fromstring(drawn).iter(f"{NAMESPACE}text"))


def boxes(drawn: str) -> list:
    return [
        text_box(
            float(t.get("x", 0)),
            float(t.get("y", 0)),
            t.text or "",
            float(t.get("font-size", 0)),
            anchor=t.get("text-anchor", "start"),
            bold=t.get("font-weight") == "600",
        )
        for t in texts(drawn)
    ]


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(WORDS), st.floats(0, 10)), max_size=9),
    st.sampled_from([340.0, 720.0, 1120.0]),
)
def test_words_on_the_rail_never_overlap(events: list[tuple[str, float]], width: float) -> None:
    clock = Scale(0, 10, 40, width - 60)
    made = [Event(words, time) for words, time in events]
    placed = place_words(made, clock, left=0, right=width, size=12)
    assert len(placed) == len(made)
    for one, other in combinations(placed, 2):
        assert not one.box.overlaps(other.box)


@settings(deadline=None)
@given(st.lists(st.floats(0, 10), max_size=9), st.sampled_from([340.0, 1120.0]))
def test_no_hairline_runs_through_words(times: list[float], width: float) -> None:
    clock = Scale(0, 10, 40, width - 60)
    made = [Event(words, time) for words, time in zip(WORDS, times, strict=False)]
    placed = place_words(made, clock, left=0, right=width, size=12)
    under, above = draw_rail(placed, clock, 200, 400, 12)
    drawn = f'<svg xmlns="http://www.w3.org/2000/svg">{under}{above}</svg>'
    lines = [line for line in ET.fromstring(drawn) if line.get("x1") == line.get("x2")]
    assert len(lines) >= len(made)
    for line in lines:
        x, top, bottom = (float(line.get(k, 0)) for k in ("x1", "y1", "y2"))
        for box in boxes(drawn):
            # Coordinates are written with one decimal.
            across = box.left + 0.1 < x < box.right - 0.1
            assert not (across and top < box.bottom - 0.1 and bottom > box.top + 0.1)


def test_events_without_a_time_or_off_the_clock_are_left_out() -> None:
    events = [Event("release", math.nan), Event("apogee", 99.0), Event("liftoff", 0.0)]
    placed = place_words(events, Scale(0, 10, 0, 100), left=0, right=200, size=12)
    assert [word.event.words for word in placed] == ["liftoff"]
    assert rail_height([], 12) == 0.0


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("make", [whole_strip, boost_strip])
def test_no_words_overlap_on_any_width(make, width: str) -> None:
    ensemble = synthetic.ensemble(200)
    drawn = draw_strip(make(ensemble.nominal, ensemble, "us"), WIDTHS[width])
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)


@pytest.mark.parametrize("width", WIDTHS)
def test_all_words_stay_on_the_page(width: str) -> None:
    ensemble = synthetic.ensemble(200)
    layout = WIDTHS[width]
    for box in boxes(draw_strip(whole_strip(ensemble.nominal, ensemble, "us"), layout)):
        assert box.left >= -1
        # Widths are estimated on the wide side.
        assert box.right <= layout.width + 10


def curve_points(drawn: str) -> list[tuple[float, float]]:
    data = next(p.get("d", "") for p in ET.fromstring(drawn).iter(f"{NAMESPACE}path"))
    pieces = data[1:].split("l")
    x, y = map(float, pieces[0].split(","))
    points = [(x, y)]
    for piece in pieces[1:]:
        dx, dy = map(float, piece.split(","))
        points.append((points[-1][0] + dx, points[-1][1] + dy))
    return points


def one_lane(time: np.ndarray, value: np.ndarray, **changes: object) -> Strip:
    lane = Lane("height", "m", (Curve("vehicle", time, value, Role.RECORD),))
    plain = Strip("t", "d", float(time[0]), float(time[-1]), (lane,))
    return replace(plain, **changes)


def test_a_one_sample_peak_is_drawn_to_the_top_of_the_lane() -> None:
    time, value = np.linspace(0, 10, 50_000), np.zeros(50_000)
    value[31_000] = 100.0
    points = curve_points(draw_strip(one_lane(time, value), WIDTHS["wide"]))
    tallest = min(y for _, y in points)
    lane = max(y for _, y in points) - tallest
    assert lane == pytest.approx(90 / 1.06, abs=0.5)


def test_a_close_up_is_cut_at_its_edges_by_interpolation() -> None:
    time = np.array([0.0, 10.0])
    drawn = draw_strip(one_lane(time, time, end=2.0), WIDTHS["wide"])
    points = curve_points(drawn)
    layout = WIDTHS["wide"]
    assert points[0][0] == pytest.approx(layout.left, abs=0.1)
    assert points[-1][0] == pytest.approx(layout.width - layout.right, abs=0.1)


def test_lanes_without_numbers_are_left_out() -> None:
    time = np.linspace(0, 1, 5)
    empty = Lane("pressure", "bar", (Curve("v", time, np.full(5, np.nan), Role.RECORD),))
    strip = one_lane(time, time)
    drawn = draw_strip(replace(strip, lanes=(*strip.lanes, empty)), WIDTHS["wide"])
    assert "pressure" not in drawn
    assert "height" in drawn


@pytest.mark.parametrize("time", [np.zeros(1), np.zeros(3)])
def test_a_strip_of_no_duration_is_still_a_picture(time: np.ndarray) -> None:
    drawn = draw_strip(one_lane(time, time + 1.0), WIDTHS["narrow"])
    ET.fromstring(drawn)
    assert "nan" not in drawn
    assert "inf" not in drawn


def test_a_note_is_written_beside_its_point_and_only_inside() -> None:
    time = np.linspace(0, 10, 20)
    strip = one_lane(time, time)
    notes = (Note(5.0, 5.0, "halfway"), Note(50.0, 5.0, "beyond"), Note(math.nan, 1.0, "never"))
    lane = replace(strip.lanes[0], notes=notes)
    words = [t.text for t in texts(draw_strip(replace(strip, lanes=(lane,)), WIDTHS["wide"]))]
    assert "halfway" in words
    assert not {"beyond", "never"} & set(words)


def test_names_are_escaped_everywhere() -> None:
    time = np.linspace(0, 1, 5)
    nasty = synthetic.NASTY
    lane = Lane(nasty, nasty, (Curve(nasty, time, time, Role.RECORD),))
    strip = Strip(nasty, nasty, 0, 1, (lane,), (Event(nasty, 0.5),))
    drawn = draw_strip(strip, WIDTHS["wide"])
    assert "<b>" not in drawn
    assert sum(t.text == nasty for t in texts(drawn)) == 4


def test_events_carry_when_they_are_due() -> None:
    ensemble = synthetic.ensemble(200)
    events = {e.words: e for e in flight_events(ensemble.nominal, ensemble)}
    due = ensemble.statistics["apogee_time_s"]
    assert (events["apogee"].early, events["apogee"].late) == (due["p05"], due["p95"])
    assert events["canopy open"].early is None
    assert {"vehicle down", "payload down"} <= set(events)


def test_the_whole_strip_leaves_the_crowd_to_the_close_up() -> None:
    flight = synthetic.flight()
    whole, boost = whole_strip(flight, None, "metric"), boost_strip(flight, None, "metric")
    assert "water out" not in {e.words for e in whole.events}
    assert {e.words for e in boost.events} == {
        "liftoff", "tube clear", "guide exit", "water out", "air out",
    }  # fmt: skip
    assert whole.close_up == (0.0, boost.end)


@pytest.mark.parametrize(("system", "size"), [("metric", 1.0), ("us", 0.3048)])
def test_lanes_are_in_the_persons_units(system: str, size: float) -> None:
    flight = synthetic.flight()
    curve = whole_strip(flight, None, system).lanes[0].curves[0]
    track = flight.tracks["vehicle"]
    assert curve.value == pytest.approx(track.position[:, 2] / size)


def test_record_and_model_of_a_firing() -> None:
    strip = firing_strip(synthetic.firing(), synthetic.records(), "metric")
    thrust = strip.lanes[0]
    assert [c.role for c in thrust.curves] == [Role.FORECAST, *[Role.RECORD] * 3]
    assert [c.name for c in thrust.curves] == ["model", "measured", "", ""]
    assert [lane.name for lane in strip.lanes] == ["thrust", "pressure", "air inside", "water"]


def test_the_payload_is_dashed_and_the_forecast_shaded() -> None:
    ensemble = synthetic.ensemble(100)
    drawn = draw_strip(whole_strip(ensemble.nominal, ensemble, "metric"), WIDTHS["wide"])
    assert re.search(r'stroke="var\(--payload\)"[^>]*stroke-dasharray', drawn)
    assert drawn.count('fill-opacity="0.16"') == 2 * 4  # two bands each, three lanes and payload


def test_readout_holds_only_finite_numbers_and_safe_characters() -> None:
    ensemble = synthetic.ensemble(50)
    data = readout_data(whole_strip(ensemble.nominal, ensemble, "metric"))
    assert [lane["name"] for lane in data["lanes"]] == ["height", "climb", "acceleration"]
    assert len(data["t"]) == len(data["lanes"][0]["v"]) == len(data["lanes"][0]["lo"])
    assert data["t"] == sorted(set(data["t"]))
    time = np.linspace(0, 1, 5)
    lane = Lane("</script>&", "m", (Curve("c", time, time * np.nan, Role.RECORD),) * 1)
    filled = replace(lane, curves=(Curve("c", time, time, Role.RECORD),))
    text = readout_json([Strip("t", "d", 0, 1, (lane, filled))])
    assert "<" not in text
    assert "NaN" not in text
