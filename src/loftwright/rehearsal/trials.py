"""Many flights of many trials: block by block, in order, on all processors."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

from loftwright.flight.blocks import processors
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.tally import Tally

__all__ = ["Progress", "count_trials", "run_blocks", "run_trials"]

Progress = Callable[[int, int], None]
T = TypeVar("T")

# Flights of every trial that are under way together on one thread: so many that the engine's lanes
# are full, so few that many trials do not keep anybody waiting or fill the memory.
BLOCK, LEAST = 128, 16
PAIRS = 4096  # of a trial and a flight
AHEAD = 2  # blocks under way for each thread


def run_trials(
    plan: Plan, trials: Sequence[Trial], flights: int, progress: Progress | None = None
) -> Iterator[tuple[int, Flown]]:
    """Fly every trial, block by block in the order of flights, on all processors.

    Yields the number of each block's first flight with what was flown. Blocks do not depend on
    each other: results are the same on any number of threads.
    """
    yield from run_blocks(plan, trials, flights, fly_block, progress)


def run_blocks(
    plan: Plan,
    trials: Sequence[Trial],
    flights: int,
    job: Callable[[Plan, Sequence[Trial], int, int], T],
    progress: Progress | None = None,
    pairs: int = PAIRS,
) -> Iterator[tuple[int, T]]:
    """Do a job with every block, as `run_trials`: it gets plan, trials, first flight and count.

    ``pairs`` is how many pairs of a trial and a flight a block has at most.
    """
    workers = processors()
    size = _block(len(trials), flights, workers, pairs)
    starts = range(0, flights, size)
    if workers > 1:
        job(plan, trials[:1], 0, 1)  # what it needs is compiled here, once for all threads
    with ThreadPoolExecutor(workers) as pool:
        jobs: dict[int, Future[T]] = {}
        coming = iter(starts)
        try:
            for start in starts:
                while len(jobs) < AHEAD * workers:
                    ahead = next(coming, None)
                    if ahead is None:
                        break
                    count = min(size, flights - ahead)
                    jobs[ahead] = pool.submit(job, plan, trials, ahead, count)
                yield start, jobs.pop(start).result()
                if progress is not None:
                    done = min(start + size, flights)
                    progress(done * len(trials), flights * len(trials))
        finally:
            for job_ahead in jobs.values():
                job_ahead.cancel()


def _block(trials: int, flights: int, workers: int, pairs: int) -> int:
    """Flights of a block; few flights are shared out among the workers."""
    share = -(-flights // workers)
    return min(BLOCK, max(LEAST, min(pairs // trials, share)))


def count_trials(
    plan: Plan, trials: Sequence[Trial], flights: int, progress: Progress | None = None
) -> list[Tally]:
    """Fly every trial, and count what became of its flights."""
    tallies = [Tally() for _ in trials]
    for first, flown in run_trials(plan, trials, flights, progress):
        for number, tally in enumerate(tallies):
            tally.add(first, flown.of(number))
    return tallies
