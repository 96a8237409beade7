"""Pages of a whole stack: every body on the strip, in the plan, in the cutaway, in the tables."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import carried, synthetic
from report.test_page import read
from report.test_strip import boxes
from report.test_terminal import Screen

from loftwright.documents.payload import Payload
from loftwright.flight.check import check
from loftwright.report.bodies import dash_of, in_order, role_of, short_names
from loftwright.report.carried_lanes import angle_lane, hold_lane
from loftwright.report.cutaway import WIDTHS, draw_cutaway
from loftwright.report.cutaway_view import payload_side, payloads, stages
from loftwright.report.lanes import flight_strips
from loftwright.report.page import forecast_page
from loftwright.report.scatter import draw_scatter, landings
from loftwright.report.strip import WIDTHS as STRIPS
from loftwright.report.strip import draw_strip
from loftwright.report.terminal import print_check, print_forecast
from loftwright.units import Quantity

BODIES = ("vehicle", "upper", "booster1", "payload", "payload2", "payload3")


@pytest.fixture(scope="module")
def page() -> str:
    ensemble, campaign = carried.staged(), carried.staged_campaign()
    return forecast_page(campaign, ensemble.nominal, ensemble, check(campaign).as_dict())


def test_no_two_bodies_look_alike() -> None:
    looks = [(role_of(body), dash_of(body)) for body in BODIES]
    assert len(set(looks)) == len(BODIES)
    assert in_order(reversed(BODIES)) == list(BODIES)


def test_the_page_names_every_body_and_what_became_of_it(page: str) -> None:
    text = read(page).text
    for words in (
        "Terns part", "Plover fires", "Scroll torn off", "Dunlin let go", "What it carries",
        "How it glides", "What turns it aside", "Teasel, 2 Terns and Plover, drawn to scale",
        "energy stored in all stages", "How hard it comes down, flights in 100",
    ):  # fmt: skip
        assert words in text
    assert not re.search(r"\bnan\b|\binf\b", text, re.I)


def test_a_page_of_one_flight_of_the_stack_is_whole() -> None:
    campaign, flight = carried.staged_campaign(), carried.staged().nominal
    text = read(forecast_page(campaign, flight, None, check(campaign).as_dict())).text
    assert "flights in 100" not in text
    assert "gives way no not known yes" in text


@pytest.mark.parametrize("width", STRIPS)
def test_no_words_of_the_strips_overlap(width: str) -> None:
    ensemble, campaign = carried.staged(), carried.staged_campaign()
    strips = flight_strips(ensemble.nominal, ensemble, "metric", short_names(campaign))
    assert [strip.title for strip in strips] == [
        "The whole flight", "The climb, shown larger", "The boost, shown larger",
    ]  # fmt: skip
    for strip in strips:
        for one, other in combinations(boxes(draw_strip(strip, STRIPS[width])), 2):
            assert not one.overlaps(other)


def test_the_hold_lane_marks_where_it_gives_way_and_ends_with_the_payload() -> None:
    torn = hold_lane(carried.one(7.5), {}, 10.0)
    assert [limit.value for limit in torn.limits] == [1.0]
    assert torn.curves[0].time[-1] <= 0.11
    assert torn.notes[0].words.startswith("torn off after")
    kept = hold_lane(carried.one(3.0), {}, 10.0)
    assert kept.curves[0].value.max() == pytest.approx(0.5)
    assert kept.notes[0].words == "0.50 of its strength"
    unknown = carried.one(3.0)
    unknown = replace(unknown, figures=unknown.figures | {"hold_margin": None})
    assert hold_lane(unknown, {}, 10.0).empty


def test_the_angle_lane_shows_the_steady_angle_after_the_push() -> None:
    flown, steady = angle_lane(carried.one(3.0)).curves
    assert flown.time[0] == pytest.approx(0.2)
    assert steady.time[0] >= carried.one(3.0).tracks["vehicle"].events["air out"]
    assert angle_lane(synthetic.flight()).empty


def test_every_landing_of_the_stack_has_contours_and_a_name() -> None:
    ensemble, campaign = carried.staged(200), carried.staged_campaign()
    bodies = landings(ensemble.nominal, ensemble, short_names(campaign))
    drawn = draw_scatter(bodies, {"speed": 2.7, "coming_from": 4.2}, "metric", 540)
    assert [body.label for body in bodies] == [
        "Teasel", "Plover", "Terns 1", "Terns 2", "Dunlin", "Scroll",
    ]  # fmt: skip
    assert drawn.count('fill-opacity="0.08"') >= 2 * len(bodies)
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other)


# ---------------------------------------------------------------- cutaway


@pytest.mark.parametrize("width", WIDTHS)
def test_the_whole_stack_is_drawn_to_one_scale(width: str) -> None:
    campaign, frame = carried.staged_campaign(), WIDTHS[width]
    drawn = draw_cutaway(campaign, check(campaign).as_dict(), frame)
    root = ET.fromstring(drawn)
    assert drawn.count('fill-opacity="0.24"') == 4  # water of vehicle, upper stage, two boosters
    assert drawn.count('stroke-dasharray="6 3"') == 3
    right = float(root.get("viewBox", "0 0 0 0").split()[2])
    for box in boxes(drawn):
        assert box.left >= -1
        assert box.right <= right + 1
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other)


def test_the_upper_stage_stands_ahead_and_boosters_beside() -> None:
    placed = {(each.root, round(each.side, 3)): each for each in stages(carried.staged_campaign())}
    assert placed["upper", 0.0].aft == pytest.approx(-0.44)
    assert {side for root, side in placed if root == "boosters"} == {-0.102, 0.102}


def test_a_payload_is_seen_where_it_sits() -> None:
    seen = {root: side for root, _, _, side in payloads(carried.staged_campaign())}
    assert seen["payload"].where == "behind"
    assert seen["payload2"].where == "in front"
    # 200 mm around a body of 70 mm, 1.5 mm thick: 2.8 rad of arc, so it nearly hides its half.
    wrapped = seen["payload3"]
    assert wrapped.far == pytest.approx(0.0365)
    assert wrapped.near == pytest.approx(0.035 * math.cos(0.1 / 0.03575), abs=2e-3)
    assert wrapped.walls == (0.035,)


@given(st.floats(0.0, 2.0 * math.pi), st.floats(0.01, 0.4))
def test_an_arc_lies_within_its_outer_radius(turn: float, width: float) -> None:
    campaign = carried.staged_campaign()
    payload = campaign.payload3
    assert isinstance(payload, Payload)
    assert campaign.upper is not None
    changed = replace(payload, carried=replace(payload.carried, width=Quantity(width)))
    side = payload_side(changed, campaign.upper, turn)
    outer = campaign.upper.body.diameter.value / 2 + payload.carried.thickness.value
    assert -outer - 1e-9 <= side.near <= side.far <= outer + 1e-9


# ---------------------------------------------------------------- terminal


@pytest.mark.parametrize("columns", [60, 80])
def test_the_terminal_keeps_to_its_width(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("NO_COLOR", "1")
    ensemble, campaign = carried.staged(), carried.staged_campaign()
    found, out = check(campaign).as_dict(), Screen()
    print_check(campaign, found, out)
    print_forecast(campaign, ensemble.nominal, ensemble, found, out)
    plain = re.sub(r"\x1b\[[0-9;]*m", "", out.getvalue())
    assert max(map(len, plain.splitlines())) <= columns
    assert "! Will it hold?" in plain
    assert "let go as" in plain


def test_a_file_gets_whole_lines() -> None:
    ensemble, out = carried.many(np.full(50, 3.0)), io.StringIO()
    print_forecast(synthetic.campaign(), ensemble.nominal, ensemble, None, out)
    assert "  Yes. The hold of Wren gives way in none of 50 flights (up to 7.1 in 100);" in (
        out.getvalue()
    )
