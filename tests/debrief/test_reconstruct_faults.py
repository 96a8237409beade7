"""Records of instruments that fail: what says nothing is left out, and what cannot be is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from debrief.made_up_logs import WARM, made_up

from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.reconstruct import reconstruct
from loftwright.debrief.reconstruction.unfit import without_unfit
from loftwright.errors import ProblemError
from loftwright.units import Quantity

BOARD = Instrument(
    name="board", noise=1.5, resolution=0.1, drift=Quantity(0.0, 0.02), every=0.02,
    least=30_000.0, most=110_000.0,
)  # fmt: skip


@pytest.fixture(scope="module")
def flight():
    return made_up(seed=3)


def seen(log):
    return reconstruct(log, BOARD, pad_temperature=WARM, pad_pressure=None, pad_temperature_sd=0.5)


def broken(found):
    return {each.name for each in found.checks if each.agrees is False}


def kinds(found):
    return {each.kind for each in found.artefacts}


def test_a_sound_record_has_nothing_unfit(flight):
    log, unfit = without_unfit(flight.log, BOARD)
    assert log is flight.log
    assert unfit == ()
    assert not broken(seen(flight.log))


@pytest.mark.parametrize("end", [30_000.0, 110_000.0])
def test_an_end_of_the_range_is_no_height(flight, end):
    pressure = flight.log.pressure_pa.copy()
    first = flight.row(flight.events["apogee"] + 3.0)
    pressure[first:] = end
    found = seen(flight.with_pressure(pressure))
    assert abs(found.apogee.value - flight.apogee) < 0.6
    assert "out of range" in kinds(found)
    assert not found.used[first:].any()
    assert "touchdown" in {each.kind for each in found.missing}


def test_a_sensor_that_freezes_before_the_top_shows_none(flight):
    pressure = flight.log.pressure_pa.copy()
    first = flight.row(flight.events["apogee"] - 1.0)
    pressure[first:] = pressure[first]
    found = seen(flight.with_pressure(pressure))
    assert "frozen" in kinds(found)
    assert not found.used[first + 1 :].any()
    assert found.apogee is None
    assert {"apogee", "touchdown"} <= {each.kind for each in found.missing}


def test_vents_that_are_blocked_in_the_air_break_a_law(flight):
    pressure = flight.log.pressure_pa.copy()
    first = flight.row(flight.events["apogee"] + 2.0)
    noise = np.random.default_rng(4).normal(0.0, 1.5, len(pressure) - first)
    pressure[first:] = np.round((pressure[first] + noise) / 0.1) * 0.1
    assert "what is in the air falls" in broken(seen(flight.with_pressure(pressure)))


def test_a_push_without_a_climb_is_told_as_blocked_vents(flight):
    rest = np.random.default_rng(5).normal(101_000.0, 1.5, len(flight.time))
    push = np.where((flight.time > 0.0) & (flight.time < 0.3), 200.0, 9.8)
    log = replace(flight.with_pressure(rest), push_m_s2=push)
    with pytest.raises(ProblemError) as caught:
        seen(log)
    problem = caught.value.problems[0]
    assert problem.code == "log-no-liftoff"
    assert "vents are blocked" in problem.message


def test_a_climb_that_drag_could_not_end_breaks_a_law(flight):
    pressure = flight.log.pressure_pa.copy()
    # Gas that leaks into the bay while it is pushed: low first, then all at once where it is.
    at = flight.time
    pressure += 500.0 * np.clip(at / 0.2, 0.0, 1.0) * np.clip((0.55 - at) / 0.1, 0.0, 1.0)
    assert "drag goes with the square of the climb" in broken(seen(flight.with_pressure(pressure)))


def test_values_that_repeat_do_not_count_twice(flight):
    pressure = flight.log.pressure_pa.copy()
    luck = np.random.default_rng(6).random(len(pressure))
    for row in range(1, len(pressure)):
        if luck[row] < 0.4:
            pressure[row] = pressure[row - 1]
    found = seen(flight.with_pressure(pressure))
    assert "repeated" in kinds(found)
    assert abs(found.apogee.value - flight.apogee) < 0.6
