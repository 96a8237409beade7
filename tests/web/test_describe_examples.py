"""Examples and units beside fields, in the units of the person."""

from __future__ import annotations

import pytest

from loftwright.documents.fields import FieldRule, rules
from loftwright.documents.program import Way
from loftwright.documents.site import Shape
from loftwright.units import DIMENSIONS, parse_quantity
from loftwright.web.describe.examples import example_of, named_units


def test_an_example_is_shown_as_it_would_be_typed() -> None:
    rule = FieldRule("quantity", "", dimension="length", example="108 mm")
    assert (example_of(rule, "metric"), example_of(rule, "us")) == ("108 mm", "4.25 in")
    phrase = rules(Way)["when"].rule
    assert example_of(phrase, "metric") == "climb < 15 m/s"
    assert example_of(phrase, "us") == "climb < 50 ft/s"


def test_corners_are_typed_one_after_the_other() -> None:
    corners = rules(Shape)["corners"].rule
    assert example_of(corners, "metric").startswith("40 m, -20 m; 40 m, 60 m")
    assert example_of(corners, "us").startswith("130 ft, -66 ft; 130 ft, 197 ft")


@pytest.mark.parametrize("dimension", list(DIMENSIONS))
def test_every_unit_that_is_named_is_read(dimension: str) -> None:
    for system in ("metric", "us"):
        for unit in filter(None, named_units(dimension, system).split(", ")):
            parse_quantity(f"1 {unit}", dimension)


def test_the_persons_units_are_named_first() -> None:
    assert named_units("length", "us").startswith("in, ft, m")
    assert named_units("length", "metric").startswith("m, cm, mm")
    assert named_units(None, "us") == ""
