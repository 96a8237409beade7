"""A strip by itself: a drawing for any program, and a table with every sample."""

from __future__ import annotations

import csv
import io
import math
import xml.etree.ElementTree as ET
from collections import Counter

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from report.stripped import END, START, long_strip

from loftwright.report.drawn import gathered_strips, strips_of_page
from loftwright.report.strip import WIDTHS, draw_strip
from loftwright.report.strip_export import strip_csv, strip_svg
from loftwright.report.strip_model import Block, Curve, Event, Lane, Role, Strip
from loftwright.report.theme import LIGHT
from loftwright.report.window import levelled, window_of

STRIP = long_strip(4000)
READY = levelled(STRIP)


def table(strip: Strip, *part: float | None, without: tuple[str, ...] = ()) -> list[dict[str, str]]:
    text = "".join(strip_csv(levelled(strip), window_of(strip, *part, without=without)))
    return list(csv.DictReader(io.StringIO(text)))


def test_the_drawing_needs_no_style_sheet() -> None:
    drawn = strip_svg(READY, window_of(STRIP))
    root = ET.fromstring(drawn)
    assert root.get("width")
    assert root.get("height")
    assert "var(" not in drawn
    assert "cursor" not in drawn
    assert LIGHT["paper"] in drawn
    title = root.find("{http://www.w3.org/2000/svg}title")
    assert title is not None
    assert title.text == STRIP.title


def test_words_that_look_like_colours_stay_words() -> None:
    lane = Lane("var(--nothing)", "m", (Curve("", np.arange(3.0), np.arange(3.0), Role.RECORD),))
    drawn = strip_svg(
        levelled(Strip("t", "d", 0, 2, (lane,))), window_of(Strip("t", "d", 0, 2, ()))
    )
    assert ">var(--nothing)<" in drawn


@settings(deadline=None, max_examples=20)
@given(
    st.tuples(st.floats(START, END), st.floats(START, END)).filter(
        lambda e: abs(e[0] - e[1]) > 1e-3
    )
)
def test_every_sample_of_a_window_is_in_the_table(edges: tuple[float, float]) -> None:
    low, high = min(edges), max(edges)
    rows = table(STRIP, low, high)
    log = STRIP.lanes[0].curves[0]
    shown = (log.time >= low) & (log.time <= high) & np.isfinite(log.value)
    told = [
        (float(row["time (s)"]), float(row["height, log (m)"]))
        for row in rows
        if row["height, log (m)"]
    ]
    wanted = zip(log.time[shown].tolist(), log.value[shown].tolist(), strict=True)
    assert Counter(told) == Counter(wanted)
    band = STRIP.lanes[0].spreads[0]
    knots = (band.time >= low) & (band.time <= high)
    assert [
        float(row["height, forecast, 95 % (m)"])
        for row in rows
        if row["height, forecast, 95 % (m)"]
    ] == (band.percentiles[knots, 4].tolist())
    times = [float(row["time (s)"]) for row in rows]
    assert times == sorted(times)


def test_a_moment_that_a_clock_has_twice_has_two_rows() -> None:
    time = np.array([0.0, 1.0, 1.0, 2.0])
    value = np.array([5.0, 6.0, math.nan, 8.0])
    other = Curve("other", time[[0, 1, 3]], value[[3, 0, 1]], Role.SENSED)
    lane = Lane("height", "ft", (Curve("log", time, value, Role.RECORD), other))
    rows = table(Strip("t", "d", 0.0, 2.0, (lane,)))
    assert rows == [
        {"time (s)": "0.0", "height, log (ft)": "5.0", "height, other (ft)": "8.0"},
        {"time (s)": "1.0", "height, log (ft)": "6.0", "height, other (ft)": "5.0"},
        {"time (s)": "1.0", "height, log (ft)": "", "height, other (ft)": ""},
        {"time (s)": "2.0", "height, log (ft)": "8.0", "height, other (ft)": "6.0"},
    ]


def test_stages_and_events_stand_at_their_moments() -> None:
    blocks = (Block("pad", -1.0, 0.25), Block("up", 0.25, 1.5))
    curve = Curve("", np.array([0.0, 1.0, 2.0]), np.array([0.0, 9.0, 3.0]), Role.RECORD)
    lanes = (Lane("height", "m", (curve,)), Lane("board", "stages", blocks=blocks))
    events = (Event("liftoff", 0.0), Event("sensed", 0.25), Event("gone", 7.0), Event("out", 0.25))
    rows = table(Strip("t", "d", 0.0, 2.0, lanes, events))
    assert [(row["time (s)"], row["board"], row["event"]) for row in rows] == [
        ("0.0", "pad", "liftoff"), ("0.25", "up", "sensed; out"), ("1.0", "up", ""),
        ("1.5", "", ""), ("2.0", "", ""),
    ]  # fmt: skip
    rows = table(Strip("t", "d", 0.0, 2.0, lanes, ()), without=("board",))
    assert list(rows[0]) == ["time (s)", "height (m)"]


def test_nothing_to_tell_is_a_table_of_one_line() -> None:
    assert table(Strip("t", "d", 0.0, 2.0, ())) == []


def test_the_strips_of_a_page_are_gathered_in_their_order() -> None:
    with gathered_strips() as outer:
        strips_of_page([STRIP])
        with gathered_strips() as inner:
            strips_of_page([])
        strips_of_page([STRIP, STRIP])
    strips_of_page([STRIP])
    assert inner == []
    assert outer == [STRIP, STRIP, STRIP]


def test_what_is_drawn_along_the_edge_is_told_as_it_was() -> None:
    time, value = np.arange(4.0), np.array([0.0, 900.0, -900.0, 5.0])
    curve = Curve("", time, value, Role.SENSED, told="log", within=(-10.0, 20.0))
    strip = Strip("t", "d", 0.0, 3.0, (Lane("height", "m", (curve,)),))
    assert curve.drawn.tolist() == [0.0, 20.0, -10.0, 5.0]
    assert [row["height, log (m)"] for row in table(strip)] == ["0.0", "900.0", "-900.0", "5.0"]
    # The lane is no higher for it.
    clipped = Curve("", time, curve.drawn, Role.SENSED)
    plain = Strip("t", "d", 0.0, 3.0, (Lane("height", "m", (clipped,)),))
    assert draw_strip(strip, WIDTHS["wide"]) == draw_strip(plain, WIDTHS["wide"])
