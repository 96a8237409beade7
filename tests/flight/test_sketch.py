"""The band of a quick look: that of a forecast, at fewer moments; and flights in another order."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.flight import engine
from loftwright.flight.blocks import BAND_CAPACITY, COARSE, recipe_of, rows_of, tracks_of
from loftwright.flight.kernel.body import Body
from loftwright.flight.sketch import CAPACITY, SPARSE, sketch_band
from loftwright.flight.statistics import band

COUNT = 20


@cache
def bodies_of(name: str) -> tuple[Body, ...]:
    return tuple(rows_of(recipe_of(example(name), 1, 1e-6), 0, COUNT)[0])


def flown(name: str, intervals: tuple[float, float], capacity: int, **more: Any) -> engine.Raw:
    return engine.fly_all(
        bodies_of(name), recorded=COUNT, capacity=capacity, intervals=intervals, threads=1, **more
    )


@pytest.mark.parametrize("name", ["sedge-lift-mended", "terrace-stages", "stand-bottle"])
def test_a_sketch_lies_on_the_band_of_a_forecast(name: str) -> None:
    raw = flown(name, COARSE, BAND_CAPACITY)
    whole = band([tracks_of(raw, flight) for flight in range(COUNT)])
    sketched = sketch_band([flown(name, SPARSE, CAPACITY)])
    assert {lane for lane in whole.lanes if lane.endswith(("height_m", "climb_m_s"))} == set(
        sketched.lanes
    )
    # Every moment of the sketch that the coarser clock of the forecast does not step over.
    for lane, rows in sketched.lanes.items():
        scale = np.nanmax(np.abs(whole.lanes[lane]))
        for column, known in zip(rows.T, whole.lanes[lane].T, strict=True):
            there = np.interp(sketched.time, whole.time, known)
            both = np.isfinite(column) & np.isfinite(there)
            off = np.abs(column - there)[both] / scale
            assert both.sum() > 20
            # Between moments of the forecast's clock even its own straight lines are this far off.
            assert np.quantile(off, 0.95) < 0.015, lane
            assert np.median(off) < 0.003, lane


def test_its_moments_are_closest_together_while_it_climbs() -> None:
    raw = flown("sedge-lift-mended", SPARSE, CAPACITY)
    top = float(np.nanmedian(raw.figures[:, engine.slots.APOGEE_TIME]))
    time = sketch_band([raw]).time
    assert np.all(np.diff(time) > 0.0)
    assert np.diff(time[time < top]).max() < 0.2 < np.diff(time).max()


def test_nobody_recorded_leaves_nothing() -> None:
    assert sketch_band([]).time.size == 0
    raw = engine.fly_all(bodies_of("stand-bottle"), threads=1)
    assert sketch_band([raw]).lanes == {}


@settings(max_examples=6)
@given(st.permutations(range(COUNT)))
def test_no_flight_depends_on_the_order_in_which_they_take_their_turn(order: list[int]) -> None:
    known = flown("terrace-stages", SPARSE, CAPACITY)
    found = flown("terrace-stages", SPARSE, CAPACITY, order=np.array(order), chunk=16)
    for body, figures in known.bodies.items():
        np.testing.assert_array_equal(found.bodies[body], figures, err_msg=body)
    for one, other in zip(known.tapes, found.tapes, strict=True):
        for body, tape in one.items():
            np.testing.assert_array_equal(other[body], tape, err_msg=body)
