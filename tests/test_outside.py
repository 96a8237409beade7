"""Every value that the outside world gives, beside ours; and the page that shows them."""

from __future__ import annotations

import pytest
from outside import (
    COMPUTED,
    FACTORS,
    PAGE,
    OutsideCheck,
    absolute,
    load_checks,
    overall_level,
    read_levels,
    relative,
    render,
    same_page,
)

CHECKS = load_checks()


PER_MILLE = relative(1e-3)


def check_of(expected: float, tolerance=PER_MILLE) -> OutsideCheck:
    return OutsideCheck(
        model="m",
        quantity="q",
        source="s",
        inputs="i",
        expected=expected,
        ours=lambda: expected,
        tolerance=tolerance,
        standing=COMPUTED,
    )


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.model}: {check.quantity}")
def test_outside_value(check):
    ours = check.ours()
    assert check.passes(ours), (
        f"{check.quantity} ({check.inputs}): ours {ours!r}, expected {check.expected!r} "
        f"± {check.tolerance.allowed(check.expected):g} by {check.source}"
    )


def test_every_check_is_told_apart():
    names = [(check.model, check.quantity, check.inputs) for check in CHECKS]
    assert len(set(names)) == len(names)


def test_every_model_with_checks_has_levels_and_the_other_way_round():
    assert {check.model for check in CHECKS} == set(read_levels())


def test_every_factor_is_justified():
    for factors in read_levels().values():
        assert list(factors) == list(FACTORS)
        assert all(why.endswith(".") for _, why in factors.values())


def test_page_is_fresh():
    assert same_page(PAGE.read_text(encoding="utf-8"), render(CHECKS)), (
        "docs/credibility.md is stale: run python tests/outside.py"
    )


def test_roll_up_is_the_least_level():
    # The 2008 scale takes the minimum over the factors (from memory of NASA-STD-7009).
    assert overall_level([3, 2, 3, 1, 2, 4, 3, 3]) == 1


def test_pages_that_differ_in_the_last_digit_are_the_same():
    assert same_page("| ours 1.2345678 |", "| ours 1.2345679 |")
    assert same_page("| +2.3e-07 |", "| +2.4e-07 |")
    assert same_page("| 291.4 |", "| 291.4001 |")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("| ours 1.2345678 |", "| ours 1.2346678 |"),
        ("| +2.3e-07 |", "| +4.6e-07 |"),
        ("| 291.4 |", "| 291.5001 |"),
        ("| level 1 |", "| level 2 |"),
        ("| a 1 |", "| b 1 |"),
        ("| a 1 |", "| a 1 |\n| a 2 |"),
    ],
)
def test_pages_that_differ_are_told_apart(one, other):
    assert not same_page(one, other)


def test_a_check_fails_beyond_its_tolerance_and_on_nan():
    check = check_of(100.0)
    assert check.passes(100.09)
    assert not check.passes(100.11)
    assert not check.passes(float("nan"))
    assert not check_of(0.0, absolute(1e-6)).passes(2e-6)


def test_an_unknown_standing_is_refused():
    with pytest.raises(ValueError, match="standing"):
        OutsideCheck(
            model="m",
            quantity="q",
            source="s",
            inputs="i",
            expected=1.0,
            ours=lambda: 1.0,
            tolerance=relative(1e-3),
            standing="hearsay",
        )
