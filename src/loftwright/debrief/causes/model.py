"""How probable each cause is, given what the flight left behind.

The simulated flights are the likelihood: a forest learns to tell, from features of the evidence,
which cause made a flight (approximate Bayesian computation with a forest: P. Pudlo et al.,
Bioinformatics 32 (2016) 859; of simulation-based inference in general: K. Cranmer, J. Brehmer,
G. Louppe, PNAS 117 (2020) 30055; of the method: M. A. Beaumont, W. Zhang, D. J. Balding, Genetics
162 (2002) 2025; all from memory). Its shares are sharpened by what it says of flights that it has
not seen, and then weighed with the causes' chances before the flight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.forest import Bins, Forest, grow_forest

__all__ = ["Model", "Rows", "fit_model"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

POWERS = (0.8, 1.0, 1.2, 1.4, 1.7, 2.0, 2.5, 3.0)
FLOORS = (1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3)
# Rows of a leaf: few where causes leave marks of their own, many where they overlap all over.
LEAVES = (2, 6, 20)
DRAWS = 400
BOUNDS = (0.05, 0.95)


@dataclass(frozen=True, slots=True)
class Rows:
    """Simulated flights as rows: features (n, k) by ``names``, causes, flights, weights.

    ``weights`` are how likely what people said is in each flight.
    """

    names: tuple[str, ...]
    values: Floats
    cause: Whole
    flight: Whole
    weights: Floats

    def of(self, causes: Sequence[int]) -> Rows:
        """Return the rows of some causes, numbered anew from 0 in that order."""
        place = {cause: number for number, cause in enumerate(causes)}
        mine = np.isin(self.cause, list(causes))
        renamed = np.array([place[each] for each in self.cause[mine].tolist()], np.int64)
        return Rows(self.names, self.values[mine], renamed, self.flight[mine], self.weights[mine])

    def beside(self, names: Sequence[str], values: Floats) -> Rows:
        """Return rows with more features."""
        both = np.concatenate([self.values, values], axis=1)
        return Rows((*self.names, *names), both, self.cause, self.flight, self.weights)


@dataclass(frozen=True, slots=True)
class Model:
    """A forest with its bins; ``power`` and ``floor`` sharpen its shares; ``prior`` (causes,)."""

    rows: Rows
    bins: Bins
    forest: Forest
    prior: Floats
    power: float
    floor: float

    def shares(self, values: Floats) -> Floats:
        """Shares of the causes among flights like these, all causes flown alike often."""
        return self.forest(self.bins(values))

    def likelihoods(self, shares: Floats) -> Floats:
        """Sharpened shares, each row adding up to one: the causes without their prior."""
        raised = (shares + self.floor) ** self.power
        return np.asarray(raised / raised.sum(axis=-1, keepdims=True))

    def posterior(self, shares: Floats) -> Floats:
        """Probabilities of the causes, (n, causes)."""
        raised = self.prior * (shares + self.floor) ** self.power
        return np.asarray(raised / raised.sum(axis=-1, keepdims=True))

    def bounds(self, values: Floats, seed: int) -> tuple[Floats, Floats]:
        """Bounds of the 90 % interval that the finite number of flights leaves, (causes,) both.

        For one row of features (1, k). The shares are drawn about what they are with the spread
        between bags, with twice the variance of counting the flights like this one (leaves that
        the flights themselves shaped err more than counting does; judgement), and with the floor,
        which stands for what no flight has shown.
        """
        bins = self.bins(values)
        shares, spread = self.forest(bins)[0], self.forest.spread(bins)[0]
        near = self.forest.nearness(bins) * self.rows.weights
        many = max(float(near.sum() ** 2 / max((near**2).sum(), 1e-300)), 1.0)
        counted = shares * (1.0 - shares) / many
        sd = np.sqrt(spread + 2.0 * counted + self.floor**2)
        dice = np.random.default_rng(seed)
        drawn = np.maximum(shares + sd * dice.standard_normal((DRAWS, len(shares))), 0.0)
        low, high = np.quantile(self.posterior(drawn), BOUNDS, axis=0)
        here = self.posterior(shares)
        return np.minimum(low, here), np.maximum(high, here)


def fit_model(rows: Rows, prior: Floats, *, bags: int = 20, trees: int = 8, seed: int = 1) -> Model:
    """Learn to tell the causes apart.

    Parameters
    ----------
    rows : Rows
    prior : (causes,) array
        Chances before the flight; they need not add up to one.
    bags, trees, seed : int
        Of the forest.
    """
    prior = prior / prior.sum()
    bins = Bins.of(rows.values)
    places = bins(rows.values)

    def forest_of(least: int, bags: int) -> Forest:
        return grow_forest(
            places,
            rows.cause,
            rows.weights,
            rows.flight,
            count=len(prior),
            bags=bags,
            trees=trees,
            least=least,
            seed=seed,
        )

    if not rows.names:  # nothing but words: there is one leaf, and its shares are what they are
        return Model(rows, bins, forest_of(LEAVES[0], bags), prior, 1.0, FLOORS[0])
    few = max(3, bags // 4)  # bags that are enough to choose the size of leaves by
    least = min(LEAVES, key=lambda each: _sharpened(forest_of(each, few).unseen(), rows, prior))
    forest = forest_of(least, bags)
    _, power, floor = _sharpened(forest.unseen(), rows, prior)
    return Model(rows, bins, forest, prior, power, floor)


def _sharpened(unseen: Floats, rows: Rows, prior: Floats) -> tuple[float, float, float]:
    """Return loss, power and floor under which the true causes of unseen flights fare best.

    The measure is the mean logarithm of the true cause's probability, each flight weighing as
    much as it is likely before anything is known of its record.
    """
    weight = prior[rows.cause] * rows.weights
    mine = np.arange(len(rows.cause)), rows.cause
    best = (np.inf, 1.0, 1e-3)
    for floor in FLOORS:
        logs = np.log(unseen + floor)
        for power in POWERS:
            raised = np.log(prior) + power * logs
            top = raised.max(axis=1)
            norm = top + np.log(np.exp(raised - top[:, None]).sum(axis=1))
            loss = float((weight * (norm - raised[mine])).sum() / weight.sum())
            best = min(best, (loss, power, floor))
    return best
