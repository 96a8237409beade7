"""The search on functions whose best point is known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.study.front import kept_front
from loftwright.study.optimum import Archive, Outcome, Room, best_of, polish, rank, search

SLACK = 1e-4


def first(costs):
    return costs[:, 0]


def found(task, dimensions, seed=1, whole=()):
    """Search and polish like `best` does."""
    archive = Archive(SLACK)
    search(task, dimensions, first, archive, seed=seed)
    free = np.array([axis not in whole for axis in range(dimensions)])
    room = Room(np.zeros(dimensions), np.ones(dimensions), free)
    polish(task, best_of(archive, first).share, first, archive, room)
    return best_of(archive, first)


def unlimited(function):
    return lambda shares: Outcome(function(shares)[:, None], np.zeros((len(shares), 0)))


@settings(max_examples=10)
@given(st.lists(st.floats(0.05, 0.95), min_size=1, max_size=3))
def test_the_bottom_of_a_bowl_is_found(bottom):
    best = found(unlimited(lambda x: ((x - np.array(bottom)) ** 2).sum(axis=1)), len(bottom))
    assert best.share == pytest.approx(bottom, abs=1e-3)


def test_the_curved_valley_of_rosenbrock_is_followed_to_its_end():
    """Rosenbrock, Computer Journal 3 (1960) 175-184: least 0 at (1, 1)."""

    def valley(shares):
        x, y = (4.0 * shares - 2.0).T
        return 100.0 * (y - x**2) ** 2 + (1.0 - x) ** 2

    best = found(unlimited(valley), 2)
    assert 4.0 * best.share - 2.0 == pytest.approx([1.0, 1.0], abs=5e-3)


def test_the_least_of_many_valleys_is_found():
    """Branin's function: least 0.397887 at three points (from memory)."""

    def branin(shares):
        x, y = 15.0 * shares[:, 0] - 5.0, 15.0 * shares[:, 1]
        a, b, c = 1.0, 5.1 / (4.0 * np.pi**2), 5.0 / np.pi
        waves = 10.0 * (1.0 - 1.0 / (8.0 * np.pi)) * np.cos(x) + 10.0
        return a * (y - b * x**2 + c * x - 6.0) ** 2 + waves

    assert found(unlimited(branin), 2).cost == pytest.approx(0.397887, abs=1e-5)


def test_a_limit_holds_the_best_point_on_it():
    """Nearest to (1, 1) with x + y at most 1: (1/2, 1/2)."""

    def task(shares):
        over = shares.sum(axis=1) - 1.0
        return Outcome(((shares - 1.0) ** 2).sum(axis=1)[:, None], over[:, None])

    best = found(task, 2)
    assert best.share == pytest.approx([0.5, 0.5], abs=1e-3)
    assert best.excess <= SLACK


def test_where_no_point_keeps_the_limit_the_nearest_is_given():
    def task(shares):
        return Outcome(shares[:, :1], (0.2 + np.abs(shares[:, :1] - 0.7)))

    best = found(task, 1)
    assert best.share == pytest.approx([0.7], abs=0.02)
    assert best.excess == pytest.approx(0.2, abs=0.02)


def test_what_does_not_happen_is_never_best():
    def task(shares):
        cost = np.where(shares[:, 0] < 0.4, np.nan, shares[:, 0])
        return Outcome(cost[:, None], np.zeros((len(shares), 0)))

    assert found(task, 1).share == pytest.approx([0.4], abs=2e-3)


def test_the_same_seed_gives_the_same_point():
    task = unlimited(lambda x: np.sin(9.0 * x).sum(axis=1))
    assert np.array_equal(found(task, 2, seed=4).share, found(task, 2, seed=4).share)


def test_every_generation_is_one_call():
    sizes = []

    def task(shares):
        sizes.append(len(shares))
        return unlimited(lambda x: (x**2).sum(axis=1))(shares)

    search(task, 2, first, Archive(SLACK), seed=1)
    assert min(sizes) >= 28
    assert len(set(sizes)) == 1


@given(st.lists(st.tuples(st.floats(-1e3, 1e3), st.floats(-1, 1)), min_size=2, max_size=20))
def test_what_keeps_the_limits_ranks_before_what_does_not(points):
    cost, excess = (np.array(each) for each in zip(*points, strict=True))
    ranks = rank(cost, excess[:, None], 0.0, 1.0)
    kept = excess <= 0.0
    if kept.any() and not kept.all():
        assert ranks[kept].max() < ranks[~kept].min()
    assert np.array_equal(
        np.argsort(ranks[kept], kind="stable"), np.argsort(cost[kept], kind="stable")
    )


@given(st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=1, max_size=40))
def test_no_point_of_a_front_is_beaten_and_every_other_is(points):
    costs = np.array(points)
    front = kept_front(costs)
    for i, row in enumerate(costs):
        better = (costs <= row).all(axis=1) & (costs < row).any(axis=1)
        if i in front:
            assert not better.any()
        else:
            assert better.any() or any((costs[k] == row).all() for k in front)
