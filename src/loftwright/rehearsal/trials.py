"""Many flights of many trials: block by block, in order, on all processors."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor

from loftwright.flight.blocks import processors
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.tally import Tally

__all__ = ["count_trials", "run_trials"]

Progress = Callable[[int, int], None]

BLOCK = 64  # flights of every trial that are under way together on one thread
AHEAD = 2  # blocks under way for each thread


def run_trials(
    plan: Plan, trials: Sequence[Trial], flights: int, progress: Progress | None = None
) -> Iterator[tuple[int, Flown]]:
    """Fly every trial, block by block in the order of flights, on all processors.

    Yields the number of each block's first flight with what was flown. Blocks do not depend on
    each other: results are the same on any number of threads.
    """
    starts = range(0, flights, BLOCK)
    workers = processors()
    with ThreadPoolExecutor(workers) as pool:
        jobs: dict[int, Future[Flown]] = {}
        coming = iter(starts)
        try:
            for start in starts:
                while len(jobs) < AHEAD * workers:
                    ahead = next(coming, None)
                    if ahead is None:
                        break
                    count = min(BLOCK, flights - ahead)
                    jobs[ahead] = pool.submit(fly_block, plan, trials, ahead, count)
                yield start, jobs.pop(start).result()
                if progress is not None:
                    done = min(start + BLOCK, flights)
                    progress(done * len(trials), flights * len(trials))
        finally:
            for job in jobs.values():
                job.cancel()


def count_trials(
    plan: Plan, trials: Sequence[Trial], flights: int, progress: Progress | None = None
) -> list[Tally]:
    """Fly every trial, and count what became of its flights."""
    tallies = [Tally() for _ in trials]
    for first, flown in run_trials(plan, trials, flights, progress):
        for number, tally in enumerate(tallies):
            tally.add(first, flown.of(number))
    return tallies
