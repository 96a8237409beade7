"""The ground under the scatter, and its chances in words."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import synthetic
from report.test_page import read
from report.test_strip import boxes

from loftwright.documents.corners import Local
from loftwright.documents.site import Shape
from loftwright.field.shapes import GroundShape, ground_shapes
from loftwright.flight.chance import Chance, wilson
from loftwright.report.ground import draw_shapes, key_of, scale_bar
from loftwright.report.ground_words import ground_words
from loftwright.report.page import forecast_page
from loftwright.report.reading import in_hundred
from loftwright.report.scatter import WIDTHS, Landing, _frame, draw_scatter
from loftwright.units import Quantity

WIND = {"speed": 2.7, "coming_from": 4.2}
SVG = "{http://www.w3.org/2000/svg}"


def shape(name: str, kind: str, corners, **more) -> GroundShape:
    return GroundShape(name, kind, np.array(corners, dtype=float), **more)


GROUND = (
    shape("Long meadow", "field edge", [(-80, -80), (120, -80), (120, 140), (-80, 140)]),
    shape("Long wood", "trees", [(60, 0), (100, 0), (100, 60), (60, 60)], height=9.0),
    shape("Shed", "building", [(-70, 100), (-60, 100), (-60, 108), (-70, 108)], height=3.0),
    shape("Pond", "water", [(-60, 20), (-20, 20), (-20, 60)]),
    shape("Lane", "road", [(-200, 146), (200, 150)], width=5.0),
    shape("Crowd", "people", [(-70, -70), (-50, -70), (-50, -50)], people=20.0),
    shape("Rope", "people line", [(-75, -30), (-20, -75)]),
)


def at(east: float, north: float, body: str = "vehicle") -> Landing:
    return Landing(body, np.array([east, north]), np.zeros((0, 2)))


@settings(max_examples=40)
@given(st.floats(-90, 120), st.floats(-90, 140), st.sampled_from(list(WIDTHS.values())))
def test_words_never_overlap(east: float, north: float, width: float) -> None:
    bodies = [at(east, north), at(-north, 0.4 * east, "payload")]
    drawn = draw_scatter(bodies, WIND, "us", width, "narrow", GROUND)
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other)


@pytest.mark.parametrize("width", WIDTHS.values())
def test_every_shape_is_named_where_there_is_room(width: float) -> None:
    drawn = draw_scatter([at(20, 80)], WIND, "metric", width, "wide", GROUND)
    written = {text.text for text in ET.fromstring(drawn).iter(f"{SVG}text")}
    assert {each.name for each in GROUND} <= written
    assert "(trees)" in drawn  # and is told to those who cannot see it


def test_all_of_a_field_is_in_sight_unless_it_is_endless() -> None:
    place = _frame([at(20, 80)], 540, GROUND)
    for corner in GROUND[0].corners.tolist():
        assert all(0 <= value <= 540 for value in place.at(*corner))
    prairie = shape("Prairie", "field edge", [(-9e3, -9e3), (9e3, -9e3), (0, 9e3)])
    place = _frame([at(20, 80)], 540, (prairie,))
    one, other = place.at(0, 0), place.at(20, 80)
    assert np.hypot(one[0] - other[0], one[1] - other[1]) > 60


def test_ticks_stand_on_the_side_of_the_people() -> None:
    drawn = draw_shapes((GROUND[-1],), lambda e, n: (e, -n), 1.0, "wide")
    starts = re.findall(r"M(-?[\d.]+),(-?[\d.]+)l(-?[\d.]+),(-?[\d.]+)\"?", drawn.split("/>")[-2])
    assert starts
    for x, y, dx, dy in (map(float, each) for each in starts):
        # The pad is at nought: away from it is away from the pad.
        assert np.hypot(x + dx, y + dy) > np.hypot(x, y)


@pytest.mark.parametrize("system", ["metric", "us"])
@given(st.floats(0.05, 20.0))
def test_the_bar_is_as_long_as_it_says(system: str, scale: float) -> None:
    drawn = f"<g>{scale_bar(scale, system, 540.0, 12.0, [])}</g>"
    number, unit = re.search(r">([\d.\u202f]+)\u00a0?\s?(m|ft)<", drawn).groups()  # type: ignore[union-attr]
    bar = next(ET.fromstring(drawn).iter("line"))
    length = float(bar.get("x2", 0)) - float(bar.get("x1", 0))
    metres = float(number.replace("\u202f", "")) * (1.0 if unit == "m" else 0.3048)
    assert length == pytest.approx(metres * scale, abs=0.2)
    assert 540 * 0.08 <= length <= 540 * 0.31


def test_the_key_tells_what_is_there_and_no_more() -> None:
    assert key_of(()) == ""
    assert key_of(GROUND[:2]) == "Thin ink line: the edge of the field; hatched: trees."


# ---------------------------------------------------------------- words


@pytest.mark.parametrize(
    ("count", "flights", "words"),
    [
        (0, 2000, ("none", "(up to 0.19)")),
        (2000, 2000, ("all", "(at least 99.81)")),
        (60, 2000, ("3.0", "(2.3 to 3.8)")),
        (660, 2000, ("33", "(31 to 35)")),
        (1, 2000, ("0.05", "(0.009 to 0.28)")),
        (4, 1_000_000, ("0.0004", "(0.0002 to 0.001)")),
        (1_000_000, 1_000_000, ("all", "(at least 99.9996)")),
        (40_000, 1_000_000, ("4.0", "(3.96 to 4.04)")),
        (0, 20, ("none", "(up to 16)")),
    ],
)
def test_a_chance_is_told_in_hundredths(count: int, flights: int, words: tuple[str, str]) -> None:
    assert in_hundred(Chance(count, flights, *wilson(count, flights))) == words


def on_a_field(units: str = "metric", name: str = "Long meadow"):
    campaign = synthetic.campaign(units)
    corners = tuple(Local(*each) for each in ((-9, -9), (14, -9), (14, 14), (-9, 14)))
    crowd = tuple(Local(*each) for each in ((-9, -9), (14, -9), (14, 0)))
    shapes = (
        Shape(name=name, kind="field edge", corners=corners),
        Shape(name="Crowd", kind="people", corners=crowd, people=Quantity(8.0)),
        Shape(name="Rope", kind="people line", corners=(Local(-9.0, -5.0), Local(-5.0, -9.0))),
    )
    return replace(campaign, site=replace(campaign.site, shape=shapes))


def test_the_page_tells_the_chances() -> None:
    campaign, ensemble = on_a_field(), synthetic.ensemble(400)
    words = ground_words(campaign, ensemble)
    assert words is not None
    assert words.bodies == ("Tern 3", "Wren")
    rows = dict(words.rows)
    assert list(rows)[:3] == ["outside Long meadow", "among Crowd", "beyond Rope"]
    page = read(forecast_page(campaign, ensemble.nominal, ensemble, synthetic.check()))
    assert "Where it ends up, flights in 100" in page.text
    assert "14 CFR 107.120" in page.text
    assert "people line" in page.text or "ticked line" in page.text
    assert "follow local codes" in page.text


def test_the_chance_to_leave_the_field_is_the_count() -> None:
    campaign, ensemble = on_a_field(), synthetic.ensemble(400)
    east = ensemble.columns["touchdown_payload_east_m"]
    north = ensemble.columns["touchdown_payload_north_m"]
    outside = ~((east > -9) & (east < 14) & (north > -9) & (north < 14))
    words = ground_words(campaign, ensemble)
    assert words is not None
    number = dict(words.rows)["outside Long meadow"][1][0]
    assert float(number.replace("all", "100").replace("none", "0")) == pytest.approx(
        100 * outside[np.isfinite(east)].mean(), abs=0.5
    )


def test_one_flight_is_drawn_without_chances() -> None:
    page = forecast_page(on_a_field(), synthetic.flight(), None, synthetic.check())
    assert "Where it ends up" not in page
    assert "the edge of the field" in page


def test_a_site_without_shapes_tells_energies_alone() -> None:
    ensemble = synthetic.ensemble(100)
    page = forecast_page(synthetic.campaign(), ensemble.nominal, ensemble, synthetic.check())
    assert "Where it ends up" not in page
    assert "<circle" in page
    words = ground_words(synthetic.campaign(), ensemble)
    assert words is not None
    assert words.sentences == ()
    assert all(row.startswith("with more than") for row, _ in words.rows)
    assert ground_words(synthetic.campaign(), None) is None


def test_names_are_escaped() -> None:
    campaign, ensemble = on_a_field(name=synthetic.NASTY), synthetic.ensemble(100)
    page = forecast_page(campaign, ensemble.nominal, ensemble, synthetic.check())
    assert synthetic.NASTY not in page
    read(page)
    assert ground_shapes(campaign.site)[0].name == synthetic.NASTY
