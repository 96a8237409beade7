"""Runs the compiled engine: chunks of flights on threads, whose number changes no result."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.compiling.clone import compiled, is_cached
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body, Flown
from loftwright.flight.kernel.driver import fly_phase
from loftwright.flight.kernel.fly import fly, warm_up

__all__ = [
    "Progress",
    "Raw",
    "compiled_engine",
    "fly_all",
    "gather",
    "is_ready",
    "tolerances",
]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

# Enough flights to keep sixteen lanes busy through every phase, few enough to share out.
CHUNK = 256
# One thread has nobody to share with: in a long chunk the last flights, which leave lanes idle, are
# few among many (gliders that fly ten times as long as others cost half of all time in short ones).
LONG_CHUNK = 2048
# Errors of single steps add up: held to this share of the tolerance, figures of the whole flight
# keep within a few times it. What is wrong at burnout grows all the way up, what a coast adds does
# not (measured; see docs, "Speed").
PUSH_SHARE, COAST_SHARE, DESCENT_LOCAL_SHARE = 0.1, 1.0, 0.3
# Nothing is worked out from how a descent ends, so its errors add up to nothing but a landing's;
# a wing's is most of a flight's steps (what each share does to landings: docs, "Speed"). The load
# of an opening canopy keeps the first of these small.
DESCENT_SHARE = 10.0
GLIDE_SHARE = 100.0


class Raw(NamedTuple):
    """What the engine hands back, in the order of the flights.

    ``bodies`` holds the figures of each body, (n, slots.FIGURE_COUNT), the one on the pad first;
    ``tapes`` holds for each recorded flight the samples of each body, (k, slots.RECORD_COLUMNS),
    k = 0 for one that was not let go. ``carried`` says what each carries: name of the thing, name
    of its carrier, number among that one's things; boosters count as one.
    """

    bodies: dict[str, Floats]
    tapes: list[dict[str, Floats]]
    carried: tuple[tuple[str, str, int], ...] = ()

    @property
    def figures(self) -> Floats:
        """Figures of the body on the pad."""
        return next(iter(self.bodies.values()))


@cache
def compiled_engine() -> Any:
    """Load the engine, or compile it where that has not been done before."""
    engine = compiled(fly_phase)
    resting = gc.isenabled()
    # A compiler makes millions of objects that all live: looking for garbage among them takes a
    # seventh of its time.
    gc.disable()
    try:
        warm_up(engine)
    finally:
        if resting:
            gc.enable()
    return engine


def is_ready() -> bool:
    """Tell whether this machine has compiled the engine before (else it takes some seconds)."""
    return is_cached(fly_phase)


def _threads() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def tolerances(tolerance: float, descent_tolerance: float | None = None) -> tuple[float, ...]:
    """Relative tolerance of single steps in each phase.

    Descents under a canopy or as a point take ``DESCENT_SHARE`` times that of the ascent, and a
    glide on a described wing ``GLIDE_SHARE`` times; all of them ``descent_tolerance`` where it is
    given.
    """
    pushes = dict.fromkeys(range(slots.COAST_PHASE), tolerance * PUSH_SHARE)
    shares = {
        slots.CANOPY_PHASE: DESCENT_SHARE,
        slots.POINT_PHASE: DESCENT_SHARE,
        slots.GLIDE_PHASE: GLIDE_SHARE,
    }
    descents = {
        phase: DESCENT_LOCAL_SHARE * (descent_tolerance or tolerance * share)
        for phase, share in shares.items()
    }
    steps = {**pushes, slots.COAST_PHASE: tolerance * COAST_SHARE, **descents}
    return tuple(steps[phase] for phase in range(slots.ENDED))


def _cut(body: Body, flights: NDArray[np.int64]) -> Body:
    """Some of a body's flights, in tables of their own."""
    beside = body.beside
    return body._replace(
        parameters=body.parameters[flights],
        states=body.states[flights],
        beside=beside if beside is None or beside.ndim == 1 else beside[flights],
    )


def fly_all(
    bodies: Sequence[Body],
    *,
    tolerance: float = 1e-6,
    descent_tolerance: float | None = None,
    shapes: Floats | None = None,
    recorded: int = 0,
    capacity: int = 1,
    intervals: tuple[float, float] = (1e-3, 1e-2),
    progress: Progress | None = None,
    threads: int | None = None,
    chunk: int | None = None,
    order: NDArray[np.int64] | None = None,
) -> Raw:
    """Fly every row; the first ``recorded`` flights leave tapes.

    Parameters
    ----------
    bodies : sequence of Body
        As ``prepare`` makes them, n rows each; left unchanged.
    tolerance, descent_tolerance : float
        Relative tolerance of figures, and of what happens under a canopy or after a release; see
        `tolerances` for what single steps are held to.
    shapes : array, optional
        Trees and buildings, as ``kernel.obstacles`` reads them.
    recorded, capacity : int
        Flights to record, and the most samples of one track.
    intervals : tuple of float
        Seconds between samples while pushed, and after.
    progress : callable, optional
        Called with flights done and their total, from the calling thread.
    threads : int, optional
        As many as there are processors when left out. Results do not depend on it.
    chunk : int, optional
        Flights that a thread takes at a time; chosen when left out. Nor do they depend on this.
    order : (n,) array of int, optional
        The order in which flights take their turn; nor on this. A set of lanes is done when its
        longest flight is: where it is known which are long, they are better flown side by side.
        With it, all flights are recorded or none.
    """
    n = len(bodies[0].parameters)
    turns = np.arange(n) if order is None else order
    chunk = chunk or (LONG_CHUNK if threads == 1 else CHUNK)
    starts = list(range(0, n, chunk))
    engine = compiled_engine()  # before threads ask for it
    each_phase = tolerances(tolerance, descent_tolerance)
    ground = np.zeros(1) if shapes is None else shapes

    def run(start: int) -> list[Flown]:
        stop = min(start + chunk, n)
        return fly(
            engine,
            [_cut(body, turns[start:stop]) for body in bodies],
            each_phase,
            ground,
            max(0, min(recorded, stop) - start),
            capacity,
            np.array(intervals, float),
        )

    def count(done: int) -> None:
        if progress is not None:
            progress(min(done * chunk, n), n)

    parts = _run_all(run, starts, threads or _threads(), count)
    raw = gather(bodies, parts)
    return raw if order is None else _in_place(raw, order)


def _in_place(raw: Raw, order: NDArray[np.int64]) -> Raw:
    """Put flights that took their turn in some order back into their own."""
    back = np.argsort(order)
    tapes = [raw.tapes[place] for place in back] if raw.tapes else []
    return raw._replace(
        bodies={name: figures[back] for name, figures in raw.bodies.items()}, tapes=tapes
    )


def gather(bodies: Sequence[Body], parts: list[list[Flown]]) -> Raw:
    """Put what became of the bodies in parts of a batch together, in the order of the parts."""
    names = [body.name for body in bodies]
    return Raw(
        {name: np.concatenate([part[k].figures for part in parts]) for k, name in enumerate(names)},
        [tape for part in parts for tape in _tapes(names, part)],
        tuple(dict.fromkeys(_carried(bodies))),
    )


def _carried(bodies: Sequence[Body]) -> Iterator[tuple[str, str, int]]:
    for body in bodies:
        for parent, item in body.parents:
            name = "boosters" if body.is_booster else body.name
            yield name, bodies[parent].name, item


def _tapes(names: Sequence[str], part: list[Flown]) -> Iterator[dict[str, Floats]]:
    """Samples of each recorded flight of a chunk, by body."""
    for flight in range(len(part[0].records)):
        yield {
            name: body.records[flight, : body.counts[flight]].copy()
            for name, body in zip(names, part, strict=True)
        }


def _run_all(
    run: Callable[[int], list[Flown]],
    starts: list[int],
    threads: int,
    count: Callable[[int], None],
) -> list[list[Flown]]:
    if len(starts) == 1:
        return [run(starts[0])]
    parts: list[list[Flown]] = []
    with ThreadPoolExecutor(threads) as pool:
        try:
            for part in pool.map(run, starts):
                parts.append(part)
                count(len(parts))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return parts
