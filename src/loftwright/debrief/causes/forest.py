"""A forest that tells classes apart, with what it says of rows that it has not been grown on.

Trees are grown in small bags: those of one bag see the same share of the flights, so that how far
the bags differ tells how far the answer hangs on which flights happened to be flown (J. Sexton,
P. Laake, Computational Statistics & Data Analysis 53 (2009) 801; S. Athey, J. Tibshirani, S. Wager,
Annals of Statistics 47 (2019) 1148; both from memory).
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.compiling.clone import compiled
from loftwright.debrief.causes.kernel import forest as kernel
from loftwright.flight.blocks import processors
from loftwright.flight.draws import generator

__all__ = ["Bins", "Forest", "Tree", "grow_forest"]

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]
Whole = NDArray[np.int64]

MOST_BINS = 60
SHARE = 0.632  # of the flights that a bag sees
DEEPEST = 40
TRIES = 3.0  # cuts that a node looks at, times the root of the number of features


@dataclass(frozen=True, slots=True)
class Bins:
    """Numbers as places among the edges of each feature: 0 for what is not there."""

    edges: tuple[Floats, ...]

    @classmethod
    def of(cls, values: Floats) -> Bins:
        """Cut the columns of (n, features) where they have as many values on either side."""
        shares = np.linspace(0.0, 1.0, MOST_BINS + 1)[1:-1]
        edges = []
        for column in values.T:
            good = column[np.isfinite(column)]
            distinct = np.unique(good)
            if len(distinct) <= MOST_BINS:
                edges.append((distinct[1:] + distinct[:-1]) / 2.0)
            else:
                edges.append(np.unique(np.quantile(good, shares)))
        return cls(tuple(edges))

    def __call__(self, values: Floats) -> Bytes:
        """Return (features, n) places of (n, features)."""
        found = np.zeros(values.T.shape, np.uint8)
        for number, (edges, column) in enumerate(zip(self.edges, values.T, strict=True)):
            good = np.isfinite(column)
            found[number, good] = 1 + np.searchsorted(edges, column[good], side="right")
        return found


@dataclass(frozen=True, slots=True)
class Tree:
    """One tree: its nodes, and of each leaf the shares of the classes, (nodes, classes)."""

    nodes: NDArray[np.int32]
    shares: NDArray[np.float32]
    leaves: NDArray[np.int32]  # of all rows that it could have been grown on


@dataclass(frozen=True, slots=True)
class Forest:
    """Trees in bags; ``inside`` tells which rows each bag saw, (bags, n)."""

    bags: tuple[tuple[Tree, ...], ...]
    inside: NDArray[np.bool_]
    classes: int

    def by_bag(self, bins: Bytes) -> Floats:
        """Shares of the classes for rows that it was not grown on, (bags, n, classes)."""
        count = bins.shape[1]
        found = np.zeros((len(self.bags), count, self.classes))
        for number, bag in enumerate(self.bags):
            for tree in bag:
                found[number] += tree.shares[_leaves(bins, tree.nodes)]
            found[number] /= len(bag)
        return found

    def __call__(self, bins: Bytes) -> Floats:
        """Shares of the classes, (n, classes), that add up to one."""
        return np.asarray(self.by_bag(bins).mean(axis=0))

    def spread(self, bins: Bytes) -> Floats:
        """Variance of the shares from which flights were flown, (n, classes).

        The bags' own variance less what the trees of a bag differ by, scaled from the share of
        flights that a bag sees to all of them.
        """
        count = bins.shape[1]
        means = np.zeros((len(self.bags), count, self.classes))
        within = np.zeros((count, self.classes))
        for number, bag in enumerate(self.bags):
            each = np.stack([tree.shares[_leaves(bins, tree.nodes)] for tree in bag])
            means[number] = each.mean(axis=0)
            within += each.var(axis=0, ddof=1) / len(bag)
        between = means.var(axis=0, ddof=1) - within / len(self.bags)
        return np.asarray(np.maximum(between, 0.0) * SHARE / (1.0 - SHARE))

    def unseen(self) -> Floats:
        """Shares of the classes for every row by the trees that did not see it, (n, classes)."""
        rows = self.inside.shape[1]
        found, trees = np.zeros((rows, self.classes)), np.zeros(rows)
        for bag, inside in zip(self.bags, self.inside, strict=True):
            outside = ~inside
            for tree in bag:
                found[outside] += tree.shares[tree.leaves[outside]]
            trees[outside] += len(bag)
        return found / np.maximum(trees, 1.0)[:, None]

    def nearness(self, bins: Bytes) -> Floats:
        """How near each row that it was grown on is to one other row: shares of leaves, (n,)."""
        rows = self.inside.shape[1]
        found = np.zeros(rows)
        for bag in self.bags:
            for tree in bag:
                found += tree.leaves == _leaves(bins, tree.nodes)[0]
        return found / sum(map(len, self.bags))


@cache
def _grow() -> Any:
    return compiled(kernel.grow)


@cache
def _drop() -> Any:
    return compiled(kernel.drop)


def _leaves(bins: Bytes, nodes: NDArray[np.int32]) -> NDArray[np.int32]:
    leaves = np.empty(bins.shape[1], np.int32)
    _drop()(bins, nodes, leaves)
    return leaves


def grow_forest(
    bins: Bytes,
    classes: Whole,
    weights: Floats,
    flights: Whole,
    *,
    count: int,
    bags: int = 20,
    trees: int = 8,
    least: int = 2,
    seed: int = 1,
) -> Forest:
    """Grow a forest.

    Parameters
    ----------
    bins : (features, n) array
        As `Bins` gives them.
    classes : (n,) array of int
        From 0; there are ``count``.
    weights : (n,) array
        Of the rows.
    flights : (n,) array of int
        Rows of one flight share their draws: a bag sees all of them or none.
    bags, trees : int
        Number of bags, and of trees in each.
    least : int
        Rows of a leaf, at least.
    seed : int
        The same seed gives the same forest on any number of threads.
    """
    numbers = np.unique(flights)
    kinds, mass = classes.astype(np.int32), weights.astype(float)

    def bag(number: int) -> tuple[NDArray[np.bool_], tuple[Tree, ...]]:
        dice = generator(seed, "forest", number)
        seen = dice.permutation(numbers)[: max(1, round(SHARE * len(numbers)))]
        inside = np.isin(flights, seen)
        streams = dice.integers(1, 2**63, size=trees, dtype=np.uint64)
        return inside, tuple(
            _tree(bins, kinds, mass, np.flatnonzero(inside), count, least, stream)
            for stream in streams
        )

    with ThreadPoolExecutor(processors()) as pool:
        found = list(pool.map(bag, range(bags)))
    return Forest(tuple(each[1] for each in found), np.stack([each[0] for each in found]), count)


def _tree(
    bins: Bytes,
    classes: NDArray[np.int32],
    weights: Floats,
    rows: Whole,
    count: int,
    least: int,
    stream: np.uint64,
) -> Tree:
    mine = rows.astype(np.int32)
    nodes = np.empty((2 * len(mine) + 2, 4), np.int32)
    leaf_of = np.empty(len(mine), np.int32)
    tries = max(4, round(TRIES * np.sqrt(bins.shape[0])))
    scratch = np.zeros((2, count))
    state = np.array([stream], np.uint64)
    stack = np.empty((2 * DEEPEST + 8, 4), np.int32)
    used = _grow()(
        bins, classes, weights, mine, tries, least, DEEPEST, state, scratch, stack, nodes, leaf_of
    )
    nodes = nodes[:used].copy()
    shares = np.zeros((used, count))
    np.add.at(shares, (leaf_of, classes[mine]), weights[mine])
    total = shares.sum(axis=1, keepdims=True)
    shares = shares / np.where(total > 0.0, total, 1.0)
    return Tree(nodes, shares.astype(np.float32), _leaves(bins, nodes))
