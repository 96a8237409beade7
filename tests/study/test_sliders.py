"""Sliders: in the unit as written, round steps, never outside the bounds of their field."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import read_campaign
from loftwright.documents.build import read_value
from loftwright.study.asked import asked_campaign
from loftwright.study.sliders import default_paths, readable, sliders
from loftwright.study.spans import variable

EXAMPLES = Path(__file__).parents[2] / "examples"
LIFT = read_campaign(EXAMPLES / "sedge-lift-mended")
KNOWN = sliders(LIFT, EXAMPLES / "sedge-lift-mended")


def test_a_slider_is_in_the_unit_that_stands_in_the_document() -> None:
    water, pressure = KNOWN["vehicle.fill.water_volume"], KNOWN["vehicle.fill.gauge_pressure"]
    assert (water.text, water.full(water.text)) == ("0.95 L", "0.95 L ± 0.02 L")
    assert (pressure.text, pressure.unit, pressure.spread) == ("75 psi", "psi", "2 psi")
    assert KNOWN["site.wind.from"].high == 360.0
    assert KNOWN["vehicle.fins.0.count"].whole


def test_the_first_sliders_are_there() -> None:
    assert 3 <= len(default_paths(LIFT)) <= 6
    assert set(default_paths(LIFT)) <= set(KNOWN)


@pytest.mark.parametrize("path", [path for path in KNOWN if KNOWN[path].stands])
def test_what_stands_is_what_is_read(path: str) -> None:
    """The text of a slider that was not moved asks for the documents as they stand."""
    slider, (rule, now) = KNOWN[path], variable(LIFT)[path]
    text = slider.full(slider.text)
    value = read_value(int(text) if slider.whole else text, rule, path)
    assert math.isclose(float(value), now or 0.0, rel_tol=1e-9, abs_tol=1e-12)
    assert slider.low <= slider.number <= slider.high


@given(st.sampled_from(sorted(KNOWN)), st.floats(0.0, 1.0))
def test_every_place_of_a_thumb_can_be_read(path: str, share: float) -> None:
    slider = KNOWN[path]
    rule, _ = variable(LIFT)[path]
    steps = round((slider.high - slider.low) / slider.step * share)
    text = slider.full(slider.written(slider.low + steps * slider.step))
    read_value(int(text) if slider.whole else text, rule, path)


def test_the_first_sliders_fly_from_end_to_end() -> None:
    for path in default_paths(LIFT):
        slider = readable(LIFT, KNOWN[path])
        assert slider.low < slider.number < slider.high
        for end in (slider.low, slider.high):
            asked_campaign(LIFT, {path: slider.written(end)})


def test_no_slider_reaches_beyond_what_the_vessel_was_tested_to() -> None:
    pressure = KNOWN["vehicle.fill.gauge_pressure"]
    slider = readable(LIFT, pressure)
    assert pressure.high > 100.0 >= slider.high > 95.0  # its vessels were tested to 100 psi
