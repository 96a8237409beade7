"""Where things stand on a strip: at their time, at their value, on every width."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import synthetic
from report.test_strip import boxes, curve_points, one_lane

from loftwright.report.firing_lanes import firing_strip
from loftwright.report.lanes import boost_strip, whole_strip
from loftwright.report.strip import WIDTHS, draw_strip
from loftwright.report.strip_model import Curve, Event, Lane, Note, Role, Spread, Strip

NAMESPACE = "{http://www.w3.org/2000/svg}"
TIME = np.linspace(0.0, 10.0, 101)


def clock(drawn: str, time: float) -> float:
    root = ET.fromstring(drawn)
    x0, x1, t0, t1 = (float(root.get(f"data-{k}", "nan")) for k in ("x0", "x1", "t0", "t1"))
    return x0 + (time - t0) / (t1 - t0) * (x1 - x0)


@pytest.mark.parametrize("width", WIDTHS)
@given(time=st.floats(0, 10))
@settings(deadline=None, max_examples=20)
def test_a_hairline_stands_at_its_events_time(width: str, time: float) -> None:
    drawn = draw_strip(one_lane(TIME, TIME, events=(Event("here", time),)), WIDTHS[width])
    # Hairlines are the only upright lines that begin above the rail.
    upright = [
        float(line.get("x1", 0))
        for line in ET.fromstring(drawn).iter(f"{NAMESPACE}line")
        if line.get("x1") == line.get("x2") and line.get("class") != "cursor"
    ]
    assert any(x == pytest.approx(clock(drawn, time), abs=0.06) for x in upright)


def bars(drawn: str) -> list[tuple[float, float]]:
    return [
        (float(r.get("x", 0)), float(r.get("x", 0)) + float(r.get("width", 0)))
        for r in ET.fromstring(drawn).iter(f"{NAMESPACE}rect")
        if r.get("height") == "4" and r.get("fill") != "var(--ink)"
    ]


def test_a_bar_spans_when_its_event_is_due() -> None:
    event = Event("release", 4.0, early=3.0, late=6.0)
    drawn = draw_strip(one_lane(TIME, TIME, events=(event,)), WIDTHS["wide"])
    ((left, right),) = bars(drawn)
    assert (left, right) == pytest.approx((clock(drawn, 3.0), clock(drawn, 6.0)), abs=0.15)


def test_a_bar_that_is_very_short_can_still_be_seen() -> None:
    event = Event("release", 4.0, early=4.0, late=4.0)
    ((left, right),) = bars(draw_strip(one_lane(TIME, TIME, events=(event,)), WIDTHS["wide"]))
    assert right - left == pytest.approx(3.0)


def test_a_bar_is_cut_at_the_edge_and_left_out_beyond_it() -> None:
    over = Event("touchdown", 9.0, early=8.0, late=14.0)
    drawn = draw_strip(one_lane(TIME, TIME, events=(over,)), WIDTHS["wide"])
    assert bars(drawn)[0][1] == pytest.approx(clock(drawn, 10.0), abs=0.06)
    beyond = Event("touchdown", 9.9, early=12.0, late=14.0)
    assert bars(draw_strip(one_lane(TIME, TIME, events=(beyond,)), WIDTHS["wide"])) == []


def test_unknown_due_times_draw_no_bar() -> None:
    event = Event("release", 4.0, early=float("nan"), late=6.0)
    assert bars(draw_strip(one_lane(TIME, TIME, events=(event,)), WIDTHS["wide"])) == []


@settings(deadline=None, max_examples=30)
@given(st.floats(1, 1e5), st.floats(0, 1e5))
def test_a_curve_is_scaled_so_that_zero_and_all_values_show(top: float, dip: float) -> None:
    value = np.linspace(-dip, top, 101)
    points = curve_points(draw_strip(one_lane(TIME, value), WIDTHS["wide"]))
    ys = [y for _, y in points]
    reach = (top + dip) * (1.12 if dip > 0 else 1.06)
    assert max(ys) - min(ys) == pytest.approx(90 * (top + dip) / reach, abs=0.3)


def test_a_temperature_lane_does_not_ask_for_zero() -> None:
    value = np.linspace(280.0, 290.0, 101)
    lane = Lane("air", "K", (Curve("", TIME, value, Role.FORECAST),), from_zero=False)
    points = curve_points(draw_strip(Strip("t", "d", 0, 10, (lane,)), WIDTHS["wide"]))
    ys = [y for _, y in points]
    assert max(ys) - min(ys) > 70


def band(drawn: str) -> list[str]:
    return re.findall(r'<path class="band" d="([^"]+)"', drawn)


def test_a_band_is_closed_and_its_middle_half_lies_inside() -> None:
    percentiles = np.stack([TIME * k for k in (0.8, 0.9, 1.0, 1.1, 1.2)], axis=1)
    lane = Lane("height", "m", spreads=(Spread("vehicle", TIME, percentiles),))
    drawn = draw_strip(Strip("t", "d", 0, 10, (lane,)), WIDTHS["wide"])
    outer, inner = band(drawn)
    assert outer.endswith("Z")
    assert inner.endswith("Z")

    def heights(data: str) -> list[float]:
        y, found = 0.0, []
        for k, piece in enumerate(data[1:-1].split("l")):
            step = float(piece.split(",")[1])
            y = step if k == 0 else y + step
            found.append(y)
        return found

    assert min(heights(outer)) < min(heights(inner)) < max(heights(outer)) + 1e-9


def test_a_band_with_holes_is_drawn_from_what_there_is() -> None:
    percentiles = np.stack([TIME * k for k in (0.8, 0.9, 1.0, 1.1, 1.2)], axis=1)
    percentiles[40:60] = np.nan
    lane = Lane("height", "m", spreads=(Spread("vehicle", TIME, percentiles),))
    drawn = draw_strip(Strip("t", "d", 0, 10, (lane,)), WIDTHS["wide"])
    assert "nan" not in drawn
    assert len(band(drawn)) == 2


names = st.sampled_from(["vehicle", "payload", "as written", "measured"])


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(names, st.floats(0, 100)), min_size=1, max_size=4),
    st.lists(st.tuples(st.floats(0, 10), st.floats(0, 100)), max_size=5),
    st.sampled_from(list(WIDTHS)),
)
def test_names_and_notes_never_overlap(
    ends: list[tuple[str, float]], notes: list[tuple[float, float]], width: str
) -> None:
    curves = tuple(Curve(n, TIME, np.full(101, v + 1.0), Role.RECORD) for n, v in ends)
    said = tuple(Note(t, v, f"{v:.1f} m (1 to 2)") for t, v in notes)
    lane = Lane("height", "m", curves, notes=said, height=140.0)
    drawn = draw_strip(Strip("t", "d", 0, 10, (lane,)), WIDTHS[width])
    texts = boxes(drawn)
    # The ticks and the lane's name stand left of the clock, the rest inside or right of it.
    inside = [b for b in texts if b.left >= WIDTHS[width].left - 1 and b.bottom < 240]
    for one, other in combinations(inside, 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_firings_words_stay_apart(width: str, system: str) -> None:
    strip = firing_strip(synthetic.firing(), synthetic.records(6), system)
    for one, other in combinations(boxes(draw_strip(strip, WIDTHS[width])), 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)


def test_nothing_lifts_off_a_stand() -> None:
    strip = firing_strip(synthetic.firing(), [], "metric")
    assert "liftoff" not in {event.words for event in strip.events}


def test_records_that_begin_before_the_thrust_widen_the_clock() -> None:
    records = synthetic.records(1)
    object.__setattr__(records[0], "time", records[0].time - 0.05)
    assert firing_strip(synthetic.firing(), records, "metric").start == pytest.approx(-0.05)


def test_a_flight_without_boost_events_still_has_a_close_up() -> None:
    flight = synthetic.flight(with_payload=False)
    flight.tracks["vehicle"].events.clear()
    assert boost_strip(flight, None, "metric").end == 0.5
    assert whole_strip(flight, None, "metric").events == ()


def test_a_short_hop_shows_its_boost_events_in_place() -> None:
    course = synthetic.Course(speed=0.5, burn=0.19, sink=9.0)
    flight = synthetic.flight(course, with_payload=False)
    whole = whole_strip(flight, None, "metric")
    if whole.end <= 4 * boost_strip(flight, None, "metric").end:
        assert whole.close_up is None
        assert "water out" in {event.words for event in whole.events}
    else:
        assert whole.close_up is not None


def test_the_payload_is_drawn_from_its_release_on() -> None:
    ensemble = synthetic.ensemble(60)
    released = ensemble.nominal.tracks["vehicle"].events["release"]
    (height, *_) = whole_strip(ensemble.nominal, ensemble, "metric").lanes
    payload = next(s for s in height.spreads if s.role is Role.PAYLOAD)
    assert payload.time[0] >= released
    single = whole_strip(ensemble.nominal, None, "metric").lanes[0]
    assert single.curves[-1].time[0] >= released


def test_notes_say_the_peak_with_its_range() -> None:
    ensemble = synthetic.ensemble(300)
    height = whole_strip(ensemble.nominal, ensemble, "metric").lanes[0]
    known = ensemble.statistics["apogee_m"]
    expected = f"42.1\u00a0m ({known['p05']:.0f} to {known['p95']:.0f}\u00a0m)"
    assert height.notes[0].words == expected
    climb = whole_strip(ensemble.nominal, ensemble, "metric").lanes[1]
    assert climb.notes[1].words == "lets go at 15.2\u00a0m/s"
