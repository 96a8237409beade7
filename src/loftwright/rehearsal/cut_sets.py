"""Fault trees: smallest sets of faults, the chance of the top event, what each fault is worth.

A tree is the name of a basic event, or a gate over trees. No event is negated, so a further fault
never makes the top event less likely (the tree is coherent). Events are independent; what takes
several along at once is an event of its own, or reckoned with a beta factor.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import reduce
from itertools import combinations
from math import inf, nan, prod
from typing import TypeAlias

__all__ = [
    "CutSets",
    "Gate",
    "Importance",
    "Tree",
    "all_of",
    "any_of",
    "at_least",
    "beta_pair",
    "cut_sets_of",
    "dual",
    "exact_chance",
    "importances",
    "min_cut_bound",
    "minimal",
    "path_sets_of",
    "pfd_pair",
    "pfd_single",
    "rare_event_sum",
]


@dataclass(frozen=True, slots=True)
class Gate:
    """True when at least ``least`` of its inputs are: 1 is OR, all of them is AND."""

    least: int
    inputs: tuple[Tree, ...]

    def __post_init__(self) -> None:
        if not 1 <= self.least <= len(self.inputs):
            raise ValueError("a gate asks for at least one and at most all of its inputs")


Tree: TypeAlias = "str | Gate"
CutSets: TypeAlias = frozenset[frozenset[str]]


def all_of(*inputs: Tree) -> Gate:
    """Return an AND gate."""
    return Gate(len(inputs), inputs)


def any_of(*inputs: Tree) -> Gate:
    """Return an OR gate."""
    return Gate(1, inputs)


def at_least(least: int, *inputs: Tree) -> Gate:
    """Return a gate that is true when ``least`` of its inputs are.

    Raises
    ------
    ValueError
        When that is none of them, or more than there are; so of every gate.
    """
    return Gate(least, inputs)


def dual(tree: Tree) -> Tree:
    """Return the tree of the opposite: true of what works when the top event does not happen."""
    if isinstance(tree, str):
        return tree
    return Gate(len(tree.inputs) + 1 - tree.least, tuple(dual(each) for each in tree.inputs))


# ---------------------------------------------------------------- smallest sets


def minimal(sets: Iterable[Iterable[str]]) -> CutSets:
    """Return the sets of which no other is a part."""
    kept: list[frozenset[str]] = []
    for each in sorted(set(map(frozenset, sets)), key=len):
        if not any(smaller <= each for smaller in kept):
            kept.append(each)
    return frozenset(kept)


def cut_sets_of(tree: Tree) -> CutSets:
    """Return the minimal cut sets: smallest sets of events that together bring the top event.

    References
    ----------
    Substitution from below, with absorption: W. E. Vesely et al., Fault Tree Handbook, NUREG-0492
    (1981), chapter VII (from memory).
    """
    if isinstance(tree, str):
        return frozenset({frozenset({tree})})
    below = [cut_sets_of(each) for each in tree.inputs]
    ways = (reduce(_joined, chosen) for chosen in combinations(below, tree.least))
    return minimal(each for way in ways for each in way)


def _joined(one: CutSets, other: CutSets) -> CutSets:
    return minimal(mine | theirs for mine in one for theirs in other)


def path_sets_of(tree: Tree) -> CutSets:
    """Return the minimal path sets: smallest sets whose working keeps the top event away."""
    return cut_sets_of(dual(tree))


# ---------------------------------------------------------------- chances


def rare_event_sum(sets: CutSets, chances: Mapping[str, float]) -> float:
    """Return the sum of the cut sets' chances: never too small, near where all are rare."""
    return sum(_together(each, chances) for each in _ordered(sets))


def min_cut_bound(sets: CutSets, chances: Mapping[str, float]) -> float:
    """Return the min-cut upper bound: cut sets taken as if they were independent.

    References
    ----------
    J. D. Esary and F. Proschan, "Coherent structures of non-identical components",
    *Technometrics* 5 (1963), 191-209 (from memory).
    """
    return 1.0 - prod(1.0 - _together(each, chances) for each in _ordered(sets))


def exact_chance(sets: CutSets, chances: Mapping[str, float]) -> float:
    """Return the chance of the top event, of independent events.

    Shannon's expansion, one event after the other as in a binary decision diagram; every set of
    cut sets that is met twice is reckoned once. Many tangled sets take exponentially long; some
    dozens are no trouble.

    References
    ----------
    A. Rauzy, "New algorithms for fault trees analysis", *Reliability Engineering and System
    Safety* 40 (1993), 203-211 (from memory).
    """
    return _expanded(sets, chances, {})


def _expanded(sets: CutSets, chances: Mapping[str, float], known: dict[CutSets, float]) -> float:
    if not sets:
        return 0.0
    if frozenset() in sets:
        return 1.0
    if sets not in known:
        pivot = _pivot(sets)
        with_it = minimal(each - {pivot} for each in sets)
        without = frozenset(each for each in sets if pivot not in each)
        chance = chances[pivot]
        known[sets] = chance * _expanded(with_it, chances, known) + (1.0 - chance) * _expanded(
            without, chances, known
        )
    return known[sets]


def _pivot(sets: CutSets) -> str:
    """Return the event to decide next: in the smallest sets first, then in most sets."""
    smallest = min(map(len, sets))
    counted = Counter(event for each in sets for event in each)
    likely = {event for each in sets if len(each) == smallest for event in each}
    return min(likely, key=lambda event: (-counted[event], event))


def _together(events: frozenset[str], chances: Mapping[str, float]) -> float:
    return prod(chances[event] for event in sorted(events))


def _ordered(sets: CutSets) -> list[frozenset[str]]:
    """Sets in an order that does not change from run to run, so that sums do not either."""
    return sorted(sets, key=lambda each: (len(each), sorted(each)))


# ---------------------------------------------------------------- importance


@dataclass(frozen=True, slots=True)
class Importance:
    """What an event is worth, by exact chances ``q`` of the top event.

    ``q1`` is with the event certain, ``q0`` with it impossible.
    """

    birnbaum: float  # q1 - q0
    fussell_vesely: float  # (q - q0) / q: the share that would go with the event; NaN of no chance
    achievement_worth: float  # q1 / q; infinite of no chance
    reduction_worth: float  # q / q0; infinite where nothing is left without the event


def importances(sets: CutSets, chances: Mapping[str, float]) -> dict[str, Importance]:
    """Return what each event of the cut sets is worth, by name, in the order of the names.

    References
    ----------
    Z. W. Birnbaum (1969); W. E. Vesely et al., "Measures of risk importance and their
    applications", NUREG/CR-3385 (1983) (both from memory).
    """
    top = exact_chance(sets, chances)
    found: dict[str, Importance] = {}
    for event in sorted(set().union(*sets)):
        with_it = exact_chance(sets, {**chances, event: 1.0})
        without = exact_chance(sets, {**chances, event: 0.0})
        found[event] = Importance(
            birnbaum=with_it - without,
            fussell_vesely=(top - without) / top if top else nan,
            achievement_worth=with_it / top if top else inf,
            reduction_worth=top / without if without else inf,
        )
    return found


# ---------------------------------------------------------------- common cause


def beta_pair(chance: float, beta: float) -> float:
    """Return the chance that two alike fail in the same flight.

    Of each one's failures the share ``beta`` strikes both; the rest are independent, and such
    that each one fails with ``chance`` in all.

    Raises
    ------
    ValueError
        When ``chance`` or ``beta`` is not within 0 and 1.

    References
    ----------
    K. N. Fleming's beta factor (1975), as in IEC 61508-6, annex D (from memory).
    """
    _check_share(chance)
    _check_share(beta)
    common = beta * chance
    if common == 1.0:
        return 1.0
    return common + ((1.0 - beta) * chance) ** 2 / (1.0 - common)


def pfd_single(rate: float, interval: float) -> float:
    """Return how likely something is dead when it is needed, on average between two tests.

    ``rate`` is of failures that only a test shows, 1/h, ``interval`` h between tests; their
    product is small.

    Raises
    ------
    ValueError
        When either is below 0.

    References
    ----------
    ``λ T / 2`` of one channel, IEC 61508-6, annex B (from memory).
    """
    if rate < 0.0 or interval < 0.0:
        raise ValueError("rate and interval are not below 0")
    return rate * interval / 2.0


def pfd_pair(rate: float, interval: float, beta: float) -> float:
    """Return the same of two of which one suffices (1oo2), with common causes.

    Raises
    ------
    ValueError
        When ``rate`` or ``interval`` is below 0, or ``beta`` not within 0 and 1.

    References
    ----------
    ``((1 - β) λ T)² / 3 + β λ T / 2``, IEC 61508-6, annex B, without repair times (from memory).
    """
    _check_share(beta)
    single = pfd_single(rate, interval)
    return ((1.0 - beta) * 2.0 * single) ** 2 / 3.0 + beta * single


def _check_share(share: float) -> None:
    if not 0.0 <= share <= 1.0:
        raise ValueError("chances and shares lie within 0 and 1")
