"""A polynomial in place of the simulator, so that a posterior costs seconds and not minutes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Axis",
    "Emulator",
    "fit_emulator",
    "monomials",
    "solve_features",
    "spread_points",
    "terms_of",
]

Floats = NDArray[np.float64]
DEGREE = 3
RUNS_A_TERM = 3  # simulator runs for every coefficient
KEPT_BACK = 5  # every fifth run tests the polynomial instead of shaping it


@dataclass(frozen=True, slots=True)
class Axis:
    """An input of the simulator between two bounds; ``logarithmic`` for what acts as a power."""

    name: str
    low: float
    high: float
    logarithmic: bool = True

    def scaled(self, values: Floats) -> Floats:
        """Map values to -1 (low) .. 1 (high)."""
        low, high, x = self.low, self.high, values
        if self.logarithmic:
            low, high, x = np.log(low), np.log(high), np.log(values)
        scaled: Floats = 2.0 * (x - low) / (high - low) - 1.0
        return scaled

    def unscaled(self, scaled: Floats) -> Floats:
        """Map -1 .. 1 back to values."""
        share = (scaled + 1.0) / 2.0
        if self.logarithmic:
            values: Floats = self.low * (self.high / self.low) ** share
            return values
        return self.low + (self.high - self.low) * share


@dataclass(frozen=True, slots=True)
class Emulator:
    """Features as polynomials of the scaled inputs.

    ``error`` (k,) is the root mean square misfit of each feature on runs that were kept back.
    """

    axes: tuple[Axis, ...]
    coefficients: Floats  # (terms, k)
    error: Floats

    def __call__(self, points: Floats) -> Floats:
        """Features (n, k) at the inputs ``points`` (n, axes), in the simulator's own units."""
        scaled = np.stack([axis.scaled(points[:, i]) for i, axis in enumerate(self.axes)], axis=1)
        return monomials(scaled, DEGREE) @ self.coefficients


@cache
def _recipe(count: int, most: int) -> tuple[tuple[NDArray[np.intp], NDArray[np.intp]], ...]:
    """For each degree above 0: which products of the degree before, times which of the inputs."""
    before: list[tuple[int, ...]] = [()]
    steps = []
    for degree in range(1, most + 1):
        terms = list(combinations_with_replacement(range(count), degree))
        place = {term: index for index, term in enumerate(before)}
        shorter = np.array([place[term[:-1]] for term in terms])
        steps.append((shorter, np.array([term[-1] for term in terms])))
        before = terms
    return tuple(steps)


def terms_of(inputs: int, degree: int) -> int:
    """Return how many terms a polynomial of so many inputs has."""
    return 1 + sum(len(last) for _, last in _recipe(inputs, degree))


def monomials(scaled: Floats, degree: int) -> Floats:
    """Every product of up to ``degree`` of the inputs (n, axes), as columns (n, terms)."""
    columns = [np.ones((len(scaled), 1))]
    for shorter, last in _recipe(scaled.shape[1], degree):
        columns.append(columns[-1][:, shorter] * scaled[:, last])
    return np.concatenate(columns, axis=1)


def spread_points(count: int, axes: int, rng: np.random.Generator) -> Floats:
    """Return (count, axes) points in -1 .. 1, evenly spread on each axis (Latin hypercube).

    M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239 (from memory).
    """
    ranks = np.stack([rng.permutation(count) for _ in range(axes)], axis=1)
    return 2.0 * (ranks + rng.random((count, axes))) / count - 1.0


def solve_features(matrix: Floats, values: Floats) -> Floats:
    """Least squares for each feature over the runs that have it; NaN where too few do."""
    solution = np.full((matrix.shape[1], values.shape[1]), np.nan)
    for feature in range(values.shape[1]):
        good = np.isfinite(values[:, feature])
        if good.sum() > matrix.shape[1]:
            solution[:, feature] = np.linalg.lstsq(matrix[good], values[good, feature])[0]
    return solution


def _misfit(residual: Floats) -> Floats:
    """Root mean square of each column over what is finite; NaN where nothing is."""
    good = np.isfinite(residual)
    squares = np.where(good, residual, 0.0) ** 2
    count = good.sum(axis=0)
    return np.where(count > 0, np.sqrt(squares.sum(axis=0) / np.maximum(count, 1)), np.nan)


def fit_emulator(
    simulate: Callable[[dict[str, float]], Floats], axes: tuple[Axis, ...], seed: int
) -> Emulator:
    """Run the simulator over the box of ``axes`` and fit polynomials to its features.

    Parameters
    ----------
    simulate : inputs by name -> (k,) features, NaN where there is none
    axes : the inputs and their bounds
    seed : of the points at which it runs
    """
    rng = np.random.default_rng(seed)
    terms = terms_of(len(axes), DEGREE)
    scaled = spread_points(RUNS_A_TERM * terms, len(axes), rng)
    points = np.stack([axis.unscaled(scaled[:, i]) for i, axis in enumerate(axes)], axis=1)
    names = [axis.name for axis in axes]
    features = np.array([simulate(dict(zip(names, map(float, p), strict=True))) for p in points])
    matrix = monomials(scaled, DEGREE)
    back = np.arange(len(points)) % KEPT_BACK == 0
    trial = solve_features(matrix[~back], features[~back])
    error = _misfit(matrix[back] @ trial - features[back])
    return Emulator(axes, solve_features(matrix, features), error)
