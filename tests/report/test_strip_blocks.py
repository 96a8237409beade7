"""Lanes of blocks: names inside their blocks, never over each other, on every width."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report.test_strip import boxes

from loftwright.report import svg
from loftwright.report.readout import readout_json
from loftwright.report.scales import Scale
from loftwright.report.strip import WIDTHS, draw_strip
from loftwright.report.strip_blocks import draw_blocks, fitting, hatched
from loftwright.report.strip_model import Block, Curve, Lane, Role, Strip
from loftwright.report.svg import Box, text_width

NAMESPACE = "{http://www.w3.org/2000/svg}"
ROLES = st.sampled_from(["rule", "vehicle", "payload", "warning"])
NAMES = st.sampled_from(["pad", "climbing", "let go", "waiting for the canopy to open", "W" * 30])


def strip_of(*blocks: Block) -> Strip:
    return Strip("t", "d", 0.0, 10.0, (Lane("main", "stages", blocks=blocks, height=34.0),))


def filled(drawn: str, role: str) -> list[tuple[float, float]]:
    return [
        (float(r.get("x", 0)), float(r.get("x", 0)) + float(r.get("width", 0)))
        for r in ET.fromstring(drawn).iter(f"{NAMESPACE}rect")
        if r.get("fill") == f"var(--{role})"
    ]


@given(
    st.lists(st.tuples(NAMES, st.floats(-2, 12), ROLES), max_size=9),
    st.sampled_from([200.0, 600.0, 900.0]),
)
def test_names_stand_inside_their_blocks_and_never_overlap(
    stays: list[tuple[str, float, str]], width: float
) -> None:
    ordered = sorted(stays, key=lambda stay: stay[1])
    ends = [stay[1] for stay in ordered[1:]] + [12.0]
    blocks = tuple(
        Block(n, s, e, r) for (n, s, r), e in zip(ordered, ends, strict=len(ordered) > 0)
    )
    room = Box(40.0, 10.0, 40.0 + width, 44.0)
    lane = Lane("main", "stages", blocks=blocks)
    body = draw_blocks(lane, Scale(0.0, 10.0, room.left, room.right), room, 12.0)
    drawn = svg.document(width + 80, 60, body, title="t", description="d", kind="k")
    rects = [
        Box(*(float(r.get(k, 0)) for k in ("x", "y")),
            float(r.get("x", 0)) + float(r.get("width", 0)), room.bottom)
        for r in ET.fromstring(drawn).iter(f"{NAMESPACE}rect")
    ]  # fmt: skip
    for box in boxes(drawn):
        assert any(r.left <= box.left and box.right <= r.right + 0.1 for r in rects)
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other)


def test_a_block_spans_its_time_and_is_cut_at_the_edge() -> None:
    drawn = draw_strip(strip_of(Block("on", 2.0, 5.0, "vehicle")), WIDTHS["wide"])
    ((left, right),) = filled(drawn, "vehicle")
    x0, x1 = (float(re.findall(rf'data-{k}="([^"]+)"', drawn)[0]) for k in ("x0", "x1"))
    clock = Scale(0.0, 10.0, x0, x1)
    assert (left, right) == pytest.approx((clock(2.0) + 1, clock(5.0) - 1), abs=0.1)
    cut = filled(
        draw_strip(strip_of(Block("on", -3.0, 50.0, "vehicle")), WIDTHS["wide"]), "vehicle"
    )
    assert cut[0] == pytest.approx((x0 + 1, x1 - 1), abs=0.1)


def test_a_block_that_is_very_short_can_still_be_seen() -> None:
    drawn = draw_strip(strip_of(Block("blip", 2.0, 2.0001, "vehicle")), WIDTHS["narrow"])
    ((left, right),) = filled(drawn, "vehicle")
    assert right - left == pytest.approx(1.0)
    assert "blip" not in drawn


def test_of_two_that_run_over_each_other_the_later_is_drawn_from_its_start() -> None:
    drawn = draw_strip(
        strip_of(Block("one", 0.0, 9.0, "vehicle"), Block("two", 5.0, 10.0, "vehicle")),
        WIDTHS["wide"],
    )
    spans = filled(drawn, "vehicle")
    assert all(one[1] <= other[0] for one, other in pairwise(sorted(spans)))


def test_a_block_that_warns_says_so_without_colour() -> None:
    drawn = draw_strip(strip_of(Block("! no power", 2.0, 6.0, "warning")), WIDTHS["wide"])
    assert "! no power" in drawn
    assert drawn.count('stroke-opacity="0.5"') == 1


@given(st.floats(1, 400), st.floats(1, 60))
def test_hatching_stays_inside_its_box(wide: float, high: float) -> None:
    numbers = [
        float(n) for n in re.findall(r"-?[\d.]+", hatched(Box(0, 0, wide, high)).split('"')[1])
    ]
    assert all(-0.06 <= x <= wide + 0.06 for x in numbers[::2])
    assert all(-0.06 <= y <= high + 0.06 for y in numbers[1::2])


@given(NAMES, st.floats(0, 300))
def test_words_fit_or_are_left_out(words: str, width: float) -> None:
    found = fitting(words, width, 12)
    assert not found or text_width(found, 12) <= width


def test_the_cursor_reads_the_stage() -> None:
    time = np.linspace(0, 10, 11)
    lanes = (
        Lane("height", "m", (Curve("", time, time, Role.RECORD),)),
        Lane("main", "stages", blocks=(Block("pad", 0.0, 4.0), Block("climbing", 4.0, 10.0))),
    )
    (data,) = json.loads(readout_json([Strip("t", "d", 0.0, 10.0, lanes)]))
    assert data["lanes"][1]["stays"] == [[0.0, 4.0, "pad"], [4.0, 10.0, "climbing"]]
    assert "v" not in data["lanes"][1]


def test_a_lane_of_blocks_is_not_empty() -> None:
    assert not Lane("main", "stages", blocks=(Block("pad", 0, 1),)).empty
    assert Lane("main", "stages").empty
