"""Tapes as tracks: each column where it belongs, each event at its time."""

from __future__ import annotations

import numpy as np
import pytest

from loftwright.flight.engine import Raw
from loftwright.flight.kernel import slots
from loftwright.flight.tracks import events_of, track_of

TAPE = np.arange(3 * slots.RECORD_COLUMNS, dtype=float).reshape(3, slots.RECORD_COLUMNS)


def figures(**named):
    row = np.full((1, slots.FIGURE_COUNT), np.nan)
    for name, value in named.items():
        row[:, getattr(slots, name)] = value
    return row


def raw_of(carried=(("payload", "vehicle", 0),), tape=TAPE, **bodies):
    """What the engine would have handed back; a vehicle's flight has ended, whatever else did."""
    return Raw(
        {name: figures(**named) for name, named in bodies.items()},
        [dict.fromkeys(bodies, tape)],
        carried,
    )


def of_phase(phase):
    tape = TAPE.copy()
    tape[:, slots.RECORD_PHASE] = phase
    return tape


def test_columns_of_the_vehicle():
    tape = of_phase(slots.WATER_PHASE)
    carried = (("payload2", "vehicle", 1), ("payload", "vehicle", 0))
    track = track_of(raw_of(carried, tape, vehicle={}), "vehicle", 0)
    assert track.body == "vehicle"
    np.testing.assert_array_equal(track.time, tape[:, 0])
    np.testing.assert_array_equal(track.position, tape[:, 2:5])
    np.testing.assert_array_equal(track.velocity, tape[:, 5:8])
    np.testing.assert_array_equal(track.attitude, tape[:, 8:12])
    np.testing.assert_array_equal(track.rates, tape[:, 12:15])
    np.testing.assert_array_equal(track.water_mass, tape[:, 15])
    np.testing.assert_array_equal(track.gas_mass, tape[:, 16])
    np.testing.assert_array_equal(track.gas_temperature, tape[:, 17])
    np.testing.assert_array_equal(track.acceleration, tape[:, 23:26])
    np.testing.assert_array_equal(track.thrust, tape[:, 26])
    np.testing.assert_array_equal(track.gauge_pressure, tape[:, 27])
    np.testing.assert_array_equal(track.hold_use["payload"], tape[:, 28])
    np.testing.assert_array_equal(track.hold_use["payload2"], tape[:, 29])


@pytest.mark.parametrize("phase", [slots.POINT_PHASE, slots.GLIDE_PHASE])
def test_a_payload_holds_nothing_and_a_point_has_no_attitude(phase):
    tape = of_phase(phase)
    track = track_of(raw_of(tape=tape, vehicle={}, payload={}), "payload", 0)
    np.testing.assert_array_equal(track.position, tape[:, 2:5])
    np.testing.assert_array_equal(track.velocity, tape[:, 5:8])
    np.testing.assert_array_equal(track.acceleration, tape[:, 23:26])
    for name in ("water_mass", "gas_mass", "gauge_pressure", "thrust"):
        assert np.isnan(getattr(track, name)).all()
        assert len(getattr(track, name)) == 3
    for name in ("attitude", "rates"):
        assert np.isnan(getattr(track, name)).all() == (phase == slots.POINT_PHASE)
    assert track.hold_use == {}


FLOWN = {
    "GUIDE_EXIT_TIME": 0.1,
    "WATER_OUT_TIME": 0.3,
    "AIR_OUT_TIME": 0.4,
    "RELEASED_TIME": 0.2,
    "APOGEE_TIME": 4.0,
    "OUTCOME": slots.LANDED,
    "DOWN_TIME": 20.0,
}


def test_events_come_in_order_of_time_and_only_if_they_happened():
    raw = raw_of(vehicle=FLOWN, payload={"LET_GO_TIME": 0.2, "DOWN_TIME": 60.0})
    events = events_of(raw, "vehicle", 0)
    assert list(events) == [
        "liftoff",
        "guide exit",
        "release",
        "water out",
        "air out",
        "apogee",
        "touchdown",
    ]
    assert events["liftoff"] == 0.0
    assert events_of(raw, "payload", 0) == {"release": 0.2, "touchdown": 60.0}


def test_each_body_has_its_own_touchdown():
    raw = raw_of(vehicle=FLOWN, payload={"DOWN_TIME": 60.0})
    assert events_of(raw, "vehicle", 0)["touchdown"] == 20.0
    assert events_of(raw, "payload", 0)["touchdown"] == 60.0


def test_several_releases_carry_names():
    second = slots.RELEASED_TIME + slots.ITEM_FIGURES
    raw = raw_of(
        (("payload", "vehicle", 0), ("boosters", "vehicle", 1)), vehicle=FLOWN, booster1={}
    )
    raw.bodies["vehicle"][0, second] = 0.25
    events = events_of(raw, "vehicle", 0)
    assert events["release"] == 0.2
    assert events["release of boosters"] == 0.25


def test_events_are_the_words_of_the_trade():
    raw = raw_of(vehicle={})
    raw.bodies["vehicle"][0] = np.arange(slots.FIGURE_COUNT, dtype=float)
    assert set(events_of(raw, "vehicle", 0)) == {
        "liftoff",
        "start",
        "tube clear",
        "guide exit",
        "water out",
        "boosters out",
        "air out",
        "release",
        "apogee",
        "canopy open",
        "touchdown",
    }
