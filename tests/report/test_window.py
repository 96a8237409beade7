"""Windows of strips: the picture of all samples, from few of them."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report.stripped import END, START, long_strip

from loftwright.errors import ProblemError
from loftwright.report.strip import WIDTHS, draw_lanes, draw_strip, room_of
from loftwright.report.strip_model import Curve, Spread, Strip
from loftwright.report.strip_numbers import window_readout
from loftwright.report.window import (
    LEAST_SPAN,
    Window,
    draw_window,
    lane_calls,
    levelled,
    window_of,
)

STRIP = long_strip()
READY = levelled(STRIP)
NAMESPACE = "{http://www.w3.org/2000/svg}"


def plots(drawn: str) -> list[str]:
    """Return the path of every line and band."""
    return [
        path.get("d", "")
        for group in ET.fromstring(drawn).iter(f"{NAMESPACE}g")
        if group.get("class") == "plot"
        for path in group.iter(f"{NAMESPACE}path")
    ]


def in_sight(strip: Strip, window: Window) -> Strip:
    """Return the part of a strip with all samples, without lines that begin or end elsewhere."""

    def seen(line: Curve | Spread) -> bool:
        return bool(line.time[0] <= window.end and line.time[-1] >= window.start)

    lanes = tuple(
        replace(
            lane,
            from_zero=False,
            curves=tuple(filter(seen, lane.curves)),
            spreads=tuple(filter(seen, lane.spreads)),
        )
        for lane in strip.lanes
    )
    return replace(strip, start=window.start, end=window.end, lanes=lanes)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_whole_is_drawn_as_in_a_report(width: str) -> None:
    drawn = draw_window(READY, window_of(STRIP), WIDTHS[width], width)
    assert drawn == draw_strip(STRIP, WIDTHS[width], width)


@settings(deadline=None, max_examples=25)
@given(
    st.tuples(st.floats(START, END), st.floats(START, END)).filter(
        lambda e: abs(e[0] - e[1]) > 1e-3
    )
)
def test_a_window_is_drawn_as_if_every_sample_were_looked_at(edges: tuple[float, float]) -> None:
    window = window_of(STRIP, min(edges), max(edges))
    part = in_sight(STRIP, window)
    drawn = draw_window(READY, window, WIDTHS["wide"])
    room = room_of(STRIP, WIDTHS["wide"])
    assert plots(drawn) == plots(draw_lanes(part, WIDTHS["wide"], room=room))


def test_lanes_stay_where_they_are_whatever_the_window() -> None:
    def places(drawn: str) -> list[str | None]:
        groups = ET.fromstring(drawn).iter(f"{NAMESPACE}g")
        return [group.get("data-top") for group in groups if group.get("class") == "lane"]

    whole = places(draw_window(READY, window_of(STRIP), WIDTHS["wide"]))
    # Nothing of the stages is left there, and no event.
    part = places(draw_window(READY, window_of(STRIP, 34.0, 38.0), WIDTHS["wide"]))
    assert part == whole
    assert len(part) == 3


def test_lanes_are_left_out_by_name() -> None:
    window = window_of(STRIP, None, None, ["CLIMB"])
    assert window.without == frozenset({1})
    drawn = draw_window(READY, window, WIDTHS["wide"])
    assert ">climb<" not in drawn
    assert [lane["name"] for lane in window_readout(READY, window, WIDTHS["wide"])["lanes"]] == [
        "height", "board",
    ]  # fmt: skip


def test_lanes_that_share_a_name_are_told_apart() -> None:
    board, timer, stages = (replace(STRIP.lanes[1], unit=unit) for unit in ("m, a", "m, b", "m, b"))
    strip = replace(STRIP, lanes=(STRIP.lanes[0], board, timer, stages))
    assert lane_calls(strip) == ["height", "climb, m, a", "climb, m, b, 1", "climb, m, b, 2"]
    assert window_of(strip, None, None, ["climb, m, B, 2"]).without == frozenset({3})
    assert window_of(strip, None, None, ["Climb"]).without == frozenset({1, 2, 3})


def test_edges_beyond_the_strip_are_the_strips() -> None:
    assert window_of(STRIP, -1e300, 1e300) == Window(START, END)


@given(st.tuples(*[st.none() | st.floats(allow_nan=True, allow_infinity=True)] * 2))
def test_a_window_is_possible_or_refused(edges: tuple[float | None, float | None]) -> None:
    low, high = (
        start if edge is None else edge for edge, start in zip(edges, (START, END), strict=True)
    )
    possible = math.isfinite(low) and math.isfinite(high) and low < high
    possible = possible and min(high, END) - max(low, START) >= LEAST_SPAN
    if possible:
        window = window_of(STRIP, *edges)
        assert START <= window.start < window.end <= END
        return
    with pytest.raises(ProblemError) as caught:
        window_of(STRIP, *edges)
    assert [each.code for each in caught.value.problems] == ["strip-window"]
    assert caught.value.problems[0].mend


def test_an_unknown_lane_is_refused() -> None:
    with pytest.raises(ProblemError) as caught:
        window_of(STRIP, None, None, ["climb", "height\x1b"])
    assert [each.code for each in caught.value.problems] == ["strip-no-lane"]


def test_the_readout_has_samples_as_they_were() -> None:
    log = STRIP.lanes[0].curves[0]
    samples = dict(zip(log.time.tolist(), log.value.tolist(), strict=True))
    for part in ((START, END), (3.0, 3.4)):
        read = window_readout(READY, window_of(STRIP, *part), WIDTHS["wide"])
        band, line = read["lanes"][0]["lines"]
        assert line["name"] == "log"
        assert line["thinned"] == (part == (START, END))
        told = list(zip(line["t"], line["v"], strict=True))
        assert len(told) > 100
        known = set(zip(log.time.tolist(), log.value.tolist(), strict=True))
        assert all(v is None or (t, v) in known for t, v in told)
        assert all(samples[t] == v or t in samples for t, v in told)
        inside = [v for t, v in told if v is not None and part[0] <= t <= part[1]]
        shown = log.value[(log.time >= part[0]) & (log.time <= part[1])]
        assert max(inside) == np.nanmax(shown)
        assert band["lo"][0] < band["v"][0] < band["hi"][0]
    assert all(math.isfinite(at) for at, _ in read["events"])


def test_stages_are_told_as_far_as_they_are_in_sight() -> None:
    read = window_readout(READY, window_of(STRIP, 5.0, 10.0), WIDTHS["wide"])
    assert read["lanes"][2]["stays"] == [[5.0, 8.0, "up"], [8.0, 10.0, "down"]]
