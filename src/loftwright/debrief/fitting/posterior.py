"""From a model and a record to what the record teaches: the posterior of standard normal numbers.

Every uncertain field is a standard normal number before the record. A Newton search finds the best
point; the directions of which the record says anything are few, and only in them are draws made.
In all other directions the posterior is the prior, to the last digit: what is not looked at is not
learnt.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.doubt import Doubt
from loftwright.debrief.sampler import sample

__all__ = [
    "Found",
    "Posterior",
    "informed_directions",
    "near",
    "sample_posterior",
    "settle",
    "slopes_at",
]

Floats = NDArray[np.float64]
Predict = Callable[[Floats], Floats]  # points (n, size) -> what would be recorded (n, k)

SEARCHES = 15
SHORTENED = (1.0, 0.5, 0.25, 0.1)  # of a step, of which the best is taken
SETTLED = 0.01  # prior standard deviations
STEP = 0.2  # prior standard deviations, of the differences that slopes are taken from
# A direction in which the record would narrow the prior by less than this share of its variance
# says nothing that could be told from rounding.
LEAST_INFORMATION = 0.003
# Products of small matrices that libraries share out among threads cost more than they save, and
# many times more where something else runs beside them: so many multiplications at a time are not
# shared out by any that is common.
SMALL, LEAST_TERMS = 2**18, 64
KEPT = 2000  # draws handed on


@dataclass(frozen=True, slots=True)
class Found:
    """The best point, the slopes (k, size) there, and the information (size, size) that they hold.

    ``residual`` (k,) is what the record has over the model there.
    """

    point: Floats
    slopes: Floats
    information: Floats
    residual: Floats
    is_settled: bool


@dataclass(frozen=True, slots=True)
class Posterior:
    """Draws in the directions that the record informs.

    ``basis`` (size, r) are those directions, ``active`` (m, r) the draws along them with their
    ``weights`` (m,), which sum to one. ``strength`` (r,) is the information along each. In what
    is square to the basis the posterior is the standard normal distribution.
    ``is_settled`` is False where the draws had not come to rest.
    """

    basis: Floats
    strength: Floats
    active: Floats
    weights: Floats
    is_settled: bool = True

    @property
    def mean(self) -> Floats:
        """Mean of each number, (size,)."""
        found: Floats = self.basis @ (self.weights @ self.active)
        return found

    @property
    def covariance(self) -> Floats:
        """Covariance of the numbers, (size, size)."""
        away = self.active - self.weights @ self.active
        inner = (away * self.weights[:, None]).T @ away
        size = len(self.basis)
        found: Floats = np.eye(size) - self.basis @ self.basis.T + self.basis @ inner @ self.basis.T
        return found

    def draws(self, count: int, rng: np.random.Generator) -> Floats:
        """Draw (count, size) points."""
        chosen = rng.choice(len(self.weights), size=count, p=self.weights)
        rest = rng.standard_normal((count, len(self.basis)))
        rest -= (rest @ self.basis) @ self.basis.T
        found: Floats = self.active[chosen] @ self.basis.T + rest
        return found


def slopes_at(predict: Predict, point: Floats) -> tuple[Floats, Floats]:
    """Return the prediction (k,) and its slopes (k, size) by central differences."""
    size = len(point)
    steps = STEP * np.eye(size)
    points = np.concatenate([point[None, :], point + steps, point - steps])
    found = predict(points)
    slopes = (found[1 : size + 1] - found[size + 1 :]) / (2.0 * STEP)
    return found[0], slopes.T


def settle(predict: Predict, measured: Floats, doubt: Doubt, start: Floats) -> Found:
    """Find the point that prior and record together make likeliest.

    Gauss and Newton's step with the prior as a unit matrix; of each step and its parts the best is
    taken, so that no step makes things worse.
    """
    point, is_settled = start, False
    for _ in range(SEARCHES):
        here, slopes = slopes_at(predict, point)
        residual = measured - here
        weighted = slopes.T @ doubt.precision(residual)
        information = weighted @ slopes
        step = np.linalg.solve(information + np.eye(len(point)), weighted @ residual - point)
        shares = np.array([0.0, *SHORTENED])
        tried = point + shares[:, None] * step
        density = doubt.log_likelihood(measured - predict(tried))
        density = np.where(np.isfinite(density), density, -np.inf) - 0.5 * np.square(tried).sum(1)
        best = int(np.argmax(density))
        moved = shares[best] * step
        is_settled = bool(np.abs(moved).max(initial=0.0) < SETTLED)
        if is_settled:
            break
        point = tried[best]
    return Found(point, slopes, information, residual, is_settled)


def near(found: Found, count: int, rng: np.random.Generator) -> Floats:
    """Draw points (count, size) from the normal distribution that fits the best point."""
    root = np.linalg.cholesky(np.linalg.inv(found.information + np.eye(len(found.point))))
    points: Floats = found.point + rng.standard_normal((count, len(found.point))) @ root.T
    return points


def informed_directions(information: Floats, most: int) -> tuple[Floats, Floats]:
    """Return the directions (size, r) that are informed, and how strongly, strongest first."""
    strength, vectors = np.linalg.eigh(information)
    kept = np.flatnonzero(strength > LEAST_INFORMATION)[::-1][:most]
    return vectors[:, kept], strength[kept]


def sample_posterior(
    stand_in: Predict,
    measured: Floats,
    doubt: Doubt,
    found: Found,
    start: Floats,
    seed: int,
) -> Posterior:
    """Draw from the posterior in the directions that the record informs.

    Which those are is told by the slopes at the best point: what only bends there, and does not
    lean, is not drawn. It belongs into the doubt, as what the stand-in leaves unexplained.

    Parameters
    ----------
    stand_in : points (n, size) -> what would be recorded; NaN where it cannot tell
    measured : (k,)
    doubt : of residuals, what the stand-in gets wrong included
    found : the best point, as `settle` gives it
    start : (n, size) points near it, where the walkers begin
    seed : of the draws

    References
    ----------
    T. Cui and others, Inverse Problems 30 (2014) 114015 (from memory): the directions that a
    likelihood informs, and the prior in all others.
    """
    basis, strength = informed_directions(found.information, len(found.point))
    size = basis.shape[1]
    if not size:
        return Posterior(basis, strength, np.zeros((1, 0)), np.ones(1))
    rest = found.point - basis @ (basis.T @ found.point)

    def few(active: Floats) -> Floats:
        residual = measured - stand_in(active @ basis.T + rest)
        likely = doubt.log_likelihood(np.nan_to_num(residual))
        good = np.isfinite(residual).all(axis=1)
        found: Floats = np.where(good, likely, -np.inf) - 0.5 * np.square(active).sum(axis=1)
        return found

    rows = max(8, SMALL // (len(measured) * max(len(measured), LEAST_TERMS)))

    def density(active: Floats) -> Floats:
        parts = [few(active[first : first + rows]) for first in range(0, len(active), rows)]
        return np.concatenate(parts)

    walkers = (start - found.point) @ basis + basis.T @ found.point
    walkers = walkers[np.isfinite(density(walkers))]
    walkers = walkers[: len(walkers) // 2 * 2]
    if len(walkers) < 2 * size + 2:  # what was measured is out of the stand-in's reach
        flat = np.full(len(start), 1.0 / len(start))
        return Posterior(basis, strength, start @ basis, flat, is_settled=False)
    draws, settled = sample(density, walkers, seed)
    kept = draws[:: max(1, len(draws) // KEPT)]
    return Posterior(basis, strength, kept, np.full(len(kept), 1.0 / len(kept)), settled)
