"""A chance and its interval."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.chance import Chance, chance_of, wilson


@given(st.integers(0, 500), st.integers(1, 500))
def test_the_interval_holds_the_share_and_stays_within_none_and_all(count, flights):
    count = min(count, flights)
    low, high = wilson(count, flights)
    assert 0.0 <= low <= count / flights <= high <= 1.0
    # What did not happen is as sure as what did.
    other = wilson(flights - count, flights)
    assert (1.0 - other[1], 1.0 - other[0]) == pytest.approx((low, high), abs=1e-12)


@given(st.integers(0, 40), st.integers(1, 40), st.integers(2, 50))
def test_more_flights_with_the_same_share_are_surer(count, flights, times):
    count = min(count, flights)
    low, high = wilson(count, flights)
    surer = wilson(count * times, flights * times)
    assert low - 1e-12 <= surer[0]
    assert surer[1] <= high + 1e-12


@pytest.mark.parametrize("share", [0.01, 0.05, 0.4])
def test_it_covers_the_truth_about_as_often_as_it_says(share):
    counts = np.random.default_rng(8).binomial(400, share, 4000)
    covered = [low <= share <= high for low, high in (wilson(int(c), 400) for c in counts)]
    assert 0.925 < np.mean(covered) < 0.975


def test_no_flights_say_nothing():
    assert wilson(0, 0) == (0.0, 1.0)
    nothing = chance_of(np.zeros(0, dtype=bool))
    assert (nothing.count, nothing.flights) == (0, 0)
    assert np.isnan(nothing.share)


def test_it_counts():
    assert chance_of(np.array([True, False, False, True])) == Chance(2, 4, *wilson(2, 4))
