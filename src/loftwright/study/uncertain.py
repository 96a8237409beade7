"""What the documents leave uncertain, as inputs of a function of standard normal numbers."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import prepare
from loftwright.flight.blocks import TREES, raise_trees
from loftwright.flight.draws import bounds_of, kept
from loftwright.flight.gusts import Gusts, blown, draw_fields
from loftwright.study.evaluate import BLOCK, TOLERANCE, Progress, Rows, fly_rows, shifted
from loftwright.study.ground import Ground, Grounds

__all__ = ["GUSTS", "Uncertain", "uncertain"]

Floats = NDArray[np.float64]

GUSTS = "site.wind.waves"  # the name under which gusts count as an input of their own
GUST_FIELDS = 4096  # gust fields to choose from; more than any study tells apart


@dataclass(frozen=True, slots=True)
class Uncertain:
    """What the documents leave uncertain, as inputs of a function of standard normal numbers.

    ``paths`` are the inputs that act on a flight; the last may be the gusts.
    """

    campaign: Campaign
    paths: tuple[str, ...]
    seed: int
    tolerance: float = TOLERANCE

    def fly(
        self, normal: Floats, wanted: Collection[str], progress: Progress | None = None
    ) -> dict[str, Floats]:
        """Return the columns ``wanted`` at ``normal``, (inputs, n) standard normal numbers."""
        found: dict[str, list[Floats]] = {name: [] for name in wanted}
        total, ground = normal.shape[1], Grounds().of(self.campaign)
        for start in range(0, total, BLOCK):
            part = normal[:, start : start + BLOCK]
            rows = self._rows(part, ground)
            (row,) = fly_rows([rows], self.tolerance, wanted, shifted(progress, start, total))
            never = np.full(part.shape[1], np.nan)
            for name in wanted:
                found[name].append(row.get(name, never))
        return {name: np.concatenate(parts) for name, parts in found.items()}

    def _rows(self, normal: Floats, ground: Ground) -> Rows:
        values, sds, words = flatten(self.campaign)
        flights = normal.shape[1]
        own = {path: row for path, row in zip(self.paths, normal, strict=True) if path != GUSTS}
        drawn = _drawn(values, sds, self.campaign, own)
        varied: prepare.Values = {**values, **drawn}
        gusts = self._gusts(normal[-1], varied) if GUSTS in self.paths else None
        bodies = prepare.prepare(varied, words, flights=flights, gusts=gusts)
        raise_trees(bodies, values, drawn)
        return Rows(bodies, varied, flights, ground)

    def _gusts(self, normal: Floats, values: prepare.Values) -> Gusts:
        """Take one of many gust fields for each number, carried along by the flight's own wind."""
        from scipy.special import ndtr

        fields = draw_fields(self.seed, GUST_FIELDS)
        chosen = np.minimum((ndtr(normal) * GUST_FIELDS).astype(int), GUST_FIELDS - 1)
        return blown(
            Gusts(*(part[chosen] for part in fields)),
            prepare.gust_deviation(values),
            prepare.carrying_wind(values),
            values["site.wind.from"],
        )


def _drawn(
    values: Mapping[str, float],
    sds: Mapping[str, float],
    campaign: Campaign,
    normal: Mapping[str, Floats],
) -> dict[str, Floats]:
    """Return values at standard normal numbers, kept in bounds as draws of an ensemble are."""
    bounds = bounds_of(campaign)
    spread = {path: values[path] + sds[path] * row for path, row in normal.items()}
    return kept(values, spread, bounds)


def uncertain(campaign: Campaign, seed: int, tolerance: float = TOLERANCE) -> Uncertain:
    """Return what is uncertain about a campaign, without what acts on no flight.

    The wall of a vessel is an example of that: it spreads, and a flight is the same with any.
    """
    values, sds, words = flatten(campaign)
    plain = _effect(values, words)

    def acts(path: str) -> bool:
        other = _effect({**values, path: values[path] + sds[path]}, words)
        return not all(map(np.array_equal, plain, other))

    paths = [path for path, sd in sds.items() if sd > 0.0 and acts(path)]
    if np.any(prepare.gust_deviation(values) > 0.0):
        paths.append(GUSTS)
    return Uncertain(campaign, tuple(paths), seed, tolerance)


def _effect(values: prepare.Values, words: prepare.Words) -> tuple[Any, ...]:
    """Return all that a set of values has an effect on."""
    tables: list[Any] = []
    for body in prepare.prepare(values, words):
        tables += [body.parameters, body.states, 0.0 if body.beside is None else body.beside]
    return (
        *tables,
        prepare.gust_deviation(values),
        prepare.carrying_wind(values),
        values.get("vehicle.canopy.opening_factor"),
        *(value for path, value in values.items() if path.startswith(TREES)),
    )
