"""What check says of described gliders."""

from __future__ import annotations

from dataclasses import replace
from math import radians
from typing import Any

import pytest
from flight.campaigns import example
from flight.gliders import foam

from loftwright.flight.concerns_glider import RULES
from loftwright.flight.facts import Facts, facts


def with_glider(root: str = "payload", **changed: Any) -> Facts:
    """Facts of the demo with a described glider in the place of its own."""
    plain = facts(example("sedge-lift"))
    values = {path: each for path, each in plain.values.items() if not path.startswith("payload.")}
    glider = {path.replace("payload", root, 1): value for path, value in foam(**changed).items()}
    words = {**plain.words, f"{root}.kind": "glider"}
    return replace(plain, values=values | glider, words=words)


def codes(given: Facts) -> list[str]:
    return [found.code for rule in RULES for found in rule(given)]


def test_nothing_is_said_of_a_glider_that_trims() -> None:
    assert codes(with_glider()) == []
    assert codes(with_glider(release__climb=15.0)) == []


@pytest.mark.parametrize("root", ["payload", "payload2", "payload3"])
def test_a_glider_that_never_trims_is_told_where_to_begin(root: str) -> None:
    given = with_glider(root, balance__from_nose=0.25)
    found = next(found for rule in RULES for found in rule(given))
    assert found.code == "check-glider-no-trim"
    assert found.path == (root, "balance", "from_nose")
    assert "further forward" in found.mend
    assert found.severity == "warning"


def test_a_diving_glider_is_told_to_move_its_balance_aft() -> None:
    given = with_glider(wing__incidence=radians(-6.0), balance__from_nose=0.06)
    found = next(found for rule in RULES for found in rule(given))
    assert "further aft" in found.mend


def test_a_fast_release_is_told_with_its_load_factor() -> None:
    assert codes(with_glider(release__climb=30.0)) == ["check-release-fast"]


def test_a_point_glider_is_left_to_its_own_rule() -> None:
    assert codes(facts(example("sedge-lift"))) == []
