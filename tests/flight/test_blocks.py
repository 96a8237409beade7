"""Blocks: the same flights however they are cut, and never too many under way."""

from __future__ import annotations

import pickle
from functools import cache

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.blocks import (
    BAND_FLIGHTS,
    LONGEST,
    Block,
    bands_of,
    fly_block,
    fly_here,
    in_order,
    recipe_of,
    spans,
)

RECIPE = recipe_of(example("sedge-lift"), 1, 1e-6)
# Around the end of a stretch of draws, where a mistake in the cutting would show.
FIRST, LAST = 3800, 4500


@cache
def whole() -> Block:
    return fly_block(RECIPE, FIRST, LAST - FIRST)


def assert_same(block: Block, first: int) -> None:
    where = slice(block.first - first, block.first - first + block.flights)
    for mine, others in ((block.columns, whole().columns), (block.drawn, whole().drawn)):
        assert list(mine) == list(others)
        for name, values in mine.items():
            assert values.tobytes() == others[name][where].tobytes(), name


@pytest.mark.parametrize("length", [1, 37, 256, 400])
def test_flights_are_the_same_bits_in_blocks_of_any_length(length):
    for start in range(FIRST, LAST, max(length, 150)):
        assert_same(fly_block(RECIPE, start, min(length, LAST - start)), FIRST)


@pytest.mark.parametrize("threads", [1, 3])
def test_flights_are_the_same_bits_on_any_number_of_threads(threads):
    blocks = list(fly_here(RECIPE, FIRST, LAST, threads=threads))
    assert sum(block.flights for block in blocks) == LAST - FIRST
    for block in blocks:
        assert_same(block, FIRST)


def test_a_recipe_and_a_block_can_be_sent_away():
    recipe = pickle.loads(pickle.dumps(RECIPE))
    sent = pickle.loads(pickle.dumps(fly_block(recipe, FIRST, 20)))
    assert_same(sent, FIRST)


def test_bands_come_with_the_first_block_and_can_be_had_again():
    block = fly_block(RECIPE, 0, BAND_FLIGHTS + 10)
    again = bands_of(RECIPE, 10_000)
    assert whole().band is None
    assert set(again.lanes) == set(block.band.lanes)
    for name, lane in again.lanes.items():
        assert lane.tobytes() == block.band.lanes[name].tobytes()


@given(first=st.integers(0, 10**6), more=st.integers(1, 50_000), workers=st.integers(1, 500))
def test_spans_hold_every_flight_once(first, more, workers):
    cut = list(spans(first, first + more, workers))
    starts = [start for start, _ in cut]
    assert starts == [first, *np.cumsum([first + cut[0][1], *(n for _, n in cut[1:])])[:-1]]
    assert sum(count for _, count in cut) == more
    assert max(count for _, count in cut) <= LONGEST
    # What is recorded lies in one block.
    assert cut[0][1] >= min(more, BAND_FLIGHTS)


class Job:
    """A block that is done when it is asked for; counts those under way."""

    under_way = most = 0

    def __init__(self, first: int) -> None:
        self.first, self.cancelled = first, False
        Job.under_way += 1
        Job.most = max(Job.most, Job.under_way)

    def result(self) -> int:
        Job.under_way -= 1
        if self.first == 90:
            raise RuntimeError("lost")
        return self.first

    def cancel(self) -> None:
        self.cancelled = True


@given(window=st.integers(1, 20), blocks=st.integers(1, 60))
def test_blocks_come_in_order_with_few_under_way(window, blocks):
    Job.under_way = Job.most = 0
    found = list(in_order(lambda first, _: Job(first), ((n, 1) for n in range(blocks)), window))
    assert found == list(range(blocks))
    assert Job.most <= window


def test_what_is_under_way_is_given_up_after_a_failure():
    jobs: list[Job] = []

    def submit(first: int, _count: int) -> Job:
        jobs.append(Job(first))
        return jobs[-1]

    with pytest.raises(RuntimeError):
        list(in_order(submit, ((n, 1) for n in range(1000)), 5))
    assert [job.first for job in jobs if job.cancelled] == [91, 92, 93, 94]
