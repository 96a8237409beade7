"""Shares of variance: of functions whose shares are known, and of the demo campaign."""

from __future__ import annotations

import numpy as np
import pytest
from flight.campaigns import with_fields
from hypothesis import given, settings
from hypothesis import strategies as st
from study.cases import bare_lift, codes, lift

from loftwright.errors import ProblemError
from loftwright.flight.forecast import forecast
from loftwright.study.sensitivity import power_of_two, sensitivity, shares_of_variance


@settings(max_examples=20)
@given(st.lists(st.floats(0.1, 3.0), min_size=2, max_size=4))
def test_a_sum_shares_its_variance_by_the_squares_of_its_weights(weights):
    """Independent normals: the variance of a sum is the sum of the variances."""
    from scipy.stats import norm

    squares = np.square(weights)
    expected = squares / squares.sum()
    (first, total), _ = shares_of_variance(
        lambda z: np.array(weights) @ z, [norm] * len(weights), 512, 3
    )
    assert first[0] == pytest.approx(expected, abs=0.06)
    assert total[0] == pytest.approx(expected, abs=0.06)


def test_an_input_without_effect_has_no_share_and_no_doubt():
    from scipy.stats import norm

    (first, total), _ = shares_of_variance(lambda z: z[0], [norm] * 2, 64, 1)
    assert total[0][1] == 0.0
    assert total[1][1].tolist() == [0.0, 0.0]
    assert first[0][1] == pytest.approx(0.0, abs=1e-12)


def test_the_same_seed_gives_the_same_intervals():
    from scipy.stats import norm

    one, other = (shares_of_variance(lambda z: z[0] + z[1] ** 2, [norm] * 2, 64, 9)[0]
                  for _ in range(2))  # fmt: skip
    assert np.array_equal(one[0][1], other[0][1])
    assert np.array_equal(one[1][1], other[1][1])


def test_the_estimates_are_those_of_the_library():
    from scipy.stats import norm, sobol_indices

    def function(z):
        return z[0] + z[1] ** 2 + z[0] * z[2]

    (first, total), _ = shares_of_variance(function, [norm] * 3, 64, 5)
    theirs = sobol_indices(func=lambda z: function(z).copy(), n=64, dists=[norm] * 3, rng=5)
    assert first[0] == pytest.approx(np.ravel(theirs.first_order), rel=1e-9, abs=1e-12)
    assert total[0] == pytest.approx(np.ravel(theirs.total_order), rel=1e-9, abs=1e-12)


def test_what_is_seldom_missing_hardly_moves_the_shares():
    from scipy.stats import norm

    def function(z):
        return np.where(z[2] < 1.9, z[0] + 2.0 * z[1], np.nan)

    (first, total), sample = shares_of_variance(function, [norm] * 3, 1024, 5)
    assert 0.0 < np.isnan(sample).mean() < 0.05
    assert first[0] == pytest.approx([0.2, 0.8, 0.0], abs=0.06)
    assert total[0] == pytest.approx([0.2, 0.8, 0.0], abs=0.06)
    assert np.all(np.isfinite(first[1]))


@given(st.integers(1, 100_000))
def test_rounding_goes_to_the_nearest_power_of_two(number):
    rounded = power_of_two(number)
    assert rounded & (rounded - 1) == 0
    assert abs(rounded - number) <= abs(2 * rounded - number)
    assert rounded == 1 or abs(rounded - number) <= abs(rounded // 2 - number)


def test_the_shares_of_the_demo_are_ordered_held_by_intervals_and_say_what_was_flown():
    found = sensitivity(lift(), ["apogee_m", "reach_m"], flights=120, seed=2)
    assert [each.figure for each in found] == ["apogee_m", "reach_m"]
    for each in found:
        totals = [index.total for index in each.indices]
        assert totals == sorted(totals, reverse=True)
        assert each.base == 128
        assert each.asked == 120
        assert each.flights == 128 * (len(each.indices) + 2)
        for index in each.indices:
            assert index.total_low <= index.total_high
            assert index.total_low >= 0.0
    apogee = found[0]
    flown = forecast(lift(), flights=128).columns["apogee_m"]
    assert apogee.mean == pytest.approx(flown.mean(), abs=3 * flown.std() / 8)
    assert apogee.happened == 1.0
    first = {index.path for index in apogee.indices[:4]}
    assert first >= {"vehicle.fill.gauge_pressure", "vehicle.nozzle.velocity_coefficient"}
    # A height hardly depends on where the wind comes from: that cannot be told from nothing.
    wind = next(index for index in apogee.indices if index.path == "site.wind.from")
    assert not wind.alone_from_zero


def test_figures_flown_together_are_those_flown_alone():
    together = sensitivity(bare_lift(), ["apogee_m", "max_speed_m_s"], flights=16)
    alone = sensitivity(bare_lift(), ["max_speed_m_s"], flights=16)
    assert together[1].indices == alone[0].indices


@pytest.mark.parametrize("figure", ["release_climb_m_s", "proof_margin"])
def test_what_has_no_spread_cannot_be_shared_out(figure):
    with pytest.raises(ProblemError) as caught:
        sensitivity(bare_lift(), [figure], flights=8)
    assert codes(caught.value) == ["study-never-happens"]


def test_where_nothing_is_uncertain_nothing_is_shared_out():
    from loftwright.documents.flatten import flatten

    sure = bare_lift()
    changes = {path: flatten(sure)[0][path] for path, sd in flatten(sure)[1].items() if sd}
    changes["site.wind.speed"] = 0.0
    changes["site.wind.gust"] = None
    with pytest.raises(ProblemError) as caught:
        sensitivity(with_fields(sure, changes), ["apogee_m"], flights=8)
    assert codes(caught.value) == ["study-nothing-uncertain"]
