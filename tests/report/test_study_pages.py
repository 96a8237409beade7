"""The pages of studies: whole, self-contained, and true to what was found."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from flight.staged import staged
from hypothesis import given
from hypothesis import strategies as st
from report.test_page import read
from study.cases import PRESSURE, WATER, asked, bare_lift, lift

from loftwright.report.cautions import CAUTIONS
from loftwright.report.study_page import best_page, explore_page, point_rows, sensitivity_page
from loftwright.report.study_words import best_answer, explore_answer, limit_rows
from loftwright.study.best import NEAR_LIMIT, Best, Binding, best
from loftwright.study.evaluate import Draws
from loftwright.study.explore import explore
from loftwright.study.phrases import read_limit
from loftwright.study.sensitivity import sensitivity
from loftwright.study.spans import read_spans

LIMIT = "max_acceleration < 40 g"


def row(*vary, draws=None, limits=(LIMIT,), points=5):
    held = [read_limit(bare_lift(), each, spread=draws is not None) for each in limits]
    return explore(bare_lift(), read_spans(bare_lift(), vary), ["apogee_m"], points=points,
                   limits=held, draws=draws)  # fmt: skip


@pytest.fixture(scope="module")
def found():
    """The best point under a limit."""
    question = asked(bare_lift(), [f"{WATER}=0.5 L..1.5 L"],
                     ["apogee", "least max_acceleration"], [LIMIT])  # fmt: skip
    return best(question)


@pytest.fixture(scope="module")
def pages(found):
    """One page of every kind."""
    water, pressure = f"{WATER}=0.5 L..1.5 L", f"{PRESSURE}=60 psi..110 psi"
    return {
        "curve": explore_page(row(water, draws=Draws(4, 1))),
        "fins": explore_page(row("vehicle.fins.0.count=3..5", limits=())),
        "refused": explore_page(row(pressure)),
        "map": explore_page(row(water, pressure)),
        "flat": explore_page(row("vehicle.vessel.0.wall=0.2 mm..0.4 mm", limits=())),
        "best": best_page(found),
        "shares": sensitivity_page(sensitivity(lift(), ["apogee_m", "reach_m"], flights=8)),
    }


KINDS = ["curve", "fins", "refused", "map", "flat", "best", "shares"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_is_whole_and_fetches_nothing(pages, kind):
    reader = read(pages[kind])
    assert not reader.open
    assert [level for level, _ in reader.headings].count(1) == 1
    assert all(caution in reader.text for caution in CAUTIONS)
    fetched = [
        value for tag, attrs in reader.tags for name, value in attrs.items()
        if name in ("src", "href") and not (value or "").startswith(("data:", "#"))
    ]  # fmt: skip
    assert not fetched
    assert "nan" not in reader.text.lower().split()


@pytest.mark.parametrize("kind", KINDS)
def test_every_drawing_is_well_formed_named_and_described(pages, kind):
    drawings = re.findall(r"<svg.*?</svg>", pages[kind], re.DOTALL)
    assert len(drawings) % 3 == 0
    for drawing in drawings:
        root = ET.fromstring(drawing)
        assert root.find("{*}title").text
        assert root.find("{*}desc").text
        assert "nan" not in drawing
    names = re.findall(r'id="([^"]+)"', "".join(drawings))
    assert len(names) == len(set(names))


def test_the_limit_and_the_best_point_are_said_in_words(pages):
    text = read(pages["curve"]).text
    assert LIMIT in text
    assert "Greatest height: most" in text
    assert "the median of 4 flights" in text


def test_refused_points_are_said_in_words(pages):
    assert "over the proof pressure" in read(pages["refused"]).text


def beside(found: Best, limit: str, room: float) -> Best:
    """Return a result whose one limit has this room, as a share of it; of one at nothing, in SI."""
    held = read_limit(bare_lift(), limit, spread=False)
    value = held.bound + (-room if held.at_most else room) * held.scale
    binding = Binding(held, value, room, room < NEAR_LIMIT, None)
    return replace(found, bindings=(binding,), limits_now=(value,), ends=())


LIMITS = st.tuples(
    st.sampled_from(["max_acceleration < {} g", "apogee > {} m", "apogee > {} ft", "veer < {} m"]),
    st.floats(0.01, 1e4).map(lambda x: f"{x:.6f}"),
)


@given(LIMITS, st.floats(0.0, 3.0) | st.floats(0.0, 0.02))
def test_what_reads_as_its_limit_binds_and_no_room_reads_as_none(found, limit, room):
    result = beside(found, limit[0].format(limit[1]), room)
    (row,) = limit_rows(result, "metric")
    (at,) = limit_rows(beside(found, limit[0].format(limit[1]), 0.0), "metric")
    says_nothing_binds = "Nothing binds" in str(best_answer(result, "metric"))
    if row.value == at.value:
        assert row.binds
    assert row.binds is (row.room == "binds") is not says_nothing_binds
    assert not row.room.startswith("0")


@pytest.mark.parametrize(
    ("limit", "room", "said"),
    [
        ("apogee > 40 m", 0.005, "binds"),
        ("apogee > 40 m", 0.007, "under 1 % left"),
        ("apogee > 40 m", 0.25, "25 % left"),
        ("field_margin > 0 m", 12.0, "12.0\N{NO-BREAK SPACE}m left"),
    ],
)
def test_room_is_a_share_of_a_limit_and_of_one_at_nothing_a_length(found, limit, room, said):
    (row,) = limit_rows(beside(found, limit, room), "metric")
    assert row.room == said


def test_the_best_page_says_what_binds_and_warns_about_the_point(pages):
    reader = read(pages["best"])
    assert f'"{LIMIT}" binds' in reader.text
    assert any("Think twice about this point" in words for _, words in reader.headings)
    assert "What one aim costs the other" in reader.text


def test_the_shares_say_what_cannot_be_told_from_zero(pages):
    assert "cannot be told from zero" in read(pages["shares"]).text


def test_a_chance_is_told_as_one_and_a_place_to_one_side_has_no_best():
    spans = read_spans(staged(), ["upper.fill.water_volume=0.1 L..0.4 L"])
    shown = ("payload3_torn_off", "touchdown_vehicle_east_m")
    found = explore(staged(), spans, shown, points=3, draws=Draws(20, 1))
    assert found.best_at("touchdown_vehicle_east_m") is None
    share = found.figures["payload3_torn_off"]
    low, high = np.moveaxis(found.bands["payload3_torn_off"], -1, 0)
    assert np.all((low <= share) & (share <= high) & (high - low > 0.1))
    answer = explore_answer(found, "metric")
    assert "Payload3: torn off before its release: least" in answer.lead
    assert "over the points" in answer.sentences[0]
    assert any("95 % confidence in the count" in each for each in answer.sentences)
    heads, rows = point_rows(found, "metric")
    assert heads[0] == "upper: water filled in"
    assert heads[2] == "may be"
    assert "%" in rows[0][1]
    assert explore_page(found)


def test_an_aim_that_is_a_chance_is_worded_as_one():
    vary = ["vehicle.fill.gauge_pressure=40 psi..70 psi"]
    found = best(asked(lift(), vary, ["staying inside"], ["tree risk < 20 %"], flights=8))
    answer = best_answer(found, "metric")
    assert answer.lead.startswith("Chance that everything comes down inside the field")
    assert any("aim at field_margin" in each for each in answer.sentences)
