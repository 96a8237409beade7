"""A log that shows no flight says so, and invents nothing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from debrief.made_up_logs import made_up

from loftwright.debrief.reconstruction.instrument import assumed_instrument
from loftwright.debrief.reconstruction.unfit import without_unfit
from loftwright.debrief.reconstruction.unseen import reconstruct_or_tell, shows_nothing
from loftwright.errors import ProblemError


@pytest.fixture(scope="module")
def log():
    return made_up(seed=12).log


def told(log, **about):
    about = {"pad_temperature": 288.15, "pad_pressure": None} | about
    return reconstruct_or_tell(log, assumed_instrument(log), **about)


def dead(log, value):
    return replace(log, pressure_pa=np.full(len(log.time_s), value))


@pytest.mark.parametrize("value", [float("nan"), 0.0, 101_300.0])
def test_a_dead_sensor_shows_nothing(log, value):
    blind = dead(log, value)
    assert shows_nothing(blind)
    found = told(blind)
    assert found.apogee is found.apogee_time is found.max_climb is None
    assert not found.events
    assert math.isnan(found.liftoff_s)
    assert {each.kind for each in found.missing} >= {"liftoff", "release", "apogee", "touchdown"}
    assert [each.agrees for each in found.checks] == [False]


def test_a_rest_on_the_pad_is_no_flight(log):
    rest = replace(log, pressure_pa=101_300.0 + 3.0 * np.sin(np.arange(len(log.time_s))))
    assert not shows_nothing(rest)
    found = told(rest)
    assert found.apogee is None
    assert "nothing in it rises" in found.missing[0].why


def test_a_liftoff_that_is_told_and_cannot_be_is_refused(log):
    with pytest.raises(ProblemError):
        told(log, liftoff_s=1e6)


def test_a_flight_that_is_there_is_reconstructed(log):
    assert told(log).apogee is not None


def test_a_sensor_that_freezes_in_the_climb_shows_no_top(log):
    start = told(log).liftoff_s
    frozen = log.pressure_pa.copy()
    row = int(np.searchsorted(log.time_s, start + 1.0))
    frozen[row:] = frozen[row]
    found = told(replace(log, pressure_pa=frozen))
    assert found.apogee is None
    assert {"apogee", "touchdown"} <= {each.kind for each in found.missing}
    assert any(each.kind == "frozen" for each in found.artefacts)
    assert "nan" not in " ".join(each.why for each in found.missing)


def test_a_sensor_that_falls_to_zero_shows_no_more(log):
    start = told(log).liftoff_s
    gone = log.pressure_pa.copy()
    gone[int(np.searchsorted(log.time_s, start + 1.0)) :] = 0.0
    found = told(replace(log, pressure_pa=gone))
    assert found.apogee is None
    assert "nan" not in " ".join(each.why for each in found.missing)


def test_a_coarse_sensor_counts_throughout(log):
    for digits in (0, -1, -2):
        coarse = replace(log, pressure_pa=np.round(log.pressure_pa, digits))
        late = slice(-len(log.time_s) * 9 // 10, None)  # with little of the pad
        coarse = replace(coarse, time_s=coarse.time_s[late], pressure_pa=coarse.pressure_pa[late])
        clean, unfit = without_unfit(coarse, assumed_instrument(coarse))
        assert not unfit
        assert np.array_equal(clean.pressure_pa, coarse.pressure_pa)
    assert not without_unfit(log, assumed_instrument(log))[1]
