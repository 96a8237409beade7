"""Runs the compiled engine: chunks of flights on threads, whose number changes no result."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel import slots
from loftwright.flight.kernel.compile import compiled, is_cached
from loftwright.flight.kernel.driver import fly_phase
from loftwright.flight.kernel.fly import fly, warm_up

__all__ = ["Progress", "Raw", "fly_all", "is_ready"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

# Enough flights to keep sixteen lanes busy through every phase, few enough to share out.
CHUNK = 256
# Errors of single steps add up: held to this share of the tolerance, figures of the whole flight
# keep within a few times it (measured; see docs, "Speed").
LOCAL_SHARE = 0.3


class Raw(NamedTuple):
    """What the engine hands back, in the order of the flights.

    ``figures`` is (n, slots.FIGURE_COUNT); ``tapes`` holds for each recorded flight the samples of
    the vehicle and of the payload, (k, slots.RECORD_COLUMNS), k = 0 for a payload not released.
    """

    figures: Floats
    tapes: list[tuple[Floats, Floats]]


@cache
def _engine() -> Any:
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


def _fly_chunk(
    parameters: Floats,
    states: Floats,
    tolerance: float,
    recorded: int,
    capacity: int,
    intervals: tuple[float, float],
) -> Raw:
    records = np.zeros((2 * recorded, capacity, slots.RECORD_COLUMNS))
    figures, counts = fly(
        _engine(), parameters, states, LOCAL_SHARE * tolerance, records, np.array(intervals, float)
    )
    tapes = [
        (
            records[i, : counts[i]].copy(),
            records[recorded + i, : counts[recorded + i]].copy(),
        )
        for i in range(recorded)
    ]
    return Raw(figures, tapes)


def fly_all(
    parameters: Floats,
    states: Floats,
    *,
    tolerance: float = 1e-6,
    recorded: int = 0,
    capacity: int = 1,
    intervals: tuple[float, float] = (1e-3, 1e-2),
    progress: Progress | None = None,
    threads: int | None = None,
) -> Raw:
    """Fly every row; the first ``recorded`` flights leave tapes.

    Parameters
    ----------
    parameters : (n, slots.PARAMETER_COUNT) array
        Rows as ``prepare`` makes them; left unchanged.
    states : (n, slots.STATES) array
        States at first motion; left unchanged.
    tolerance : float
        Relative tolerance of figures; single steps are held to ``LOCAL_SHARE`` of it.
    recorded, capacity : int
        Flights to record, and the most samples of one track.
    intervals : tuple of float
        Seconds between samples while pushed, and after.
    progress : callable, optional
        Called with flights done and their total, from the calling thread.
    threads : int, optional
        As many as there are processors when left out. Results do not depend on it.
    """
    n = len(parameters)
    starts = list(range(0, n, CHUNK))
    _engine()  # before threads ask for it

    def run(start: int) -> Raw:
        stop = min(start + CHUNK, n)
        return _fly_chunk(
            parameters[start:stop].copy(),
            states[start:stop].copy(),
            tolerance,
            max(0, min(recorded, stop) - start),
            capacity,
            intervals,
        )

    parts = _run_all(run, starts, n, threads or _threads(), progress)
    return Raw(
        np.concatenate([part.figures for part in parts]),
        [tape for part in parts for tape in part.tapes],
    )


def _run_all(
    run: Callable[[int], Raw],
    starts: list[int],
    total: int,
    threads: int,
    progress: Progress | None,
) -> list[Raw]:
    if len(starts) == 1:
        return [run(starts[0])]
    parts: list[Raw] = []
    with ThreadPoolExecutor(threads) as pool:
        try:
            for part in pool.map(run, starts):
                parts.append(part)
                if progress is not None:
                    progress(min(len(parts) * CHUNK, total), total)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return parts
