"""Exact intervals and sizes of a test: their laws, and a library's own code beside them."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, binom, binomtest, chi2

from loftwright.flight.chance import Chance, wilson
from loftwright.rehearsal.chances import (
    LEVEL,
    chance_of,
    clopper_pearson,
    jeffreys,
    lower_bound,
    mtbf_limits,
    mtbf_lower,
    paired_shift,
    shift_of,
    success_run,
    upper_bound,
)

LEVELS = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])


@st.composite
def counted(draw, most: int = 400) -> tuple[int, int]:
    flights = draw(st.integers(1, most))
    return draw(st.integers(0, flights)), flights


@given(counted(), LEVELS)
def test_the_exact_interval_is_that_of_a_library(pair, level):
    theirs = binomtest(*pair).proportion_ci(level, method="exact")
    assert clopper_pearson(*pair, level) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@given(counted(), LEVELS)
def test_the_score_interval_is_that_of_a_library(pair, level):
    theirs = binomtest(*pair).proportion_ci(level, method="wilson")
    assert wilson(*pair, level) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@given(counted(), LEVELS)
def test_one_sided_bounds_are_those_of_a_library(pair, level):
    above = binomtest(*pair, alternative="greater").proportion_ci(level, method="exact")
    below = binomtest(*pair, alternative="less").proportion_ci(level, method="exact")
    assert lower_bound(*pair, level) == pytest.approx(above.low, abs=1e-9)
    assert upper_bound(*pair, level) == pytest.approx(below.high, abs=1e-9)


@given(counted(), LEVELS)
def test_jeffreys_is_a_quantile_of_the_beta_distribution(pair, level):
    count, flights = pair
    low, high = beta.interval(level, count + 0.5, flights - count + 0.5)
    expected = (0.0 if count == 0 else low, 1.0 if count == flights else high)
    assert jeffreys(count, flights, level) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("law", [clopper_pearson, jeffreys])
@given(pair=counted(), level=LEVELS)
def test_what_did_not_happen_is_as_sure_as_what_did(law, pair, level):
    count, flights = pair
    low, high = law(count, flights, level)
    assert 0.0 <= low <= count / flights <= high <= 1.0
    other = law(flights - count, flights, level)
    assert (1.0 - other[1], 1.0 - other[0]) == pytest.approx((low, high), abs=1e-9)


@given(st.integers(1, 60), st.floats(0.001, 0.999), LEVELS)
def test_the_exact_interval_holds_the_truth_at_least_as_often_as_it_says(flights, truth, level):
    counts = np.arange(flights + 1)
    ends = np.array([clopper_pearson(int(count), flights, level) for count in counts])
    held = (ends[:, 0] <= truth) & (truth <= ends[:, 1])
    assert binom.pmf(counts, flights, truth)[held].sum() >= level - 1e-9


def test_no_flights_say_nothing():
    assert clopper_pearson(0, 0) == jeffreys(0, 0) == (0.0, 1.0)
    nothing = chance_of(np.zeros(0, dtype=bool))
    assert (nothing.count, nothing.flights, nothing.low, nothing.high) == (0, 0, 0.0, 1.0)


def test_it_counts():
    happened = np.array([True, False, False, True])
    assert chance_of(happened) == Chance(2, 4, *clopper_pearson(2, 4))


@given(
    st.floats(0.3, 0.995),
    st.floats(0.05, 0.99),
    st.integers(0, 6),
)
def test_no_shorter_test_shows_it(reliability, level, failures):
    flights = success_run(reliability, level, failures)
    passed = binom.cdf(failures, [flights - 1, flights], 1.0 - reliability)
    assert passed[1] <= (1.0 - level) * (1.0 + 1e-9)
    # Of a test with no more flights than may fail, everything passes.
    assert flights == failures + 1 or passed[0] > (1.0 - level) * (1.0 - 1e-9)


@given(st.floats(0.5, 0.99), st.floats(0.5, 0.99), st.integers(0, 4))
def test_a_test_that_is_passed_shows_what_it_is_for(reliability, level, failures):
    flights = success_run(reliability, level, failures)
    assert lower_bound(flights - failures, flights, level) >= reliability - 1e-9


def test_a_tie_asks_for_no_flight_more():
    assert success_run(0.5, 0.5) == 1
    assert success_run(0.9, 1.0 - 0.9**2) == 2


@given(st.floats(0.1, 1e6), st.integers(0, 50), LEVELS)
def test_time_between_failures_is_a_quantile_of_chi_squared(time, failures, level):
    assert mtbf_lower(time, failures, level) == pytest.approx(
        2.0 * time / chi2.ppf(level, 2 * failures + 2)
    )
    low, high = mtbf_limits(time, failures, level)
    assert low == mtbf_lower(time, failures, (1.0 + level) / 2.0)
    if failures == 0:
        assert high == inf
    else:
        assert high == pytest.approx(2.0 * time / chi2.ppf((1.0 - level) / 2.0, 2 * failures))
        assert low < time / failures < high or level < 0.6


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: clopper_pearson(3, 2),
        lambda: clopper_pearson(-1, 2),
        lambda: jeffreys(1, 2, 1.0),
        lambda: lower_bound(1, 2, 0.0),
        lambda: success_run(1.0),
        lambda: success_run(0.9, 0.9, -1),
        lambda: mtbf_lower(0.0, 1),
        lambda: mtbf_limits(1.0, -1),
        lambda: paired_shift(np.ones(3, dtype=bool), np.ones(4, dtype=bool)),
        lambda: paired_shift(np.ones(0, dtype=bool), np.ones(0, dtype=bool)),
    ],
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match=r"\w"):
        wrong()


# ---------------------------------------------------------------- pairs


@given(st.lists(st.tuples(st.booleans(), st.booleans()), min_size=1, max_size=80))
def test_a_shift_is_that_of_both_chances(rows):
    before, after = (np.array(column) for column in zip(*rows, strict=True))
    shift = shift_of(before, after)
    assert shift.difference == pytest.approx(shift.after.share - shift.before.share)
    assert -1.0 <= shift.low <= shift.difference <= shift.high <= 1.0
    back = paired_shift(after, before)
    assert back == pytest.approx((-shift.difference, -shift.high, -shift.low))


def test_few_pairs_say_nothing():
    assert paired_shift(np.array([True]), np.array([False])) == (-1.0, -1.0, 1.0)


@pytest.mark.parametrize(("gained", "lost"), [(0.0, 0.0), (0.01, 0.05), (0.0, 0.3), (0.2, 0.2)])
def test_the_change_lies_within_about_as_often_as_it_says(gained, lost):
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(600):
        draw = rng.random(300)
        before = draw < 0.4
        after = np.where(draw < lost, False, before) | ((draw >= 0.6) & (draw < 0.6 + gained))
        _, low, high = paired_shift(before, after)
        held += low <= gained - lost <= high
    assert held / 600 >= LEVEL - 0.03


def test_the_same_draws_tell_more_than_two_chances_do():
    before = np.arange(400) < 100
    after = np.arange(400) < 80
    shift = shift_of(before, after)
    assert shift.high < 0.0
    assert shift.before.low < shift.after.high  # of which the two intervals alone say nothing
