"""Examples beside fields, in the units of the person."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.fields import Declared, rules
from loftwright.documents.reading import MODELS
from loftwright.units import parse_quantity
from loftwright.web.describe.examples import example_of, named_units


def every_field(model: type) -> list[Declared]:
    own = list(rules(model).values())
    below = [each.rule.model for each in own if each.rule.model is not None]
    return [*own, *(each for one in below for each in every_field(one))]


QUANTITIES = [
    (each.rule.example, each.rule.dimension)
    for model in MODELS.values()
    for each in every_field(model)
    if each.rule.dimension and each.rule.example and not each.rule.example.startswith("[")
]


# 1 in = 25.4 mm, 1 lbf = 4.448 222 N, degF = 1.8 degC + 32 (NIST SP 811, B.8).
@pytest.mark.parametrize(
    ("example", "dimension", "said"),
    [
        ("108 mm", "length", "4.25 in"),
        ("0.38 m ± 5 mm", "length", "14.96 in ± 0.20 in"),
        ("12 m ± 2 m", "length", "39.4 ft ± 6.6 ft"),
        ("35 ft", "length", "35 ft"),
        ("60 psi ± 2 psi", "gauge_pressure", "60 psi ± 2 psi"),
        ("15 degC", "temperature", "59.0 degF"),
        ("30 N ± 3 N", "force", "6.74 lbf ± 0.67 lbf"),
        ("6 mph ± 2 mph", "speed", "6 mph ± 2 mph"),
        ("0 mm", "length", "0 mm"),
        ("1.25 ± 0.05", "number", "1.25 ± 0.05"),
    ],
)
def test_an_example_is_in_the_units_of_the_person(example: str, dimension: str, said: str) -> None:
    assert example_of(example, dimension, "us") == said
    assert example_of(example, dimension, "metric") == example


@given(st.sampled_from(QUANTITIES))
def test_every_example_still_reads_and_says_the_same(quantity: tuple[str, str]) -> None:
    example, dimension = quantity
    before = parse_quantity(example, dimension)
    after = parse_quantity(example_of(example, dimension, "us"), dimension)
    assert after.value == pytest.approx(before.value, rel=6e-3, abs=1e-12)
    assert after.sd == pytest.approx(before.sd, rel=6e-2, abs=1e-12)


def test_the_persons_units_are_named_first() -> None:
    assert named_units("length", "us").startswith("in, ft, m")
    assert named_units("length", "metric").startswith("m, cm, mm")
    assert named_units(None, "us") == ""
    for dimension in {each for _, each in QUANTITIES}:
        for unit in filter(None, named_units(dimension, "us").split(", ")):
            parse_quantity(f"1 {unit}", dimension)
