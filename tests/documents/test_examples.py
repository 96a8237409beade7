"""Examples of fields, and campaigns begun with them, in the units of the person."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import read_campaign
from loftwright.documents.adding import add_document
from loftwright.documents.campaign import Campaign
from loftwright.documents.examples import example_in, units_written
from loftwright.documents.fields import Declared, FieldRule, rules
from loftwright.documents.flatten import leaves
from loftwright.documents.named import head_units
from loftwright.documents.reading import MODELS, findings
from loftwright.documents.template import (
    is_mostly_example,
    new_campaign,
    starter,
    starters_of_electronics,
)
from loftwright.errors import ProblemError
from loftwright.program.phrases import Compare, comparisons, parse
from loftwright.rehearsal.checking import check_campaign
from loftwright.units import Quantity, parse_quantity, read_quantity

CLOSE = 0.01  # share of a value by which the two sets may differ, of those that are derived
BY_HAND = 0.02  # and of those in electronics and programs, which are chosen
OF_SPREAD, OFF_SPREAD = 0.25, 0.1


def every_field(model: type) -> list[Declared]:
    own = list(rules(model).values())
    below = [each.rule.model for each in own if each.rule.model is not None]
    return [*own, *(each for one in below for each in every_field(one))]


QUANTITIES = [
    each.rule for model in MODELS.values() for each in every_field(model) if each.rule.dimension
]


def quantity_rule(example: str, dimension: str) -> FieldRule:
    return FieldRule("quantity", "", dimension=dimension, example=example)


# 1 in = 25.4 mm, 1 lbf = 4.448 222 N, degF = 1.8 degC + 32 (NIST SP 811, B.8).
@pytest.mark.parametrize(
    ("example", "dimension", "said"),
    [
        ("108 mm", "length", "4.25 in"),
        ("0.38 m ± 5 mm", "length", "15 in ± 0.2 in"),
        ("12 m ± 2 m", "length", "40 ft ± 7 ft"),
        ("-0.60 m", "length", "-23.6 in"),
        ("35 ft", "length", "35 ft"),
        ("60 psi ± 2 psi", "gauge_pressure", "60 psi ± 2 psi"),
        ("15 degC", "temperature", "59 degF"),
        ("30 N ± 3 N", "force", "6.7 lbf ± 0.7 lbf"),
        ("6 mph ± 2 mph", "speed", "6 mph ± 2 mph"),
        ("0 mm", "length", "0 in"),
        ("2.0 L ± 0.01 L", "volume", "2.0 L ± 0.01 L"),  # bottles are sold so
        ("1.25 ± 0.05", "number", "1.25 ± 0.05"),
    ],
)
def test_an_example_is_in_the_units_of_the_person(example: str, dimension: str, said: str) -> None:
    assert example_in(quantity_rule(example, dimension), "us") == said
    assert example_in(quantity_rule(example, dimension), "metric") == example


@given(st.sampled_from(QUANTITIES))
def test_every_example_still_reads_and_says_the_same(rule: FieldRule) -> None:
    assert rule.dimension is not None
    before = parse_quantity(rule.example, rule.dimension)
    after = parse_quantity(example_in(rule, "us"), rule.dimension)
    assert_alike(before, after, CLOSE)


@given(st.floats(1e-6, 1e6), st.sampled_from([0.0, 0.003, 0.05, 0.4]), st.sampled_from(["m", "mm"]))
def test_any_example_keeps_within_what_is_promised(value: float, share: float, unit: str) -> None:
    spread = f" ± {value * share:.9g} {unit}" if share else ""
    rule = quantity_rule(f"{value:.9g} {unit}{spread}", "length")
    before = parse_quantity(rule.example, "length")
    assert_alike(before, parse_quantity(example_in(rule, "us"), "length"), CLOSE)


def assert_alike(before: Quantity, after: Quantity, close: float) -> None:
    # A temperature's share is of the number that is read, which 460 degF below lies under it.
    off = OF_SPREAD * before.sd if before.sd else close * abs(before.value)
    assert abs(after.value - before.value) <= off * (1.0 + 1e-9)
    assert after.sd == pytest.approx(before.sd, rel=OFF_SPREAD + 1e-9)


# ---------------------------------------------------------------- whole campaigns


def begun(folder: Path, units: str, **asked: Any) -> Campaign:
    new_campaign(folder, "Lifts", units=units, **asked)
    return read_campaign(folder)


def told(campaign: Campaign) -> dict[str, Any]:
    documents = campaign.documents | {f"program.{k}": v for k, v in campaign.programs.items()}
    return {
        path: value
        for root, document in documents.items()
        for path, _, value in leaves(document, root)
    }


@pytest.mark.parametrize(
    "asked", [{"electronics": True}, {"payload": False}, {}], ids=["all", "bare", "carried"]
)
def test_a_campaign_in_us_units_describes_the_same_vehicle(
    asked: dict[str, bool], tmp_path: Path
) -> None:
    metric, us = (begun(tmp_path / units, units, **asked) for units in ("metric", "us"))
    assert (us.head.units, us.warnings) == ("us", ())
    before, after = told(metric), told(us)
    assert before.keys() == after.keys()
    for path, value in before.items():
        if isinstance(value, Quantity):
            by_hand = path.startswith(("avionics", "program"))
            assert_alike(value, after[path], BY_HAND if by_hand else CLOSE)
        elif path.startswith("program") and path.endswith(".when"):
            assert_phrases_alike(value, after[path])
        else:
            assert after[path] == value, path


def assert_phrases_alike(before: str, after: str) -> None:
    pairs = zip(comparisons(parse(before)), comparisons(parse(after)), strict=True)
    for (one, refused), (other, also) in pairs:
        assert isinstance(one, Compare)
        assert isinstance(other, Compare)
        assert (one.seen, one.op, refused) == (other.seen, other.op, also)
        assert other.value == pytest.approx(one.value, rel=BY_HAND)


def test_both_campaigns_are_checked_alike(tmp_path: Path) -> None:
    found = [check(tmp_path / units, units) for units in ("metric", "us")]
    assert found[0] == found[1]
    assert found[0]  # a full bottle stands low, and the sensor reads no further


def check(folder: Path, units: str) -> list[tuple[str, str, str | None, int | None]]:
    begun(folder, units, electronics=True)
    return [
        (each.code, each.severity, each.where.field, each.where.line)
        for each in check_campaign(folder).problems
    ]


METRIC = re.compile(r"\d (?:mm|cm|km|m|m/s|m/s\^2|N|bar|degC|J|cm\^2|kg m\^2|g cm\^2)(?![\w/^])")


@pytest.mark.parametrize("document", [*MODELS, "campaign", "electronics"])
def test_no_example_is_in_units_that_the_person_would_not_write(document: str) -> None:
    def texts(system: str) -> str:
        if document == "electronics":
            return "".join(starters_of_electronics(system).values())
        return starter(document, "x", system=system)

    assert METRIC.search(texts("us")) is None
    changes = {"vehicle", "payload", "boosters", "upper", "avionics", "site", "program", "flight"}
    assert bool(METRIC.search(texts("metric"))) == (document in changes | {"electronics"})


@given(st.sampled_from(QUANTITIES))
def test_every_example_is_in_a_unit_that_the_person_writes(rule: FieldRule) -> None:
    assert rule.dimension is not None
    own = units_written(rule.dimension, "us")
    said = example_in(rule, "us")
    assert not own or read_quantity(said, rule.dimension)[1] in own


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_document_begun_in_either_units_is_known_as_examples(units: str) -> None:
    text = starter("vehicle", "x", system=units)
    assert is_mostly_example(text.encode(), MODELS["vehicle"])


def test_a_document_that_is_added_is_in_the_units_of_the_campaign(tmp_path: Path) -> None:
    begun(tmp_path, "us", payload=False)
    for root in ("payload", "avionics"):
        add_document(tmp_path, root)
    assert 'climb = "50 ft/s"' in (tmp_path / "payload.toml").read_text()
    assert "height > 40 ft" in (tmp_path / "program-board.toml").read_text()
    assert 'vent_diameter = "0.08 in"' in (tmp_path / "avionics.toml").read_text()


def test_comments_of_electronics_keep_their_column() -> None:
    for name, text in starters_of_electronics().items():
        us = starters_of_electronics("us")[name]
        for before, after in zip(text.splitlines(), us.splitlines(), strict=True):
            if before != after and "  # " in before:
                assert before.index("  # ") - after.index("  # ") in (-1, 0, 1), after
                assert before.index("# ") == after.index("# "), after


def test_the_head_tells_the_units_while_the_rest_of_it_does_not_read(tmp_path: Path) -> None:
    assert head_units(tmp_path) == "metric"
    (tmp_path / "campaign.toml").write_text('units = "us"\n')
    assert head_units(tmp_path) == "us"
    (tmp_path / "campaign.toml").write_text('units = "furlongs"\n')
    assert head_units(tmp_path) == "metric"


# ---------------------------------------------------------------- what is found in them

BROKEN = {
    "vehicle": (
        ('wall = "', 'wall = "4'),
        ('throat_diameter = "0.846 in"', 'throat_diameter = "9 in"'),
        ('count = 4\n', ''),
        ('tip_chord = "2.36 in"', "tip_chord = 60"),
    ),
    "payload": (('wing_area = "62 in^2"', "# none"), ('thickness = "0.79 in"', "# none")),
    "site": (('at_height = "6.6 ft"', "# none"),),
}  # fmt: skip
SHAPES = """
[[shape]]
name = "Wood"
kind = "trees"
corners = ["40 m; -20 m", "40 ft, 60 ft", "-30 ft, 60 ft"]

[[shape]]
name = "Bow"
kind = "trees"
corners = ["0 ft, 0 ft", "90 ft, 90 ft", "90 ft, 0 ft", "0 ft, 80 ft"]
"""


@pytest.mark.parametrize("units", ["metric", "us"])
def test_what_is_found_is_said_in_the_units_of_the_campaign(units: str, tmp_path: Path) -> None:
    new_campaign(tmp_path, "Lifts", units="us", electronics=True)
    for name, edits in BROKEN.items():
        path = tmp_path / f"{name}.toml"
        text = path.read_text()
        for before, after in edits:
            text = text.replace(before, after, 1)
        path.write_text(text + (SHAPES if name == "site" else ""))
    head = tmp_path / "campaign.toml"
    head.write_text(head.read_text().replace('units = "us"', f'units = "{units}"'))
    with pytest.raises(ProblemError) as caught:
        read_campaign(tmp_path)
    said = "\n".join(f"{each.code}: {each.message}; {each.mend}" for each in caught.value.problems)
    metric = METRIC.findall(said)
    assert bool(metric) == (units == "metric"), said
    assert len(caught.value.problems) >= 8, said
    for code in ("doc-missing-field", "quantity-not-text", "site-corner", "site-no-height"):
        assert code in said


def test_rules_that_are_asked_of_a_campaign_speak_its_units(tmp_path: Path) -> None:
    campaign = begun(tmp_path, "us", payload=False)
    fins = replace(campaign.vehicle.fins[0], from_nose=Quantity(3.0))
    broken = replace(campaign, vehicle=replace(campaign.vehicle, fins=(fins,)))
    (found,) = [each for _, each in findings(broken) if each.code == "vehicle-fins-outside"]
    assert found.message == "the root ends at 10.2 ft, behind the tail end of the body, 2.79 ft"
