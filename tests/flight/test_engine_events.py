"""Moments of a flight: each event lies on its condition, and the track between is smooth."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from flight.campaigns import example
from flight.engine_rows import (
    column,
    figure,
    get_slot,
    legs,
    position,
    smooth,
    time_of,
    to_ground,
    vector,
    velocity,
)
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicHermiteSpline

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.events import AT_AMBIENT
from loftwright.flight.prepare import prepare

VALUES, _, WORDS = flatten(example("sedge-lift"))
VALUES = {**VALUES, "payload.hold.strength": 1e6}  # it stays on until it is let go
ACCELERATION = slice(slots.RECORD_ACCELERATION, slots.RECORD_ACCELERATION + 3)


def demo():
    return prepare(VALUES, WORDS)


@cache
def demo_flight():
    return engine.fly_all(demo(), recorded=1, capacity=60_000, intervals=(2e-4, 2e-3))


def at(tape, time):
    """Last sample before something happens, and the first after it."""
    place = np.flatnonzero(np.abs(time_of(tape) - time) < 1e-9)
    return tape[place[0]], tape[place[-1]]


def state_of(sample, name):
    return sample[slots.RECORD_STATE + getattr(slots, name) // slots.LANES]


def test_events_lie_on_their_conditions():
    raw = demo_flight()
    tape, payload = raw.tapes[0]["vehicle"], raw.tapes[0]["payload"]
    table = demo()[0].parameters
    axis = table[0, [slots.AXIS_EAST // 16, slots.AXIS_NORTH // 16, slots.AXIS_UP // 16]]

    def travelled(name):
        sample, _ = at(tape, figure(raw, name))
        return sample[slots.RECORD_STATE : slots.RECORD_STATE + 3] @ axis

    def value(name):
        return get_slot(table, name)

    assert travelled("TUBE_CLEAR_TIME") == pytest.approx(value("TUBE_LENGTH"), abs=1e-10)
    assert travelled("GUIDE_EXIT_TIME") == pytest.approx(value("GUIDE_LENGTH"), abs=1e-10)
    out, _ = at(tape, figure(raw, "WATER_OUT_TIME"))
    assert state_of(out, "WATER") == pytest.approx(value("BREAKTHROUGH"), abs=1e-12)
    out, _ = at(tape, figure(raw, "AIR_OUT_TIME"))
    assert out[slots.RECORD_PRESSURE] / VALUES["site.air.pressure"] == pytest.approx(
        AT_AMBIENT, rel=1e-2
    )
    top, _ = at(tape, figure(raw, "APOGEE_TIME"))
    assert state_of(top, "V_UP") == pytest.approx(0.0, abs=1e-10)
    assert state_of(top, "UP") == figure(raw, "APOGEE_HEIGHT") == column(tape, "UP").max()
    due = figure(raw, "RELEASED_TIME") - value("ITEM_DELAY")
    sample, _ = at(tape, due)
    assert state_of(sample, "V_UP") == pytest.approx(value("ITEM_CLIMB"), abs=1e-9)
    opened = figure(raw, "OPENED_TIME") - figure(raw, "APOGEE_TIME")
    assert opened == pytest.approx(value("CANOPY_DELAY"), abs=1e-9)
    for body in (tape, payload):
        assert column(body, "UP")[-1] == pytest.approx(0.0, abs=1e-9)


def test_the_two_bodies_part_with_their_momentum():
    raw = demo_flight()
    tape, payload = raw.tapes[0]["vehicle"], raw.tapes[0]["payload"]
    before, after = at(tape, figure(raw, "RELEASED_TIME"))
    light = VALUES["payload.mass"]
    heavy = VALUES["vehicle.mass.dry"] + state_of(after, "GAS") + max(state_of(after, "WATER"), 0)
    speeds = slice(slots.RECORD_STATE + 3, slots.RECORD_STATE + 6)
    np.testing.assert_allclose(
        light * payload[0, speeds] + heavy * after[speeds],
        (light + heavy) * before[speeds],
        rtol=1e-9,
    )


def test_where_they_touched_they_part_at_the_speed_of_the_toss():
    """Straight off the body, seen from the place that the payload leaves."""
    raw = demo_flight()
    _, after = at(raw.tapes[0]["vehicle"], figure(raw, "RELEASED_TIME"))
    first = raw.tapes[0]["payload"][:1]
    after = after[np.newaxis]
    away = position(first) - position(after)
    spin = to_ground(after, vector(after, "ROLL_RATE", "PITCH_RATE", "YAW_RATE"))
    apart = velocity(first) - velocity(after) - np.cross(spin, away)
    item = demo()[0].parameters
    out = np.array([[0.0, get_slot(item, "ITEM_Y"), get_slot(item, "ITEM_Z")]])
    straight_off = to_ground(after, out / np.linalg.norm(out))
    assert float((apart * straight_off).sum()) == pytest.approx(
        VALUES["payload.toss.speed"], rel=1e-9
    )


@pytest.mark.parametrize("body", ["vehicle", "payload"])
def test_the_track_agrees_with_its_own_derivatives(body):
    """Between events: positions by the Hermite rule from velocities, and so on."""
    tape = demo_flight().tapes[0][body]
    for leg in map(smooth, legs(tape)):
        clock = time_of(leg)
        moved = cumulative_simpson(velocity(leg), x=clock, axis=0, initial=0.0)
        np.testing.assert_allclose(moved + position(leg)[0], position(leg), atol=2e-5)
        gained = cumulative_simpson(leg[:, ACCELERATION], x=clock, axis=0, initial=0.0)
        np.testing.assert_allclose(gained + velocity(leg)[0], velocity(leg), atol=2e-3)
        halfway = CubicHermiteSpline(clock, position(leg), velocity(leg))
        middle = 0.5 * (clock[1:] + clock[:-1])
        rate = (position(leg)[1:] - position(leg)[:-1]) / np.diff(clock)[:, np.newaxis]
        np.testing.assert_allclose(halfway(middle, 1), rate, atol=0.1)


def test_attitudes_stay_of_unit_length():
    tape = demo_flight().tapes[0]["vehicle"]
    length = np.linalg.norm(vector(tape, "Q0", "Q1", "Q2", "Q3"), axis=1)
    np.testing.assert_allclose(length, 1.0, atol=2e-6)
