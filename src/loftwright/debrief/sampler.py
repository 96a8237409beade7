"""Draws from a density known up to a factor."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

__all__ = ["sample"]

Floats = NDArray[np.float64]
STRETCH = 2.0  # the usual scale of the move
ROUND = 300  # sweeps between looks at whether the walkers have settled
MOST_ROUNDS = 8
SETTLED = 0.15  # standard deviations that the mean may still move between halves of a round
THIN = 5


def _move(
    density: Callable[[Floats], Floats],
    moving: Floats,
    others: Floats,
    now: Floats,
    rng: np.random.Generator,
) -> tuple[Floats, Floats]:
    """Stretch each walker along the line to one of the others."""
    count, size = moving.shape
    z = np.square((STRETCH - 1.0) * rng.random(count) + 1.0) / STRETCH
    partner = others[rng.integers(len(others), size=count)]
    proposed = partner + z[:, None] * (moving - partner)
    then = density(proposed)
    accept = np.log(rng.random(count)) < (size - 1) * np.log(z) + then - now
    return np.where(accept[:, None], proposed, moving), np.where(accept, then, now)


def _round(
    density: Callable[[Floats], Floats], walkers: Floats, rng: np.random.Generator, sweeps: int
) -> tuple[Floats, Floats]:
    """Sweep all walkers; return the last ones and (kept, walkers, size) of those on the way."""
    half = len(walkers) // 2
    one, two = walkers[:half], walkers[half:]
    at_one, at_two = density(one), density(two)
    kept = []
    for sweep in range(sweeps):
        one, at_one = _move(density, one, two, at_one, rng)
        two, at_two = _move(density, two, one, at_two, rng)
        if sweep % THIN == 0:
            kept.append(np.concatenate([one, two]))
    return np.concatenate([one, two]), np.array(kept)


def _unsettled(kept: Floats) -> float:
    """Return how far the mean moved between the two halves of a round, in standard deviations."""
    half = len(kept) // 2
    moved = kept[half:].mean(axis=(0, 1)) - kept[:half].mean(axis=(0, 1))
    return float(np.max(np.abs(moved) / (kept.std(axis=(0, 1)) + 1e-300)))


def sample(density: Callable[[Floats], Floats], walkers: Floats, seed: int) -> tuple[Floats, bool]:
    """Draw from a density by walkers that stretch towards and away from each other.

    J. Goodman, J. Weare, Comm. App. Math. Comp. Sci. 5 (2010) 65 (from memory). The move needs no
    tuning and does not mind correlated parameters.

    Parameters
    ----------
    density : (n, d) points -> (n,) logarithm of the density, -inf outside
    walkers : (w, d) where to begin, w even and at least 2 d, all at finite density
    seed : of the draws

    Returns
    -------
    (m, d) draws, and whether the walkers had settled before they were taken.
    """
    rng = np.random.default_rng(seed)
    walkers, _ = _round(density, walkers, rng, ROUND)
    kept = np.empty((0, *walkers.shape))
    for _ in range(MOST_ROUNDS):
        walkers, kept = _round(density, walkers, rng, ROUND)
        if _unsettled(kept) < SETTLED:
            break
    return kept.reshape(-1, walkers.shape[1]), _unsettled(kept) < SETTLED
