"""Draws of what the documents leave uncertain: seeded, and each field on a stream of its own.

A stream is named by its path, so making one more field uncertain leaves the draws of all others
as they were. It is cut into stretches of ``STRETCH`` flights, each with a counter of its own: what
flight i draws depends on the seed, the path and i, and any part of an ensemble can be drawn alone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import leaves
from loftwright.flight.masses import vessel_volume
from loftwright.flight.stages import as_vehicle

__all__ = ["STRETCH", "Bounds", "bounds_of", "draw", "generator", "kept", "normals", "uniforms"]

Floats = NDArray[np.float64]

# Flights that share one counter; a part of a stretch costs at most the draws of the whole.
STRETCH = 4096
FEW = 64  # flights whose draws are kept

STAGES = ("vehicle", "boosters", "upper")
_WATER = "fill.water_volume"
MOST_WATER = 0.999  # of the vessels; some gas must push
Bounds = tuple[float, float]


def generator(seed: int, path: str, stretch: int = 0) -> np.random.Generator:
    """Return the random stream of ``path`` under ``seed`` in one stretch of flights.

    Philox, counter-based: the seed and the path make the key, the stretch the counter's highest
    word, so that no two stretches ever meet.

    References
    ----------
    J. K. Salmon et al., Parallel random numbers: as easy as 1, 2, 3, SC11 (2011).
    """
    digest = hashlib.sha256(f"{seed}:{path}".encode()).digest()
    key = np.frombuffer(digest[:16], dtype=np.uint64)
    counter = np.array([0, 0, 0, stretch], dtype=np.uint64)
    return np.random.Generator(np.random.Philox(key=key, counter=counter))


def _by_stretch(
    seed: int,
    path: str,
    first: int,
    flights: int,
    take: Callable[[np.random.Generator, int], Floats],
) -> Floats:
    """Return rows ``first`` to ``first + flights`` of what ``take`` draws, one row a flight.

    ``take(generator, n)`` draws n rows; the first rows of a longer draw are those of a shorter.
    """
    last = first + flights
    parts = []
    for stretch in range(first // STRETCH, -(-last // STRETCH)):
        start = stretch * STRETCH
        rows = take(generator(seed, path, stretch), min(last - start, STRETCH))
        parts.append(rows[max(first - start, 0) :])
    return parts[0] if len(parts) == 1 else np.concatenate(parts)


def normals(
    seed: int, path: str, first: int, flights: int, columns: tuple[int, ...] = ()
) -> Floats:
    """Draw standard normals for the flights from ``first`` on, ``(flights, *columns)``."""
    if flights <= FEW:
        return _few_normals(seed, path, first, flights, columns)
    return _normals(seed, path, first, flights, columns)


def _normals(seed: int, path: str, first: int, flights: int, columns: tuple[int, ...]) -> Floats:
    return _by_stretch(
        seed, path, first, flights, lambda stream, n: stream.standard_normal((n, *columns))
    )


@lru_cache(maxsize=256)
def _few_normals(
    seed: int, path: str, first: int, flights: int, columns: tuple[int, ...]
) -> Floats:
    """Return the same, kept: a what-if draws the same few again and again."""
    drawn = _normals(seed, path, first, flights, columns)
    drawn.setflags(write=False)
    return drawn


def uniforms(seed: int, path: str, first: int, flights: int, columns: int) -> Floats:
    """Draw numbers between 0 and 1 for the flights from ``first`` on, ``(flights, columns)``."""
    return _by_stretch(seed, path, first, flights, lambda stream, n: stream.random((n, columns)))


def bounds_of(campaign: Campaign) -> dict[str, Bounds]:
    """Return the range that each quantity's declaration allows, by path."""
    found: dict[str, Bounds] = {}
    for root, document in campaign.documents.items():
        for path, rule, _ in leaves(document, root):
            low = rule.at_least if rule.at_least is not None else rule.above
            high = rule.at_most
            found[path] = (
                -np.inf if low is None else low,
                np.inf if high is None else high,
            )
    return found


def _folded(values: Floats, low: float, high: float) -> Floats:
    """Fold what lies outside the bounds back in, as in a mirror; far out it rests on the bound."""
    values = np.where(values < low, 2.0 * low - values, values)
    values = np.where(values > high, 2.0 * high - values, values)
    return np.clip(values, low, high)


def draw(
    values: Mapping[str, float],
    sds: Mapping[str, float],
    bounds: Mapping[str, Bounds],
    seed: int,
    flights: int,
    first: int = 0,
) -> dict[str, Floats]:
    """Draw every field that carries an uncertainty, as normal, kept inside its bounds.

    The flights drawn are ``first`` and those after it, of an ensemble however long.

    Returns
    -------
    dict
        Path to an array ``(flights,)``, SI; exact fields are absent.
    """
    spread = {
        path: values[path] + sd * normals(seed, path, first, flights)
        for path, sd in sds.items()
        if sd > 0.0
    }
    return kept(values, spread, bounds)


def kept(
    values: Mapping[str, float], spread: Mapping[str, Floats], bounds: Mapping[str, Bounds]
) -> dict[str, Floats]:
    """Return spread values folded back into their bounds, and water into its vessels."""
    drawn = {
        path: _folded(each, *bounds.get(path, (-np.inf, np.inf))) for path, each in spread.items()
    }
    return drawn | _poured(values, drawn)


def _poured(values: Mapping[str, float], drawn: Mapping[str, Floats]) -> dict[str, Floats]:
    """Keep drawn water inside the vessels of the same flight, folded back at their volume."""
    both: dict[str, Any] = {**values, **drawn}
    poured: dict[str, Floats] = {}
    for root in STAGES:
        path = f"{root}.{_WATER}"
        if path in drawn:
            room = vessel_volume(as_vehicle(both, root))
            water = np.minimum(drawn[path], 2.0 * room - drawn[path])
            poured[path] = np.clip(water, 0.0, MOST_WATER * room)
    return poured
