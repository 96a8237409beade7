"""Rows and grids of points."""

from __future__ import annotations

import numpy as np
import pytest
from study.cases import PRESSURE, WATER, bare_lift, codes, lift

from loftwright.errors import ProblemError
from loftwright.study.evaluate import Draws, evaluate
from loftwright.study.explore import explore
from loftwright.study.phrases import read_limit
from loftwright.study.spans import read_spans


def row(vary, shown=("apogee_m",), points=9, limits=(), **others):
    campaign = others.pop("campaign", bare_lift())
    held = [read_limit(campaign, each, spread=others.get("draws") is not None) for each in limits]
    return explore(campaign, read_spans(campaign, vary), shown, points=points, limits=held,
                   **others)  # fmt: skip


def test_a_row_is_the_points_of_its_range():
    found = row([f"{WATER}=0.4 L..1.4 L"])
    alone = evaluate(bare_lift(), {WATER: found.grid[0]}).columns["apogee_m"]
    assert np.array_equal(found.figures["apogee_m"], alone)
    assert found.grid[0][0] == 0.4e-3
    assert found.grid[0][-1] == pytest.approx(1.4e-3)


def test_a_grid_is_indexed_by_both_ranges():
    found = row([f"{WATER}=0.4 L..1.4 L", f"{PRESSURE}=40 psi..80 psi"], points=4)
    assert found.figures["apogee_m"].shape == (4, 4)
    there = evaluate(
        bare_lift(), {WATER: found.grid[0][2:3], PRESSURE: found.grid[1][1:2]}
    ).columns["apogee_m"][0]
    assert found.figures["apogee_m"][2, 1] == there


def test_bands_hold_the_median():
    found = row([f"{WATER}=0.6 L..1.2 L"], points=3, draws=Draws(24, 1))
    low, high = np.moveaxis(found.bands["apogee_m"], -1, 0)
    assert np.all(low < found.figures["apogee_m"])
    assert np.all(found.figures["apogee_m"] < high)


def test_the_best_point_keeps_every_limit():
    free = row([f"{WATER}=0.4 L..1.8 L"], points=29)
    held = row([f"{WATER}=0.4 L..1.8 L"], points=29, limits=["max_acceleration < 40 g"])
    assert held.grid[0][held.best_at("apogee_m")] > free.grid[0][free.best_at("apogee_m")]
    crossing = held.crossings()[0].at
    load = evaluate(bare_lift(), {WATER: np.array([crossing])}).columns["max_acceleration_m_s2"]
    assert load[0] == pytest.approx(40 * 9.80665, rel=2e-3)


def test_less_is_best_of_what_had_better_be_small():
    found = row([f"{WATER}=0.4 L..1.4 L"], ("max_acceleration_m_s2",))
    assert found.best_at("max_acceleration_m_s2") == (
        int(found.figures["max_acceleration_m_s2"].argmin()),
    )


def test_refused_points_are_told_and_left_out():
    found = row([f"{PRESSURE}=80 psi..120 psi"], points=5)
    assert [bool(each) for each in found.refused] == [False, False, False, True, True]
    assert np.isfinite(found.figures["apogee_m"]).tolist() == [True, True, True, False, False]
    assert found.best_at("apogee_m") == (2,)


def test_what_happens_nowhere_is_told():
    with pytest.raises(ProblemError) as caught:
        row([f"{WATER}=0.4 L..1.4 L"], ("release_energy_j", "apogee_m", "hold_margin"), 2)
    assert codes(caught.value) == ["study-never-happens"] * 2


def test_a_range_that_the_documents_refuse_altogether_is_told():
    with pytest.raises(ProblemError) as caught:
        row([f"{PRESSURE}=110 psi..120 psi"], points=3)
    assert codes(caught.value) == ["study-refused"]


def test_stopped_it_keeps_what_was_flown(monkeypatch):
    monkeypatch.setattr("loftwright.study.explore.SLICE", 3)
    told = []

    def progress(done, total):
        told.append((done, total))
        if done == 6:
            raise KeyboardInterrupt

    found = row([f"{WATER}=0.4 L..1.4 L"], points=9, progress=progress)
    assert found.stopped
    assert np.isfinite(found.figures["apogee_m"]).tolist() == [True] * 3 + [False] * 6
    assert told[-1] == (6, 9)


def test_the_demo_stands_where_its_documents_say():
    found = row([f"{WATER}=0.4 L..1.4 L"], points=2, campaign=lift())
    assert found.now["apogee_m"] == evaluate(lift(), {}).columns["apogee_m"][0]
