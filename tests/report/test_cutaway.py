"""The cutaway: to scale, water at its real level, labels that never overlap."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import synthetic
from report.synthetic import Q

from loftwright.documents.vehicle import Fins
from loftwright.report.cutaway import WIDTHS, draw_cutaway
from loftwright.report.labels import push_apart
from loftwright.report.plumb import draw_plumb, lever_marks, plumb_marks, plumb_room
from loftwright.report.profile import (
    _volume_aft,
    body_outline,
    fin_views,
    nose_radius,
    vessel_outline,
    water_level,
)
from loftwright.report.scales import Scale

PROFILES = ("cone", "ogive", "ellipsoid", "parabola")


@given(st.lists(st.floats(0, 400), max_size=9), st.floats(5, 40))
def test_labels_are_pushed_apart_and_stay_in_order(wanted: list[float], height: float) -> None:
    places = push_apart(wanted, height, 0, 400)
    for one, other in combinations(sorted(places), 2):
        assert other - one >= height - 1e-6
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    assert [places[k] for k in order] == sorted(places)
    if height * len(wanted) <= 400:
        assert all(-1e-6 <= p <= 400 + 1e-6 for p in places)


@given(st.lists(st.floats(0, 1e4).map(lambda v: 100 * round(v)), unique=True, max_size=6))
def test_labels_with_room_stay_where_they_want(wanted: list[float]) -> None:
    assert push_apart(wanted, 20, 0, 1e6) == pytest.approx(wanted)


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("slenderness", [0.5, 1.0, 3.0, 8.0])
def test_noses_grow_from_a_tip_to_the_body(profile: str, slenderness: float) -> None:
    radii = [nose_radius(profile, k / 50, slenderness) for k in range(51)]
    assert radii[0] == pytest.approx(0.0, abs=1e-9)
    assert radii[-1] == pytest.approx(1.0)
    assert radii == sorted(radii)


def test_an_ogive_lies_between_a_cone_and_an_ellipsoid() -> None:
    for share in (0.1, 0.4, 0.8):
        ogive = nose_radius("ogive", share, 3.0)
        assert share < ogive < nose_radius("ellipsoid", share, 3.0)


def test_an_unknown_nose_is_an_error() -> None:
    with pytest.raises(KeyError):
        nose_radius("wedge", 0.5, 3.0)


@pytest.mark.parametrize("litres", [1.6, 2.0, 2.3])
def test_a_vessel_is_drawn_with_its_stated_volume(litres: float) -> None:
    vessel = replace(synthetic.vehicle().vessel[0], volume=Q(litres * 1e-3))
    drawn = _volume_aft(vessel_outline(vessel, 0.0107), 0.0)
    assert drawn == pytest.approx(litres * 1e-3, rel=0.04)


def test_an_outline_runs_aft_without_turning_back() -> None:
    vehicle = synthetic.vehicle()
    for outline in (body_outline(vehicle), vessel_outline(vehicle.vessel[0], 0.0107)):
        along = [x for x, _ in outline]
        assert along == sorted(along)
        assert all(r >= 0 for _, r in outline)


# A plain cylinder, 1 L in 100 cm2: 10 cm of water is 1 L less nothing.
CYLINDER = [(0.0, math.sqrt(0.01 / math.pi)), (0.1, math.sqrt(0.01 / math.pi))]


@given(st.floats(0.01, 0.99))
def test_the_level_in_a_cylinder_is_its_share(share: float) -> None:
    level = water_level([CYLINDER], [1e-3], share * 1e-3)
    assert level == pytest.approx(0.1 * (1 - share), abs=1e-6)


def test_two_vessels_share_one_level() -> None:
    beside = water_level([CYLINDER, CYLINDER], [1e-3, 1e-3], 1e-3)
    assert beside == pytest.approx(0.05, abs=1e-6)
    below = [(x + 0.1, r) for x, r in CYLINDER]
    assert water_level([CYLINDER, below], [1e-3, 1e-3], 0.5e-3) == pytest.approx(0.15, abs=1e-6)


def test_no_water_has_no_level_and_too_much_is_full() -> None:
    assert water_level([CYLINDER], [1e-3], 0.0) is None
    assert water_level([], [], 1e-3) is None
    assert water_level([CYLINDER], [1e-3], 5e-3) == pytest.approx(0.0, abs=1e-6)


def fins(count: int) -> Fins:
    return replace(synthetic.vehicle().fins[0], count=count)


@pytest.mark.parametrize("count", range(3, 9))
def test_fins_are_seen_the_same_from_left_and_right(count: int) -> None:
    views = fin_views(fins(count), 0.055)
    sides = sorted(round(v.corners[1][1], 9) for v in views if not v.edge_on)
    assert sides == pytest.approx([-s for s in reversed(sides)])
    assert any(v.edge_on and v.front for v in views)


def test_four_fins_show_two_at_full_span() -> None:
    tips = [v.corners[1][1] for v in fin_views(fins(4), 0.055) if not v.edge_on]
    assert sorted(tips) == pytest.approx([-0.145, 0.145])


def test_levers_warn_below_one_diameter() -> None:
    full, empty = lever_marks(synthetic.check(), "metric")
    assert full.role == "warning"
    assert full.words == "! full: 0.056\u00a0m"
    assert empty.role == "vehicle"
    assert empty.detail == "1.5 calibres"


def test_a_lever_the_wrong_way_round_says_so() -> None:
    check = synthetic.check() | {"stability_calibres": {"full": -0.4, "empty": None}}
    (mark,) = lever_marks(check, "us")
    assert mark.detail == "0.40 cal. ahead"
    assert mark.role == "warning"


marks = st.fixed_dictionaries(
    {
        "balance_from_nose_m": st.fixed_dictionaries(
            {"full": st.floats(0, 0.78), "empty": st.floats(0, 0.78)}
        ),
        "aerodynamic_centre_from_nose_m": st.floats(0, 0.78),
        "stability_calibres": st.just({"full": 0.5, "empty": 1.5}),
    }
)


@given(marks, st.sampled_from(["metric", "us"]))
def test_words_on_the_plumb_line_never_overlap(check: dict, system: str) -> None:
    down = Scale(0, 0.78, 16, 450)
    _, boxes = draw_plumb(
        plumb_marks(check, system), lever_marks(check, system), down, 200, 13, system
    )
    assert len(boxes) == 10
    for one, other in combinations(boxes, 2):
        assert not one.overlaps(other)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("bare", [False, True])
def test_every_cutaway_is_well_formed_and_has_no_round_symbol(width: str, bare: bool) -> None:
    drawn = draw_cutaway(synthetic.campaign(bare=bare), synthetic.check(), WIDTHS[width])
    tags = {element.tag.split("}")[1] for element in ET.fromstring(drawn).iter()}
    assert not tags & {"circle", "ellipse"}
    assert "nan" not in drawn
    assert ("payload" in drawn) is not bare


def test_the_drawing_is_to_scale() -> None:
    campaign = synthetic.campaign(bare=True)
    drawn = draw_cutaway(campaign, {}, WIDTHS["wide"])
    body = next(p for p in ET.fromstring(drawn) if p.tag.endswith("path"))
    pieces = body.get("d", "").rstrip("Z")[1:].split("l")
    steps = [tuple(map(float, piece.split(","))) for piece in pieces]
    xs, ys = [steps[0][0]], [steps[0][1]]
    for dx, dy in steps[1:]:
        xs.append(xs[-1] + dx)
        ys.append(ys[-1] + dy)
    slender = (max(ys) - min(ys)) / (max(xs) - min(xs))
    assert slender == pytest.approx(0.78 / 0.11, rel=0.01)


def test_without_a_check_there_are_no_marks() -> None:
    drawn = draw_cutaway(synthetic.campaign(), {}, WIDTHS["wide"])
    assert "balance" not in drawn


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_no_words_of_a_cutaway_overlap(width: str, system: str) -> None:
    from report.test_strip import boxes

    drawn = draw_cutaway(synthetic.campaign(system), synthetic.check(), WIDTHS[width])
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other), (one, other)
    # Widths are estimated on the wide side.
    assert all(box.left >= 0 and box.right < WIDTHS[width].width + 8 for box in boxes(drawn))


@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_lever_the_wrong_way_round_fits_a_phone(system: str) -> None:
    from report.test_strip import boxes

    check = synthetic.check() | {"stability_calibres": {"full": -12.34, "empty": -0.5}}
    drawn = draw_cutaway(synthetic.campaign(system), check, WIDTHS["narrow"])
    assert all(box.right < WIDTHS["narrow"].width + 8 for box in boxes(drawn))


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("width", WIDTHS)
def test_the_plumb_column_takes_the_room_it_says(width: str, system: str) -> None:
    check, size = synthetic.check(), WIDTHS[width].type
    ticks, levers = plumb_marks(check, system), lever_marks(check, system)
    _, boxes = draw_plumb(ticks, levers, Scale(0, 0.78, 16, 450), 200, size, system)
    room = plumb_room([*ticks, *levers], len(levers), size)
    assert max(box.right for box in boxes) == pytest.approx(200 + room)


@pytest.mark.parametrize("width", WIDTHS)
def test_a_squat_vehicle_gets_a_taller_picture_for_its_words(width: str) -> None:
    from report.test_strip import boxes

    campaign = synthetic.campaign()
    wide = replace(campaign.vehicle.fins[0], span=Q(4 * campaign.vehicle.body.length.value))
    squat = replace(campaign, vehicle=replace(campaign.vehicle, fins=(wide,)))
    drawn = draw_cutaway(squat, synthetic.check(), WIDTHS[width])
    height = float(ET.fromstring(drawn).get("viewBox", "").split()[3])
    placed = boxes(drawn)
    assert all(box.top >= 0 and box.bottom <= height for box in placed)
    for one, other in combinations(placed, 2):
        assert not one.overlaps(other), (one, other)
