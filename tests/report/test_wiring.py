"""The wiring drawn: nothing overlaps, no line hides another, and what is shared is said."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report import rehearsed
from report.test_strip import boxes

from loftwright.documents.avionics import (
    Actuator,
    Avionics,
    Barometer,
    Battery,
    Bay,
    Connector,
    Controller,
    Switch,
)
from loftwright.report.svg import Box
from loftwright.report.wiring import WIDTHS, draw_wiring, picture_of
from loftwright.report.wiring_column import draw_column
from loftwright.units import Quantity

NAMESPACE = "{http://www.w3.org/2000/svg}"
Piece = tuple[float, float, float, float]


@st.composite
def wired(draw: st.DrawFn) -> Avionics:
    """Any avionics whose names fit together, however odd."""
    batteries = [f"cell {k}" for k in range(draw(st.integers(1, 3)))]
    plugs = [f"plug {k}" for k in range(draw(st.integers(0, 3)))]
    bays = [f"bay {k}" for k in range(draw(st.integers(0, 2)))]
    baros = [f"baro {k}" for k in range(draw(st.integers(0, 4)))] if bays else []
    lines = [f"line {k}" for k in range(draw(st.integers(0, 2)))]
    brains = [f"brain {k}" for k in range(draw(st.integers(1, 3)))]
    muscles = [f"latch {k}" for k in range(draw(st.integers(0, 4)))]
    path = st.lists(st.sampled_from(plugs), unique=True) if plugs else st.just([])
    through = path.map(lambda names: ", ".join(names) or None)
    sensors = (
        st.lists(st.sampled_from(baros + lines), unique=True) if baros + lines else st.just([])
    )
    return Avionics(
        name="odd electronics",
        bay=tuple(
            Bay(name=n, volume=Quantity(1e-4), vent_count=2, vent_diameter=Quantity(1e-3))
            for n in bays
        ),
        battery=tuple(Battery(name=n, voltage=Quantity(3.9)) for n in batteries),
        connector=tuple(Connector(name=n) for n in plugs),
        barometer=tuple(Barometer(name=n, bay=draw(st.sampled_from(bays))) for n in baros),
        switch=tuple(Switch(name=n) for n in lines),
        controller=tuple(
            Controller(name=n, program=f"program-{n}.toml", through=draw(through),
                       battery=draw(st.sampled_from(batteries)),
                       senses=", ".join(draw(sensors)) or "none")
            for n in brains
        ),
        actuator=tuple(
            Actuator(name=n, controller=draw(st.sampled_from(brains)), output="out",
                     battery=draw(st.sampled_from(batteries)), through=draw(through),
                     works=draw(st.sampled_from(["payload", "canopy"])))
            for n in muscles
        ),
    )  # fmt: skip


def nets(drawn: str) -> list[list[Piece]]:
    """The straight pieces of each line; frames and arrow heads left out."""
    found = []
    for path in ET.fromstring(drawn).iter(f"{NAMESPACE}path"):
        if path.get("fill") != "none":
            continue
        pieces: list[Piece] = []
        for part in path.get("d", "")[1:].split("M"):
            x, y = (float(v) for v in part.split("l")[0].split(","))
            for step in part.split("l")[1:]:
                dx, dy = (float(v) for v in step.split(","))
                pieces.append((x, y, x + dx, y + dy))
                x, y = x + dx, y + dy
        found.append(pieces)
    return found


def parts(drawn: str) -> list[Box]:
    """The boxes of the parts."""
    return [
        Box(x, y, x + wide, y + high)
        for r in ET.fromstring(drawn).iter(f"{NAMESPACE}rect")
        if r.get("fill") == "var(--shell)"
        for x, y, wide, high in [[float(r.get(k, 0)) for k in ("x", "y", "width", "height")]]
    ]


def room(piece: Piece) -> Box:
    x1, y1, x2, y2 = piece
    return Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))


def hides(one: Piece, other: Piece) -> bool:
    """Whether two pieces run along each other."""
    a, b = room(one), room(other)
    upright = a.right - a.left < 0.2 and b.right - b.left < 0.2 and abs(a.left - b.left) < 2
    level = a.bottom - a.top < 0.2 and b.bottom - b.top < 0.2 and abs(a.top - b.top) < 2
    along = min(a.bottom, b.bottom) - max(a.top, b.top) > 1
    across = min(a.right, b.right) - max(a.left, b.left) > 1
    return (upright and along) or (level and across)


def check(drawn: str, width: float) -> None:
    words, inside = boxes(drawn), parts(drawn)
    for one, other in combinations(words, 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)
    for one, other in combinations(inside, 2):
        assert not one.overlaps(other), (one, other)
    for box in words + inside:
        assert box.left >= 0
        assert box.right <= width
    for pieces in nets(drawn):
        for piece in pieces:
            assert not [box for box in inside + words if room(piece).overlaps(box, gap=-1.0)]
            assert room(piece).left >= -0.1
            assert room(piece).right <= width


@settings(max_examples=80)
@given(wired(), st.sampled_from(list(WIDTHS)))
def test_nothing_overlaps_whatever_is_wired_to_what(avionics: Avionics, width: str) -> None:
    drawn = draw_wiring(picture_of(avionics), WIDTHS[width], width)
    check(drawn, WIDTHS[width].width)
    for one, other in combinations(nets(drawn), 2):
        # A line through a column, and the same line before and after it, touch at their ends.
        assert not [(p, q) for p in one for q in other if hides(p, q)]


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_demo_is_drawn_whole(width: str, system: str) -> None:
    drawn = draw_wiring(picture_of(rehearsed.avionics(), system), WIDTHS[width], width)
    check(drawn, WIDTHS[width].width)
    assert len(parts(drawn)) == 16
    words = " ".join(t.text or "" for t in ET.fromstring(drawn).iter(f"{NAMESPACE}text"))
    for name in ("main cell", "bay plug", "nose bay", "tail baro", "canopy servo", "beeper",
                 "payload let go", "canopy opens", "4 vents", "1 vent", "3.9\u00a0V"):  # fmt: skip
        assert name in words


def test_a_shared_supply_says_what_it_takes_along() -> None:
    nodes = {node.name: node for node in picture_of(rehearsed.avionics()).nodes}
    # The actuator has a cell of its own, but nobody left to tell it.
    assert nodes["main cell"].says == (
        "feeds 3 things: losing it loses main, canopy, latch, canopy servo and beeper; "
        "no canopy opens without it"
    )
    assert nodes["main cell"].warns
    assert nodes["tail cell"].says == ""
    assert nodes["nose plug"].says == ""


def test_a_shared_bay_says_whom_it_misleads() -> None:
    bays = {bay.name: bay for bay in picture_of(rehearsed.avionics()).bays}
    assert bays["nose bay"].says == "shared: blocked vents mislead main and canopy"
    assert bays["tail bay"].says == ""


def test_a_second_way_down_takes_the_warning_away() -> None:
    avionics = rehearsed.avionics()
    second = Controller(name="spare", program="p.toml", battery="third cell", senses="tail baro")
    lid = Actuator(name="lid", controller="spare", output="out", battery="third cell",
                   works="canopy")  # fmt: skip
    safer = replace(
        avionics,
        battery=(*avionics.battery, Battery(name="third cell", voltage=Quantity(3.9))),
        controller=(*avionics.controller, second),
        actuator=(*avionics.actuator, lid),
    )
    nodes = {node.name: node for node in picture_of(safer).nodes}
    assert not nodes["main cell"].warns
    assert "no canopy opens" not in nodes["main cell"].says
    assert nodes["third cell"].says == "feeds 2 things: losing it loses spare and lid"


def test_the_currents_of_two_batteries_stay_apart_in_one_connector() -> None:
    avionics = replace(
        rehearsed.avionics(),
        actuator=(
            Actuator(name="latch", controller="main", output="out", battery="tail cell",
                     through="bay plug", works="payload"),
        ),
    )  # fmt: skip
    picture = picture_of(avionics)
    fed = [net.sinks for net in picture.nets if net.source == "bay plug"]
    assert fed == [("main", "nose plug"), ("latch",)]


def test_connectors_in_two_orders_fall_back_to_one_column() -> None:
    avionics = replace(
        rehearsed.avionics(),
        actuator=(
            Actuator(name="latch", controller="main", output="out", battery="main cell",
                     through="nose plug, bay plug", works="payload"),
        ),
    )  # fmt: skip
    drawn = draw_wiring(picture_of(avionics), WIDTHS["wide"], "wide")
    assert len({box.left for box in parts(drawn)}) <= 2
    check(drawn, 1120)


def test_what_a_line_means_is_not_told_by_colour_alone() -> None:
    drawn = draw_wiring(picture_of(rehearsed.avionics()), WIDTHS["wide"])
    styles = set(re.findall(r'stroke="(var[^"]+)" stroke-width="([^"]+)"[^/]*?(dasharray)?', drawn))
    assert {("var(--ink)", "2.2"), ("var(--quiet)", "1.3")} <= {style[:2] for style in styles}


def test_the_drawing_is_told_to_those_who_do_not_see_it() -> None:
    root = ET.fromstring(draw_wiring(picture_of(rehearsed.avionics()), WIDTHS["wide"]))
    told = root.find(f"{NAMESPACE}desc").text
    assert "main cell feeds bay plug." in told
    assert "baro is read by main." in told
    assert "latch works payload let go." in told
    assert "no canopy opens without it" in told


def test_a_name_out_of_a_file_is_no_markup() -> None:
    odd = replace(rehearsed.avionics(), name='<b>&"')
    assert "<b>" not in draw_wiring(picture_of(odd), WIDTHS["narrow"])


def test_one_column_is_no_wider_than_asked_for() -> None:
    body, height = draw_column(picture_of(rehearsed.avionics()), 340)
    assert height > 500
    assert "nan" not in body
