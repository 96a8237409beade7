"""Severity, likelihood and risk."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.rehearsal.risk import (
    LETTERS,
    MEANINGS,
    RISKS,
    SEVERITIES,
    Rating,
    likelihood_of,
    rate,
    reckoned_chance,
    risk_of,
    risk_rank,
)

BANDS = {1.0: "A", 0.1: "A", 0.099: "B", 0.01: "B", 0.0099: "C", 1e-3: "C", 9e-4: "D"}
BANDS |= {1e-6: "D", 9e-7: "E", 1e-30: "E", 0.0: "F"}


@pytest.mark.parametrize("chance", BANDS)
def test_letters_by_the_bands_of_the_standard(chance):
    assert likelihood_of(chance) == BANDS[chance]


def test_worse_and_likelier_is_never_less_of_a_risk():
    ranks = [[risk_rank(risk_of(word, letter)) for word in SEVERITIES] for letter in LETTERS]
    for row in ranks:
        assert row == sorted(row)
    for column in zip(*ranks, strict=True):
        assert list(column) == sorted(column)


def test_every_severity_is_explained():
    assert tuple(MEANINGS) == SEVERITIES
    assert {risk_of(word, letter) for word in SEVERITIES for letter in LETTERS} == set(RISKS)


@given(st.integers(1, 10_000), st.integers(1, 10_000))
def test_what_was_not_seen_is_less_likely_than_what_was_seen_once(flights, more):
    assert 0.0 < reckoned_chance(0, flights) < reckoned_chance(1, flights)
    assert reckoned_chance(0, flights + more) < reckoned_chance(0, flights)


def test_the_worst_risk_counts_not_the_worst_outcome():
    # One in a thousand endangers, which is serious; nine in ten lose the vehicle, as serious.
    rating = rate(1e-2, {"Catastrophic": 1, "Marginal": 900}, 1000)
    assert rating == Rating("Catastrophic", "D", "Serious")
    rating = rate(1.0, {"Critical": 1, "Marginal": 900}, 2000)
    assert rating == Rating("Marginal", "A", "Serious")


def test_of_equal_risks_the_severer_is_told():
    assert rate(1.0, {"Critical": 1, "Marginal": 3}, 2000) == Rating("Critical", "D", "Medium")


def test_worse_outcomes_count_among_the_less_bad():
    # Each alone is below one in ten; together they are not.
    assert rate(1.0, {"Marginal": 60, "Negligible": 60}, 1000).severity == "Marginal"
    assert rate(1.0, {"Critical": 8, "Marginal": 95}, 1000) == Rating("Critical", "C", "Serious")
    assert rate(1.0, {"Marginal": 1, "Negligible": 200}, 3000).likelihood == "D"
    assert rate(1.0, {"Negligible": 5}, 10) == Rating("Negligible", "A", "Medium")


def test_a_case_in_which_nothing_went_wrong_is_negligible_not_eliminated():
    assert rate(0.01, {}, 200) == Rating("Negligible", "D", "Low")
    assert rate(0.0, {"Catastrophic": 3}, 200).risk == "Eliminated"


@given(
    st.floats(0.0, 1.0),
    st.lists(st.integers(0, 50), min_size=4, max_size=4),
    st.integers(0, 3),
)
def test_a_flight_that_fares_worse_never_lowers_the_risk(happens, numbers, place):
    flights = sum(numbers) + 1
    before = rate(happens, dict(zip(SEVERITIES, numbers, strict=True)), flights)
    numbers[place] += 1
    after = rate(happens, dict(zip(SEVERITIES, numbers, strict=True)), flights)
    assert risk_rank(after.risk) <= risk_rank(before.risk)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: likelihood_of(1.5),
        lambda: likelihood_of(float("nan")),
        lambda: risk_of("Bad", "A"),
        lambda: rate(0.1, {"Bad": 1}, 10),
        lambda: rate(0.1, {"Marginal": 11}, 10),
        lambda: rate(0.1, {}, 0),
    ],
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match=r"\w"):
        wrong()
