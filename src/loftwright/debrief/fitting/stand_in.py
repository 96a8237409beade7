"""A polynomial in place of a flight's model, with what it leaves unexplained."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.emulator import monomials, solve_features, terms_of

__all__ = ["Polynomial", "StandIn", "polynomial"]

Floats = NDArray[np.float64]

DEGREE = 2
RUNS_A_TERM = 4  # at least; with fewer directions go, the weakest first
FARTHEST = 8.0  # deviations of the runs that shaped it, beyond which nothing is known


@dataclass(frozen=True, slots=True)
class Polynomial:
    """What one flight would measure, along ``basis`` (numbers, r) about ``centre``.

    ``scale`` (r,) is how far the runs that shaped it lay out. ``rest`` (k, k) is the covariance of
    what it does not explain: terms of higher order, and all numbers that are square to the basis.
    """

    centre: Floats
    basis: Floats
    scale: Floats
    coefficients: Floats
    rest: Floats

    def __call__(self, points: Floats) -> Floats:
        """Return what would be measured at points (n, numbers), NaN out of reach."""
        scaled = ((points - self.centre) @ self.basis) / self.scale
        found: Floats = monomials(scaled, DEGREE) @ self.coefficients
        found[np.abs(scaled).max(axis=1, initial=0.0) > FARTHEST] = np.nan
        return found


@dataclass(frozen=True, slots=True)
class StandIn:
    """Polynomials of several flights, side by side."""

    parts: tuple[Polynomial, ...]

    def __call__(self, points: Floats) -> Floats:
        """Return what would be measured at points (n, numbers), (n, k)."""
        return np.concatenate([part(points) for part in self.parts], axis=1)


def polynomial(centre: Floats, basis: Floats, points: Floats, features: Floats) -> Polynomial:
    """Fit a polynomial to flights at hand.

    Parameters
    ----------
    centre : (numbers,)
    basis : (numbers, r)
        Directions that matter, strongest first.
    points, features : (n, numbers) and (n, k)
        Flights, and what would have been measured in each; NaN where nothing would.
    """
    while terms_of(basis.shape[1], DEGREE) * RUNS_A_TERM > len(points) and basis.shape[1] > 1:
        basis = basis[:, :-1]
    along = (points - centre) @ basis
    scale = along.std(axis=0)
    matrix = monomials(along / scale, DEGREE)
    if np.isfinite(features).all():  # all at once, where each has all runs
        coefficients: Floats = np.linalg.lstsq(matrix, features)[0].astype(np.float64)
    else:
        coefficients = solve_features(matrix, features)
    away = features - matrix @ coefficients
    good = np.isfinite(away).all(axis=1)
    left = max(int(good.sum()) - matrix.shape[1], 1)
    rest = away[good].T @ away[good] / left
    return Polynomial(centre, basis, scale, coefficients, rest)
