"""A block of flights with the ascents that its cases share: what flies, for ``closing``."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.flight.blocks import Recipe, columns_of, draw_block, prepare_block
from loftwright.flight.branches import Acts, Shared, share_ascent
from loftwright.flight.carried import riders
from loftwright.flight.kernel.body import Flown
from loftwright.rehearsal.closing import Branches, acts_of

__all__ = ["Block", "worked_things"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

TOGETHER = 128  # flights whose samples are kept at once, for memory's sake
CHUNK = 1024  # flights that are flown to the ground at once


def worked_things(campaign: Campaign) -> tuple[str, ...]:
    """Return what the programs let go or open: roots of payloads, then ``"canopy"``."""
    assert campaign.avionics is not None
    worked = {actuator.works for actuator in campaign.avionics.actuator}
    return (*(root for root in campaign.payloads if root in worked), *({"canopy"} & worked))


class Block:
    """Flights ``first`` to ``first + count``, drawn once; one ascent for each set of values.

    Attributes
    ----------
    values : list of dict
        Of each ascent; the first one's are those of the flights without a fault.
    count : int
        Number of flights.
    """

    def __init__(self, recipe: Recipe, first: int, count: int, things: Sequence[str]) -> None:
        self.recipe, self.first, self.count, self.things = recipe, first, count, tuple(things)
        self._drawn = draw_block(recipe, first, count)
        carried = list(riders(recipe.words, "vehicle"))
        carried.sort(key=lambda root: root == "boosters")  # as ``prepare`` has them
        self._items = {root: number for number, root in enumerate(carried) if root in things}
        self.values: list[dict[str, Any]] = []
        self._shared: list[Shared] = []
        self.ascend({})

    def ascend(self, changed: Mapping[str, Any]) -> int:
        """Fly the push with some values changed; return the number of that ascent."""
        values = {**self._drawn.values, **changed}
        bodies = prepare_block(self.recipe, self._drawn, values)
        nothing = np.full((self.count, len(self.things)), np.nan)
        self._shared.append(
            share_ascent(
                bodies,
                self._acts(nothing),
                tolerance=self.recipe.tolerance,
                shapes=self.recipe.shapes,
            )
        )
        self.values.append(values)
        return len(self.values) - 1

    def _acts(self, times: Floats, group: int = 0, rows: Whole | None = None) -> Acts:
        """Moments as the engine takes them: a canopy meets the air a while after it is free."""
        acts = acts_of(self.things, self._items, times)
        if acts.canopy is None or rows is None:
            return acts
        delay = np.broadcast_to(self.values[group]["vehicle.canopy.delay"], self.count)
        return replace(acts, canopy=acts.canopy + delay[rows])

    def vehicles(self, branches: Branches, take: Callable[[slice, Flown, Floats], None]) -> None:
        """Fly the vehicle of every branch, a few at a time, and hand each few on with its samples.

        ``take`` gets which branches these are, what was flown, and when each ended [s].
        """
        for some in self._runs(branches, TOGETHER):
            group, rows = int(branches.group[some.start]), branches.flight[some]
            acts = self._acts(branches.acts[some], group, rows)
            flown, ended = self._shared[group].vehicles(rows, acts)
            take(some, flown, ended)

    def flights(self, branches: Branches) -> dict[str, Floats]:
        """Fly every branch to the ground, all its bodies; return figures, a row a branch."""
        parts = []
        for some in self._runs(branches, CHUNK):
            group, rows = int(branches.group[some.start]), branches.flight[some]
            raw = self._shared[group].flights(rows, self._acts(branches.acts[some], group, rows))
            parts.append(columns_of(raw, _taken(self.values[group], rows, self.count)))
        return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}

    def _runs(self, branches: Branches, most: int) -> list[slice]:
        """Cut branches, which stand in the order of their groups, into runs of one group each."""
        edges = np.flatnonzero(np.diff(branches.group)) + 1
        starts = [0, *edges.tolist(), len(branches.group)]
        return [
            slice(start, min(start + most, stop))
            for begin, stop in pairwise(starts)
            for start in range(begin, stop, most)
        ]


def _taken(values: Mapping[str, Any], rows: Whole, count: int) -> dict[str, Any]:
    """Return the values of some flights."""
    return {
        path: each[rows] if isinstance(each, np.ndarray) and each.shape == (count,) else each
        for path, each in values.items()
    }
