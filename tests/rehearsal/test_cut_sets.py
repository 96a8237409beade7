"""Fault trees: laws that coherent trees keep, and all states of a tree counted one by one."""

from __future__ import annotations

from itertools import product
from math import inf, isnan, nan, prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.rehearsal.cut_sets import (
    Gate,
    Tree,
    all_of,
    any_of,
    at_least,
    beta_pair,
    cut_sets_of,
    dual,
    exact_chance,
    importances,
    min_cut_bound,
    minimal,
    path_sets_of,
    pfd_pair,
    pfd_single,
    rare_event_sum,
)

EVENTS = "abcdefg"


def gates(below):
    return st.lists(below, min_size=1, max_size=3).flatmap(
        lambda inputs: st.builds(Gate, st.integers(1, len(inputs)), st.just(tuple(inputs)))
    )


TREES = st.recursive(st.sampled_from(EVENTS), gates, max_leaves=8)
CHANCES = st.fixed_dictionaries(dict.fromkeys(EVENTS, st.floats(0.0, 1.0)))


def is_true(tree: Tree, states: dict[str, bool]) -> bool:
    """Evaluate a tree plainly."""
    if isinstance(tree, str):
        return states[tree]
    return sum(is_true(each, states) for each in tree.inputs) >= tree.least


def states_of(events=EVENTS):
    for values in product((False, True), repeat=len(events)):
        yield dict(zip(events, values, strict=True))


def listed_chance(tree: Tree, chances: dict[str, float]) -> float:
    """Add up the chances of all states in which the top event happens."""
    return sum(
        prod(chances[name] if on else 1.0 - chances[name] for name, on in states.items())
        for states in states_of()
        if is_true(tree, states)
    )


@given(TREES)
def test_cut_sets_say_what_the_tree_says(tree):
    sets, paths = cut_sets_of(tree), path_sets_of(tree)
    for states in states_of():
        failed = {name for name, on in states.items() if on}
        assert any(each <= failed for each in sets) == is_true(tree, states)
        assert is_true(tree, states) == all(each & failed for each in paths)


@given(TREES)
def test_no_cut_set_holds_another(tree):
    sets = cut_sets_of(tree)
    assert sets == minimal(sets)
    assert not any(one < other for one in sets for other in sets)


@given(TREES)
def test_the_dual_of_the_dual_is_the_tree(tree):
    assert dual(dual(tree)) == tree
    assert path_sets_of(dual(tree)) == cut_sets_of(tree)


@given(TREES, CHANCES)
def test_the_exact_chance_is_that_of_all_states(tree, chances):
    assert exact_chance(cut_sets_of(tree), chances) == pytest.approx(
        listed_chance(tree, chances), abs=1e-12
    )


@given(TREES, CHANCES)
def test_the_dual_has_the_rest(tree, chances):
    works = {name: 1.0 - chance for name, chance in chances.items()}
    whole = exact_chance(cut_sets_of(tree), chances) + exact_chance(path_sets_of(tree), works)
    assert whole == pytest.approx(1.0)


@given(TREES, CHANCES)
def test_exact_is_below_the_bound_and_the_bound_below_the_sum(tree, chances):
    sets = cut_sets_of(tree)
    exact, bound = exact_chance(sets, chances), min_cut_bound(sets, chances)
    assert exact <= bound + 1e-12
    assert bound <= rare_event_sum(sets, chances) + 1e-12


@given(TREES, CHANCES, st.sampled_from(EVENTS), st.floats(0.0, 1.0))
def test_a_likelier_fault_never_helps(tree, chances, event, more):
    sets = cut_sets_of(tree)
    worse = {**chances, event: max(chances[event], more)}
    assert exact_chance(sets, chances) <= exact_chance(sets, worse) + 1e-12


@given(TREES, CHANCES)
def test_importances_agree_with_each_other(tree, chances):
    sets = cut_sets_of(tree)
    top = exact_chance(sets, chances)
    for event, worth in importances(sets, chances).items():
        assert -1e-12 <= worth.birnbaum <= 1.0 + 1e-12
        # The chance is linear in that of each event.
        without = exact_chance(sets, {**chances, event: 0.0})
        assert without + chances[event] * worth.birnbaum == pytest.approx(top, abs=1e-12)
        if top > 1e-9:
            assert worth.achievement_worth >= 1.0 - 1e-9
            assert worth.reduction_worth >= 1.0 - 1e-9
            assert worth.fussell_vesely == pytest.approx(1.0 - 1.0 / worth.reduction_worth)


def test_k_of_n_by_hand():
    sets = cut_sets_of(at_least(2, "a", "b", "c"))
    assert sets == {frozenset("ab"), frozenset("ac"), frozenset("bc")}
    chances = dict.fromkeys("abc", 0.1)
    assert exact_chance(sets, chances) == pytest.approx(3 * 0.1**2 * 0.9 + 0.1**3)


def test_what_cannot_happen_has_no_worth_to_share():
    (worth,) = importances(cut_sets_of("a"), {"a": 0.0}).values()
    assert isnan(worth.fussell_vesely)
    assert worth.achievement_worth == worth.reduction_worth == inf
    assert worth.birnbaum == 1.0


def test_a_tree_that_nothing_keeps_away():
    always = frozenset({frozenset()})
    assert exact_chance(always, {}) == rare_event_sum(always, {}) == 1.0
    assert exact_chance(frozenset(), {}) == min_cut_bound(frozenset(), {}) == 0.0
    assert importances(frozenset(), {}) == {}


def test_many_sets_take_no_time():
    pairs = any_of(*(all_of(f"{k:03d} one", f"{k:03d} other") for k in range(100)))
    sets = cut_sets_of(pairs)
    chances = dict.fromkeys({name for each in sets for name in each}, 0.1)
    assert exact_chance(sets, chances) == pytest.approx(1.0 - 0.99**100)


def test_gates_that_ask_for_what_they_have_not_are_refused():
    for least in (0, 3):
        with pytest.raises(ValueError, match="inputs"):
            at_least(least, "a", "b")
    with pytest.raises(ValueError, match="inputs"):
        any_of()


# ---------------------------------------------------------------- common cause


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_pair_lies_between_independent_and_one(chance, beta):
    both = beta_pair(chance, beta)
    assert chance**2 - 1e-12 <= both <= chance + 1e-12
    assert beta_pair(chance, 0.0) == chance**2
    assert beta_pair(chance, 1.0) == chance


@given(st.floats(0.0, 0.99), st.floats(0.0, 1.0))
def test_a_pair_is_the_tree_with_the_common_cause_in_it(chance, beta):
    common = beta * chance
    alone = (chance - common) / (1.0 - common)
    sets = cut_sets_of(any_of("both", all_of("one", "other")))
    tree = exact_chance(sets, {"both": common, "one": alone, "other": alone})
    assert beta_pair(chance, beta) == pytest.approx(tree)
    single = exact_chance(cut_sets_of(any_of("both", "one")), {"both": common, "one": alone})
    assert single == pytest.approx(chance)


@given(st.floats(1e-9, 1e-5), st.floats(0.001, 1.0))
def test_a_second_channel_gains_less_than_one_over_beta(rate, beta):
    single, pair = pfd_single(rate, 1000.0), pfd_pair(rate, 1000.0, beta)
    assert single / pair <= (1.0 + 1e-12) / beta


@pytest.mark.parametrize("share", [-0.1, 1.1, nan])
def test_shares_that_are_none_are_refused(share):
    with pytest.raises(ValueError, match="within 0 and 1"):
        beta_pair(0.1, share)
    with pytest.raises(ValueError, match="within 0 and 1"):
        pfd_pair(1e-6, 100.0, share)


def test_time_does_not_run_backwards():
    with pytest.raises(ValueError, match="below 0"):
        pfd_single(1e-6, -1.0)
