"""An ensemble in blocks: what one needs, how it is flown, and how many are flown in order.

A block can be flown anywhere, by a thread here or by another machine: it needs a recipe and the
numbers of its flights, and no flight depends on the block that it is flown in.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import engine, prepare
from loftwright.flight.draws import Bounds, bounds_of, draw
from loftwright.flight.figures import columns
from loftwright.flight.gusts import Gusts, draw_gusts
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.obstacles import obstacles
from loftwright.flight.results import Band, Track
from loftwright.flight.statistics import band
from loftwright.flight.tracks import track_of

__all__ = [
    "BAND_FLIGHTS",
    "Block",
    "Drawn",
    "Job",
    "Recipe",
    "bands_of",
    "columns_of",
    "draw_block",
    "fly_block",
    "fly_here",
    "in_order",
    "prepare_block",
    "processors",
    "raise_trees",
    "recipe_of",
    "rows_of",
    "spans",
    "tracks_of",
]

Floats = NDArray[np.float64]

BAND_FLIGHTS = 256
BAND_CAPACITY = 600  # samples of one track
COARSE = (1e-2, 0.1)  # s between samples of a recorded flight, while pushed and after

# Long enough that drawing and preparing a block costs little, short enough that Ctrl-C is heard
# within a second.
LONGEST = 2048
TREES = "site.shape."
AHEAD = 3  # blocks under way for each worker: enough to keep it busy while one is waited for


@dataclass(frozen=True, slots=True)
class Recipe:
    """All that a block needs, as plain data that can be sent to another machine."""

    values: dict[str, float]
    sds: dict[str, float]
    words: dict[str, str | int]
    bounds: dict[str, Bounds]
    seed: int
    tolerance: float
    shapes: Floats | None = None  # trees and buildings, as the kernel reads them


class Block(NamedTuple):
    """Flights ``first`` and following: their figures, what was drawn, and, of the first, bands."""

    first: int
    columns: dict[str, Floats]
    drawn: dict[str, Floats]
    band: Band | None = None

    @property
    def flights(self) -> int:
        """Number of flights in this block."""
        return len(self.columns["outcome"])


class Drawn(NamedTuple):
    """What was drawn for a block's flights: all values, those that vary among them, and gusts."""

    values: dict[str, Any]
    drawn: dict[str, Floats]
    gusts: Gusts
    flights: int


class Job(Protocol):
    """A block under way, here or elsewhere."""

    def result(self) -> Block:
        """Wait for the block."""

    def cancel(self) -> object:
        """Give the block up if it has not begun."""


def recipe_of(campaign: Campaign, seed: int, tolerance: float) -> Recipe:
    """Return the recipe of a campaign's flights."""
    return Recipe(
        *flatten(campaign), bounds_of(campaign), seed, tolerance, obstacles(campaign.site)
    )


def columns_of(raw: engine.Raw, values: prepare.Values) -> dict[str, Floats]:
    """Return the figures of flights under the names that people use."""
    return columns(raw, values.get("vehicle.canopy.opening_factor", 1.0))


def tracks_of(raw: engine.Raw, flight: int) -> list[Track]:
    """Return the tracks of a recorded flight, a body each."""
    return [track_of(raw, body, flight) for body, tape in raw.tapes[flight].items() if len(tape)]


def draw_block(recipe: Recipe, first: int, count: int) -> Drawn:
    """Draw all that is uncertain in flights ``first`` to ``first + count``."""
    drawn = draw(recipe.values, recipe.sds, recipe.bounds, recipe.seed, count, first)
    varied: dict[str, Any] = {**recipe.values, **drawn}
    gusts = draw_gusts(
        recipe.seed,
        count,
        prepare.gust_deviation(varied),
        prepare.carrying_wind(varied),
        varied["site.wind.from"],
        first=first,
    )
    return Drawn(varied, drawn, gusts, count)


def prepare_block(recipe: Recipe, block: Drawn, values: prepare.Values) -> list[Body]:
    """Return the engine's rows of a block whose flights have these ``values``, or others."""
    bodies = prepare.prepare(values, recipe.words, flights=block.flights, gusts=block.gusts)
    raise_trees(bodies, recipe.values, block.drawn)
    return bodies


def rows_of(
    recipe: Recipe, first: int, count: int
) -> tuple[list[Body], dict[str, Any], dict[str, Floats]]:
    """Draw and prepare flights ``first`` to ``first + count``.

    Returns the engine's rows, the values they were made of, and what of these was drawn.
    """
    block = draw_block(recipe, first, count)
    return prepare_block(recipe, block, block.values), block.values, block.drawn


def raise_trees(
    bodies: list[Body], values: Mapping[str, float], drawn: Mapping[str, Floats]
) -> None:
    """Make what stands on the ground taller, or less tall, by what was drawn.

    All of a site's tops are raised together, by the mean of their draws: one forest is not told
    from another, but how sure anybody is of heights counts.
    """
    heights = [path for path in values if path.startswith(TREES) and path.endswith(".height")]
    raised = sum(drawn[path] - values[path] for path in heights if path in drawn)
    for body in bodies:
        body.parameters[:, slots.TREES_RAISED // slots.LANES] = raised / max(len(heights), 1)


def fly_block(recipe: Recipe, first: int, count: int) -> Block:
    """Draw, prepare and fly flights ``first`` to ``first + count``, on the calling thread.

    The block that begins with flight 0 records its first ``BAND_FLIGHTS`` and brings their bands.
    """
    bodies, varied, drawn = rows_of(recipe, first, count)
    recorded = min(count, BAND_FLIGHTS) if first == 0 else 0
    raw = engine.fly_all(
        bodies,
        tolerance=recipe.tolerance,
        shapes=recipe.shapes,
        recorded=recorded,
        capacity=BAND_CAPACITY,
        intervals=COARSE,
        threads=1,
    )
    found = {**columns_of(raw, varied), "outcome": raw.figures[:, slots.OUTCOME]}
    over_time = band([tracks_of(raw, i) for i in range(recorded)]) if recorded else None
    return Block(first, found, drawn, over_time)


def bands_of(recipe: Recipe, flights: int) -> Band:
    """Fly the first flights of an ensemble again, for their bands alone."""
    over_time = fly_block(recipe, 0, min(flights, BAND_FLIGHTS)).band
    assert over_time is not None
    return over_time


def spans(first: int, flights: int, workers: int) -> Iterator[tuple[int, int]]:
    """Cut flights ``first`` to ``flights`` into blocks, each as its first flight and its length.

    Few flights are shared out among the workers; a block is never shorter than what is recorded.
    """
    chunks = -(-(flights - first) // (engine.CHUNK * AHEAD * workers))
    longest = max(BAND_FLIGHTS, min(chunks * engine.CHUNK, LONGEST))
    for start in range(first, flights, longest):
        yield start, min(longest, flights - start)


def in_order(
    submit: Callable[[int, int], Job], parts: Iterable[tuple[int, int]], window: int
) -> Generator[Block]:
    """Yield blocks in the order of their flights, with at most ``window`` of them under way."""
    waiting: deque[Job] = deque()
    try:
        for first, count in parts:
            waiting.append(submit(first, count))
            if len(waiting) >= window:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        for job in waiting:
            job.cancel()


def fly_here(
    recipe: Recipe, first: int, flights: int, *, threads: int | None = None
) -> Generator[Block]:
    """Fly flights ``first`` to ``flights`` on the threads of this machine."""
    workers = threads or processors()
    with ThreadPoolExecutor(workers) as pool:
        yield from in_order(
            lambda start, count: pool.submit(fly_block, recipe, start, count),
            spans(first, flights, workers),
            AHEAD * workers,
        )


def processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
