"""The reference tells every document, table, field and unit."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from loftwright.documents.campaign import CampaignFile
from loftwright.documents.fields import FieldRule, rules
from loftwright.documents.reading import MODELS
from loftwright.documents.reference import document_reference
from loftwright.units import DIMENSIONS, parse_quantity

PAGE = document_reference()


def declared(model: type, path: str) -> Iterator[tuple[str, FieldRule, object]]:
    for word, each in rules(model).items():
        yield f"{path}.{word}", each.rule, each.default
        if each.rule.model is not None:
            yield from declared(each.rule.model, f"{path}.{word}")


EVERYTHING = [
    field for name, model in ({"campaign": CampaignFile} | MODELS).items()
    for field in declared(model, name)
]  # fmt: skip


@pytest.mark.parametrize(("path", "rule", "default"), EVERYTHING, ids=lambda each: str(each)[:40])
def test_every_field_is_told(path: str, rule: FieldRule, default: object) -> None:
    word = path.rpartition(".")[2]
    within = path.partition(".")[2]  # as a table is headed: [[stage.way]] stands in a [[stage]]
    assert rule.doc.endswith(".")
    if rule.model is None:
        assert f"| `{word}` | {rule.doc} |" in PAGE
    else:
        title = f"[[{within}]]" if rule.kind == "tables" else f"[{within}]"
        assert f"\n### `{title}`\n" in PAGE


@pytest.mark.parametrize(("path", "rule", "default"), EVERYTHING, ids=lambda each: str(each)[:40])
def test_every_example_and_default_keeps_its_own_rule(
    path: str, rule: FieldRule, default: object
) -> None:
    if rule.kind == "choice":
        assert rule.example in rule.choices
    if rule.kind != "quantity":
        return
    value = parse_quantity(rule.example, rule.dimension or "number").value
    for each in (value, getattr(default, "value", value)):
        assert rule.above is None or each > rule.above
        assert rule.at_least is None or each >= rule.at_least
        assert rule.at_most is None or each <= rule.at_most


def test_every_dimension_and_unit_is_told() -> None:
    for dimension in DIMENSIONS.values():
        assert f"| {dimension.words} |" in PAGE
    assert all(unit in PAGE for unit in ("`psig`", "`degC`", "`kg m^2`", "`ft/s`"))


def test_bounds_and_defaults_stand_in_a_person_s_units() -> None:
    assert "at least -90 deg and at most 90 deg" in PAGE
    assert "`0.950 ± 0.040`" in PAGE
