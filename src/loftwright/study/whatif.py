"""What would be if: a small ensemble of the campaign with other values, at once.

Every question is flown with the same draws, so that what moves from one answer to the next moves
because of the values and not by chance; and flight i of an answer is flight i of ``forecast`` with
the same values and seed. An answer grows: a few flights at once, more while nobody asks anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.flight import engine
from loftwright.flight.blocks import (
    BAND_CAPACITY,
    BAND_FLIGHTS,
    COARSE,
    Recipe,
    columns_of,
    processors,
    recipe_of,
    rows_of,
    tracks_of,
)
from loftwright.flight.kernel import slots
from loftwright.flight.results import Band, Track
from loftwright.flight.sketch import CAPACITY, SPARSE, sketch_band
from loftwright.flight.statistics import band
from loftwright.study.asked import asked_campaign

__all__ = ["AT_ONCE", "Flies", "Question", "WhatIf", "WhatIfAnswer", "shares_of"]

Floats = NDArray[np.float64]

TOLERANCE = 1e-6
LANES = slots.LANES  # flights that the engine flies side by side
AT_ONCE = 2 * LANES  # of the first answer: what two threads fly in one go
SLICE = 2 * LANES  # between looks whether somebody asks anew


@dataclass(frozen=True, slots=True)
class WhatIfAnswer:
    """What was flown with the values that were asked.

    ``columns`` holds every figure of `flight.figures.columns`, a row a flight; the ``band`` has at
    least the lanes ``height_m`` and ``climb_m_s``. ``values`` are the values as they were asked.
    """

    campaign: Campaign
    values: dict[str, str]
    columns: dict[str, Floats]
    band: Band
    seed: int

    @property
    def flights(self) -> int:
        """Number of flights."""
        return len(self.columns["apogee_m"])


class Flies(Protocol):
    """How flights of a question are flown: some of them, and the band over all that were."""

    def fly(self, first: int, count: int) -> dict[str, Floats]:
        """Fly flights ``first`` to ``first + count``; return their columns."""

    def band(self) -> Band:
        """Return the band over what was flown."""


@dataclass(slots=True)
class Question:
    """One question, and what has been flown for it so far."""

    campaign: Campaign
    values: dict[str, str]
    seed: int
    by: Flies
    parts: list[dict[str, Floats]] = field(default_factory=list)
    done: int = 0
    told: WhatIfAnswer | None = None  # the last answer

    def fly(self, flights: int, go_on: Callable[[], bool] = lambda: True) -> bool:
        """Fly until there are ``flights``; False where ``go_on`` said that nobody waits for it."""
        while self.done < flights:
            if not go_on():
                return False
            count = min(SLICE if self.done else AT_ONCE, flights - self.done)
            self.parts.append(self.by.fly(self.done, count))
            self.done += count
        return True

    def answer(self) -> WhatIfAnswer:
        """Return what has been flown so far."""
        if self.told is not None and self.told.flights == self.done:
            return self.told
        columns = {
            name: np.concatenate([part[name] for part in self.parts]) for name in self.parts[0]
        }
        self.told = WhatIfAnswer(self.campaign, self.values, columns, self.by.band(), self.seed)
        return self.told


class WhatIf:
    """A campaign that is asked what would be with other values.

    Answers do not depend on what was asked before.
    """

    def __init__(self, campaign: Campaign, seed: int = 1) -> None:
        self.campaign, self.seed = campaign, seed
        self.pool = ThreadPoolExecutor(processors())
        self._turns: _Turns = {}

    def ask(self, values: Mapping[str, str], *, sketched: bool = False) -> Question:
        """Return the question with these values (see `asked_campaign`), nothing flown yet.

        The same is flown for one that is only ``sketched``, and less of it written down: its band
        is that of `sketch_band`.

        Raises ``ProblemError`` where the documents would not read with them.
        """
        there = asked_campaign(self.campaign, values)
        recipe = recipe_of(there, self.seed, TOLERANCE)
        way = _Sketched if sketched else _ByDocuments
        return Question(there, dict(values), self.seed, way(recipe, self._turns))

    def answer(self, values: Mapping[str, str], flights: int = AT_ONCE) -> WhatIfAnswer:
        """Ask, fly and answer."""
        question = self.ask(values)
        question.fly(flights)
        return question.answer()


_Turns = dict[tuple[int, int], NDArray[np.int64]]


@dataclass(slots=True)
class _Engine:
    """Flights as ``forecast`` flies them: the moments of the documents count.

    ``turns`` are shared by all questions: which flights were long the last time, by the first and
    the number of them. With nearly the same values the same will be, and are flown side by side.
    """

    recipe: Recipe
    turns: _Turns

    def flown(
        self, first: int, count: int, intervals: tuple[float, float], capacity: int
    ) -> tuple[engine.Raw, dict[str, Floats]]:
        """Fly some flights; return what the engine hands back, and their columns."""
        # Prepared in one go: with so few flights it is the number of calls that costs.
        bodies, varied, _ = rows_of(self.recipe, first, count)
        recorded = max(0, min(count, BAND_FLIGHTS - first))
        workers = processors()
        raw = engine.fly_all(
            bodies,
            tolerance=self.recipe.tolerance,
            shapes=self.recipe.shapes,
            recorded=recorded,
            capacity=capacity,
            intervals=intervals,
            threads=workers,
            chunk=-(-count // (workers * LANES)) * LANES,
            order=self.turns.get((first, count)) if recorded in (0, count) else None,
        )
        self.turns[first, count] = _longest_first(raw)
        return raw, {**columns_of(raw, varied), "outcome": raw.figures[:, slots.OUTCOME]}


@dataclass(slots=True)
class _ByDocuments(_Engine):
    """Flights whose band is that of a forecast."""

    tracks: list[list[Track]] = field(default_factory=list)

    def fly(self, first: int, count: int) -> dict[str, Floats]:
        raw, columns = self.flown(first, count, COARSE, BAND_CAPACITY)
        self.tracks += [tracks_of(raw, flight) for flight in range(len(raw.tapes))]
        return columns

    def band(self) -> Band:
        return band(self.tracks)


@dataclass(slots=True)
class _Sketched(_Engine):
    """The same flights, of which less is written down."""

    raws: list[engine.Raw] = field(default_factory=list)

    def fly(self, first: int, count: int) -> dict[str, Floats]:
        raw, columns = self.flown(first, count, SPARSE, CAPACITY)
        self.raws.append(raw)
        return columns

    def band(self) -> Band:
        return sketch_band(self.raws)


def _longest_first(raw: engine.Raw) -> NDArray[np.int64]:
    """Return flights by how long it took until all of theirs was down, the longest first."""
    down = [np.nan_to_num(figures[:, slots.DOWN_TIME]) for figures in raw.bodies.values()]
    return np.argsort(-np.maximum.reduce(down), kind="stable")


def shares_of(first: int, count: int, workers: int) -> Iterator[tuple[int, int]]:
    """Yield first flight and number of each worker's share, in whole sets of lanes."""
    sets = -(-count // LANES)
    each = -(-sets // workers) * LANES
    for start in range(first, first + count, each):
        yield start, min(each, first + count - start)
