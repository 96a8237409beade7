"""Draws of what the documents leave uncertain: seeded, and each field on a stream of its own.

A stream is named by its path, so making one more field uncertain leaves the draws of all others
as they were, and flight i of a long ensemble is flight i of a short one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import leaves
from loftwright.flight.masses import vessel_volume

__all__ = ["Bounds", "bounds_of", "draw", "generator", "kept"]

Floats = NDArray[np.float64]

_WATER = "vehicle.fill.water_volume"
MOST_WATER = 0.999  # of the vessels; some gas must push
Bounds = tuple[float, float]


def generator(seed: int, path: str) -> np.random.Generator:
    """Return the random stream of ``path`` under ``seed`` (Philox, counter-based)."""
    digest = hashlib.sha256(f"{seed}:{path}".encode()).digest()
    key = np.frombuffer(digest[:16], dtype=np.uint64)
    return np.random.Generator(np.random.Philox(key=key))


def bounds_of(campaign: Campaign) -> dict[str, Bounds]:
    """Return the range that each quantity's declaration allows, by path."""
    found: dict[str, Bounds] = {}
    documents = {
        "vehicle": campaign.vehicle,
        "payload": campaign.payload,
        "site": campaign.site,
    }
    for root, document in documents.items():
        if document is None:
            continue
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
) -> dict[str, Floats]:
    """Draw every field that carries an uncertainty, as normal, kept inside its bounds.

    Returns
    -------
    dict
        Path to an array ``(flights,)``, SI; exact fields are absent.
    """
    spread = {
        path: values[path] + sd * generator(seed, path).standard_normal(flights)
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
    if _WATER not in drawn:
        return {}
    both: dict[str, Any] = {**values, **drawn}
    room = vessel_volume(both)
    water = np.minimum(drawn[_WATER], 2.0 * room - drawn[_WATER])
    return {_WATER: np.clip(water, 0.0, MOST_WATER * room)}
