"""Tapes as tracks: each column where it belongs, each event at its time."""

from __future__ import annotations

import numpy as np
import pytest

from loftwright.flight.kernel import slots
from loftwright.flight.tracks import events_of, payload_track, vehicle_track

TAPE = np.arange(3 * slots.RECORD_COLUMNS, dtype=float).reshape(3, slots.RECORD_COLUMNS)


def figures(**named):
    row = np.full(slots.FIGURE_COUNT, np.nan)
    for name, value in named.items():
        row[getattr(slots, name)] = value
    return row


def test_columns_of_the_vehicle():
    track = vehicle_track(TAPE, figures())
    assert track.body == "vehicle"
    np.testing.assert_array_equal(track.time, TAPE[:, 0])
    np.testing.assert_array_equal(track.position, TAPE[:, 2:5])
    np.testing.assert_array_equal(track.velocity, TAPE[:, 5:8])
    np.testing.assert_array_equal(track.attitude, TAPE[:, 8:12])
    np.testing.assert_array_equal(track.rates, TAPE[:, 12:15])
    np.testing.assert_array_equal(track.water_mass, TAPE[:, 15])
    np.testing.assert_array_equal(track.gas_mass, TAPE[:, 16])
    np.testing.assert_array_equal(track.gas_temperature, TAPE[:, 17])
    np.testing.assert_array_equal(track.acceleration, TAPE[:, 19:22])
    np.testing.assert_array_equal(track.thrust, TAPE[:, 22])
    np.testing.assert_array_equal(track.gauge_pressure, TAPE[:, 23])


def test_a_payload_is_a_point_that_holds_nothing():
    track = payload_track(TAPE, figures())
    np.testing.assert_array_equal(track.position, TAPE[:, 2:5])
    np.testing.assert_array_equal(track.velocity, TAPE[:, 5:8])
    np.testing.assert_array_equal(track.acceleration, TAPE[:, 19:22])
    for name in ("attitude", "rates", "water_mass", "gas_mass", "gauge_pressure", "thrust"):
        assert np.isnan(getattr(track, name)).all()
        assert len(getattr(track, name)) == 3


def test_events_come_in_order_of_time_and_only_if_they_happened():
    row = figures(
        GUIDE_EXIT_TIME=0.1,
        WATER_OUT_TIME=0.3,
        AIR_OUT_TIME=0.4,
        RELEASED_TIME=0.2,
        APOGEE_TIME=4.0,
    )
    events = events_of(row, "vehicle")
    assert list(events) == ["liftoff", "guide exit", "release", "water out", "air out", "apogee"]
    assert events["liftoff"] == 0.0
    assert events_of(row, "payload") == {"release": 0.2}


@pytest.mark.parametrize("body", ["vehicle", "payload"])
def test_each_body_has_its_own_touchdown(body):
    row = figures(VEHICLE_DOWN_TIME=20.0, PAYLOAD_DOWN_TIME=60.0)
    assert events_of(row, body)["touchdown"] == (20.0 if body == "vehicle" else 60.0)


def test_events_are_the_words_of_the_trade():
    row = np.arange(slots.FIGURE_COUNT, dtype=float)
    assert set(events_of(row, "vehicle")) == {
        "liftoff",
        "tube clear",
        "guide exit",
        "water out",
        "air out",
        "release",
        "apogee",
        "canopy open",
        "touchdown",
    }
