"""Two ensembles with the same draws, flight by flight."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, quantile_test

from loftwright.study.pairs import LEVEL, paired_amount, paired_chance


def test_the_interval_of_a_median_is_that_of_the_sign_test():
    # SciPy's exact test of a quantile has the same interval; ours may be a place wider.
    change = np.sort(np.random.default_rng(3).exponential(size=400))
    ours = paired_amount(np.zeros(400), change)
    exact = quantile_test(change, q=0.0, p=0.5).confidence_interval(LEVEL)
    places = np.searchsorted(change, [ours.low, exact.low, exact.high, ours.high])
    assert np.all(np.diff(places) >= 0)
    assert places[1] - places[0] <= 1
    assert places[3] - places[2] <= 1


@pytest.mark.parametrize("count", [6, 20, 101, 400])
def test_the_interval_of_a_median_covers_it_as_often_as_it_says(count):
    change = np.arange(1.0, count + 1.0)
    pair = paired_amount(np.zeros(count), change)
    rank = int(pair.low)
    # Between the ordered values r and n + 1 - r lies the median with 1 - 2 P(B < r).
    assert 1.0 - 2.0 * binom.cdf(rank - 1, count, 0.5) >= LEVEL


def test_what_both_share_falls_out():
    rng = np.random.default_rng(5)
    luck = rng.normal(100.0, 20.0, 400)
    pair = paired_amount(luck, luck + rng.normal(-2.0, 0.5, 400))
    assert pair.told_apart
    assert -2.2 < pair.low < pair.difference < pair.high < -1.8
    shuffled = paired_amount(luck, rng.permutation(luck) - 2.0)
    assert not shuffled.told_apart


def test_matched_shares_by_hand():
    # n 30, 6 gained, 1 lost: difference (6 - 1) / 32, error sqrt(6.5 + 1.5 - 25 / 32) / 32.
    one = np.array([True] + [False] * 29)
    other = np.array([False] + [True] * 6 + [False] * 23)
    pair = paired_chance(one, other)
    middle, half = 5.0 / 32.0, 1.959964 * (8.0 - 25.0 / 32.0) ** 0.5 / 32.0
    assert pair.difference == pytest.approx(5.0 / 30.0)
    assert (pair.low, pair.high) == pytest.approx((middle - half, middle + half), rel=1e-6)


@given(st.lists(st.tuples(st.booleans(), st.booleans()), min_size=6, max_size=60))
def test_turned_round_a_comparison_changes_its_sign(rows):
    one, other = (np.array(column) for column in zip(*rows, strict=True))
    there, back = paired_chance(one, other), paired_chance(other, one)
    assert there.low == pytest.approx(-back.high)
    assert there.difference == pytest.approx(-back.difference)
    assert there.low <= there.difference <= there.high
    assert there.same == bool((one == other).all())


@given(st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=6, max_size=60))
def test_amounts_lie_within_their_interval(rows):
    one, other = np.array(rows).T
    there, back = paired_amount(one, other), paired_amount(other, one)
    assert there.low <= there.difference <= there.high
    assert there.low == pytest.approx(-back.high)


def test_only_flights_in_which_it_happened_in_both_are_paired():
    one = np.array([1.0, np.nan, 3.0, 4.0])
    pair = paired_amount(one, np.array([2.0, 5.0, np.nan, 6.0]))
    assert (pair.pairs, pair.difference, pair.same) == (2, 1.5, False)
    assert pair.low is None  # two pairs bound no median


def test_what_only_one_side_has_makes_no_difference():
    pair = paired_amount(None, np.array([1.0, 3.0]))
    assert (pair.one, pair.other, pair.difference) == (None, 2.0, None)
    assert not pair.told_apart
    nowhere = paired_amount(np.array([np.nan]), np.array([np.nan]))
    assert nowhere.same
    assert paired_chance(np.array([True]), None).one == 1.0


@given(st.lists(st.floats(-1e6, 1e6) | st.sampled_from([np.nan, np.inf]), min_size=1, max_size=40))
def test_medians_are_numpys_over_flights_in_which_it_happened(amounts):
    column = np.array(amounts)
    known = column[np.isfinite(column)]
    pair = paired_amount(column, column + 1.0)
    if not known.size:
        assert pair.one is None
        assert pair.difference is None
        return
    assert pair.one == np.median(known)
    assert pair.other == np.median(known + 1.0)
    assert pair.difference == np.median((known + 1.0) - known)
