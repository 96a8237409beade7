"""When things come free: delays, voltages, stalls, dark times."""

from __future__ import annotations

import numpy as np
import pytest
from documents.bad_wired import WIRED
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents import flatten, read_campaign
from loftwright.instruments.actuators import actuator_rows, changed, free_at
from loftwright.instruments.loads import STALLED_FOR, load
from loftwright.instruments.wiring import wire
from loftwright.physics.supply import travel_time

CAMPAIGN = read_campaign(WIRED)
VALUES, _, _ = flatten(CAMPAIGN)
WIRING = wire(CAMPAIGN.avionics)
LATCH = actuator_rows(VALUES, WIRING, "latch", 1)
LOADED = 3.9 - 0.25 * (0.06 + 0.5)
NOMINAL = 0.03 + 0.1 * 3.9 / LOADED


def freed(fields, at=2.0, until=np.inf):
    return free_at(changed(LATCH, fields), np.array([at]), until)[0]


def test_it_takes_its_delay_and_its_travel_at_the_voltage_under_load():
    assert freed({}) == pytest.approx(2.0 + NOMINAL)
    assert pytest.approx(travel_time(0.1, 3.9, LOADED, 2.9)) == NOMINAL - 0.03


@pytest.mark.parametrize(
    "fields", [{"least_voltage": 3.8}, {"voltage": 0.0}, {"holds": 0.4}, {"resistance": 3.0}]
)
def test_it_stalls(fields):
    assert freed(fields) == np.inf
    taken, long = load(changed(LATCH, fields | {"stall_draw": 1.2}))
    assert (taken[0], long[0]) == (1.2, STALLED_FOR)


def test_what_is_not_commanded_never_happens():
    assert freed({}, at=np.inf) == np.inf


def test_a_pulse_too_short_leaves_it_undone():
    assert freed({}, until=2.0 + NOMINAL - 1e-6) == np.inf
    assert freed({}, until=2.0 + NOMINAL + 1e-6) < np.inf


def test_a_dark_time_is_waited_for():
    assert freed({"dark_from": 2.05, "dark_until": 3.0}) == pytest.approx(3.0 + NOMINAL - 0.05)
    assert freed({"dark_from": 1.0, "dark_until": 3.0}) == pytest.approx(3.0 + NOMINAL)
    assert freed({"dark_from": 0.0, "dark_until": 1.0}) == pytest.approx(2.0 + NOMINAL)
    assert freed({"dark_from": 5.0}) == pytest.approx(2.0 + NOMINAL)
    assert freed({"dark_from": 1.0}) == np.inf


def test_what_sticks_comes_free_later():
    assert freed({"sticks": 0.7}) == pytest.approx(2.7 + NOMINAL)


@given(st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(0.0, 10.0))
def test_current_or_its_lack_never_makes_it_quicker(dark_from, length, at):
    dark = freed({"dark_from": dark_from, "dark_until": dark_from + length}, at)
    assert freed({}, at) <= dark + 1e-12
    assert dark <= freed({}, at) + length + 1e-9


@given(st.floats(3.3, 5.0), st.floats(3.3, 5.0))
def test_more_voltage_is_quicker(one, other):
    low, high = sorted((one, other))
    # At its own full voltage each takes as long; held against the same rest, more is quicker.
    same = {"travel_time": 0.1 / high}
    assert freed({"voltage": high} | same) <= freed({"voltage": low} | same) + 1e-12


def test_it_draws_from_its_command_until_it_has_moved():
    taken, long = load(LATCH)
    assert taken[0] == 0.5
    assert long[0] == pytest.approx(NOMINAL)
