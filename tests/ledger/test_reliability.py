"""Reliability so far: which flights count, intervals, and how many more show what is wanted."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger import campaigns

from loftwright.errors import ProblemError
from loftwright.ledger.counting import Counted, tally
from loftwright.ledger.demonstration import (
    JEFFREYS,
    RUNS,
    Prior,
    beta_interval,
    chance_above,
    chance_to_pass,
    flights_needed,
    simulated,
)
from loftwright.ledger.functions import DEPENDS
from loftwright.ledger.ledger import open_ledger
from loftwright.ledger.reliability import Asked, reliability
from loftwright.ledger.taking_in import take_in
from loftwright.rehearsal.chances import clopper_pearson, jeffreys, success_run

levels = st.floats(0.5, 0.99)


# ---------------------------------------------------------------- laws of numbers


@given(st.integers(0, 60), st.integers(0, 60), levels)
def test_without_weights_the_interval_is_that_of_jeffreys(worked, failed, level):
    ours = beta_interval(worked, worked + failed, level)
    assert ours == pytest.approx(jeffreys(worked, worked + failed, level), abs=1e-12)


@given(st.floats(0, 40), st.floats(0, 40), levels, st.floats(0.1, 1.0))
def test_flights_that_count_less_leave_more_open(worked, failed, level, weight):
    low, high = beta_interval(worked, worked + failed, level, Prior(1, 1))
    assert 0.0 <= low <= high <= 1.0
    if worked > 1 and failed > 1:
        less = beta_interval(weight * worked, weight * (worked + failed), level, Prior(1, 1))
        assert less[1] - less[0] >= high - low - 1e-9


@given(st.floats(0, 40), st.floats(0, 40), st.floats(0.01, 0.99))
def test_the_posterior_is_that_of_its_integral(worked, failed, wanted):
    from scipy.integrate import quad

    def density(r: float) -> float:
        return r**worked * (1.0 - r) ** failed

    top = worked / (worked + failed) if worked + failed else 0.5
    above = quad(density, wanted, 1.0, points=[max(top, wanted)], limit=200)[0]
    below = quad(density, 0.0, wanted, points=[min(top, wanted)], limit=200)[0]
    ours = chance_above(wanted, worked, worked + failed, Prior(1, 1))
    assert ours == pytest.approx(above / (above + below), abs=2e-6)


@settings(max_examples=40)
@given(
    st.floats(0.5, 0.97),
    st.floats(0.5, 0.95),
    st.integers(0, 3),
    st.integers(0, 1 << 32),
)
def test_the_simulation_lies_as_near_the_formula_as_chance_allows(wanted, confidence, fails, seed):
    """The share of those fooled, by the exact law, is what was asked for, but for luck."""
    from scipy.stats import binom

    ours = simulated(wanted, confidence, fails, seed)
    slack = 5.0 * math.sqrt(confidence * (1.0 - confidence) / RUNS)
    fooled = binom.cdf(fails, ours, 1.0 - wanted)
    fooled_before = binom.cdf(fails, ours - 1, 1.0 - wanted)
    assert fooled <= 1.0 - confidence + slack
    assert fooled_before >= 1.0 - confidence - slack
    assert abs(ours - success_run(wanted, confidence, fails)) <= max(1, 0.02 * ours)


def test_the_same_seed_gives_the_same_simulation():
    assert simulated(0.9, 0.8, 1, 7) == simulated(0.9, 0.8, 1, 7)
    assert chance_to_pass(9, 1, 3, 4, 7) == chance_to_pass(9, 1, 3, 4, 7)


def test_flights_that_were_flown_count_towards_the_test():
    fresh = flights_needed(0.9, 0.8, 0, 0, 0, (0, 0), 1)
    begun = flights_needed(0.9, 0.8, 6, 0, 0, (6, 6), 1)
    failed = flights_needed(0.9, 0.8, 6, 1, 0, (5, 6), 1)
    assert fresh.total == fresh.by_formula == success_run(0.9, 0.8) == 16
    assert (begun.by_formula, begun.total) == (10, 16)
    assert failed.by_formula == success_run(0.9, 0.8, 1) - 6
    assert flights_needed(0.9, 0.8, 16, 0, 0, (16, 16), 1).by_formula == 0


@settings(max_examples=15)
@given(st.integers(0, 30), st.integers(0, 3), st.integers(0, 3))
def test_who_allows_a_failure_flies_more(good, failed, may_fail):
    flown = good + failed
    strict = flights_needed(0.9, 0.8, flown, failed, may_fail, (good, flown), 1)
    loose = flights_needed(0.9, 0.8, flown, failed, may_fail + 1, (good, flown), 1)
    assert loose.total > strict.total
    assert 0.0 <= strict.chance <= 1.0


@settings(max_examples=25)
@given(st.floats(0, 20), st.floats(0, 3), st.floats(0.5, 0.97), st.floats(0.3, 0.95))
def test_the_posterior_asks_for_no_flight_more_than_it_needs(good, bad, wanted, confidence):
    more = flights_needed(wanted, confidence, 0, 0, 0, (good, good + bad), 1).by_posterior
    assert chance_above(wanted, good + more, good + bad + more) >= confidence
    if more:
        assert chance_above(wanted, good + more - 1, good + bad + more - 1) < confidence


def test_what_nobody_flies_is_none():
    assert flights_needed(0.9, 0.8, 0, 0, 0, (0, 1e6), 1).by_posterior is None


@pytest.mark.parametrize("args", [(2, 1, 0.9), (-1, 1, 0.9), (1, 1, 1.0), (1, 1, 0.0)])
def test_counts_that_cannot_be_are_refused(args):
    with pytest.raises(ValueError, match="no more can have worked"):
        beta_interval(*args, JEFFREYS)


# ---------------------------------------------------------------- which flights count


def a_flight(outcome: str, weight: float, changes: tuple[str, ...] | None) -> Counted:
    return Counted(flight="x", title="x", outcome=outcome, says="", changes=changes, weight=weight)


def test_counts_are_shares_of_weights():
    flights = [
        a_flight("worked", 1.0, ()),
        a_flight("failed", 0.5, ("a",)),
        a_flight("worked", 0.5, None),
        a_flight("not known", 0.0, ()),
        a_flight("not tried", 0.0, ()),
    ]
    weighted, full = tally(flights), tally(flights, weighted=False)
    assert (weighted.worked, weighted.flights, weighted.failed) == (1.5, 2.0, 0.5)
    assert (full.worked, full.flights) == (2.0, 3.0)
    assert tally(flights, same_only=True).flights == 1.0


def of(found, function):
    return next(each for each in found.functions if each.function == function)


def test_a_change_of_the_hold_counts_for_the_release_alone(ledger):
    found = reliability(ledger)
    release = of(found, "release")
    assert [each.weight for each in release.flights] == [0.5, 1.0]
    assert release.flights[0].changes == ("payload.hold.strength",)
    assert (release.tally.worked, release.tally.flights) == (1.0, 1.5)
    assert (release.exact_tally.worked, release.exact_tally.flights) == (1.0, 1.0)
    canopy = of(found, "canopy")
    assert [each.changes for each in canopy.flights] == [(), ()]
    assert canopy.exact == clopper_pearson(2, 2)
    assert canopy.jeffreys == jeffreys(2, 2)


@pytest.mark.parametrize(
    ("count", "weights", "in_full"),
    [("same", [0.0, 1.0], 1.0), ("weighted", [0.5, 1.0], 1.0), ("all", [1.0, 1.0], 2.0)],
)
def test_what_counts_can_be_chosen(ledger, count, weights, in_full):
    release = of(reliability(ledger, Asked(count=count)), "release")
    assert [each.weight for each in release.flights] == weights
    assert release.exact_tally.flights == in_full


@pytest.mark.parametrize("weight", [0.0, 0.3, 1.0])
def test_the_weight_can_be_chosen(ledger, weight):
    found = of(reliability(ledger, Asked(weight=weight, functions=("release",))), "release")
    assert found.tally.flights == 1.0 + weight
    assert found.tally.worked == 1.0
    assert found.exact_tally.flights == 1


def test_what_a_function_depends_on_can_be_chosen(ledger):
    asked = Asked(depends={**DEPENDS, "release": ("avionics.*",), "canopy": ("payload.*",)})
    found = reliability(ledger, asked)
    assert [each.weight for each in of(found, "release").flights] == [1.0, 1.0]
    assert [each.weight for each in of(found, "canopy").flights] == [0.5, 1.0]


def test_a_value_known_better_is_no_other_build(ledger, flown):
    campaigns.change(flown / "payload.toml", '"22 N ± 1 N"', '"22 N ± 0.2 N"')
    campaigns.change(flown / "vehicle.toml", '"0.95 ± 0.04"', '"0.93 ± 0.01"')
    found = reliability(ledger)
    assert of(found, "release").flights[1].is_same
    assert of(found, "launch").flights[1].is_same


def test_a_flight_without_its_documents_counts_as_of_another_build(campaign):
    campaigns.add_flight(campaign, "one", outcome="success", build=False)
    with open_ledger(campaign) as ledger:
        take_in(ledger)
        launch = of(reliability(ledger), "launch")
    assert launch.flights[0].changes is None
    assert launch.flights[0].weight == 0.5
    assert launch.exact_tally.flights == 0


def test_without_flights_everything_is_open(campaign):
    with open_ledger(campaign) as ledger:
        for each in reliability(ledger).functions:
            assert each.exact == (0.0, 1.0)
            assert each.lower == 0.0
            assert each.more.by_formula == 16
            assert not each.is_shown


def test_sixteen_flights_without_a_failure_show_nine_in_ten(campaign):
    for number in range(16):
        campaigns.add_flight(campaign, f"lift-{number:02}", outcome="success")
    with open_ledger(campaign) as ledger:
        take_in(ledger)
        launch = of(reliability(ledger), "launch")
    assert launch.is_shown
    assert launch.lower == pytest.approx(0.2 ** (1 / 16))
    assert launch.lower >= 0.9


@pytest.mark.parametrize(
    "asked",
    [
        Asked(wanted=1.0),
        Asked(wanted=0.0),
        Asked(confidence=1.0),
        Asked(confidence=math.nan),
        Asked(weight=1.5),
        Asked(weight=math.nan),
        Asked(prior=(0.0, 1.0)),
        Asked(prior=(math.nan, 1.0)),
        Asked(prior=(math.inf, 1.0)),
        Asked(may_fail=-1),
        Asked(count="some"),
        Asked(functions=("boost",)),
    ],
)
def test_what_cannot_be_asked_is_refused(ledger, asked):
    with pytest.raises(ProblemError) as told:
        reliability(ledger, asked)
    assert [problem.code for problem in told.value.problems] == ["ledger-asked"]
