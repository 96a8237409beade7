"""What is true at the samples, against the flight itself and against closed forms."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from documents.bad_documents import WHOLE

from loftwright.documents import flatten, read_campaign
from loftwright.flight import engine, prepare
from loftwright.flight.kernel import slots
from loftwright.instruments.kernel.follow import AROUND, COEFFICIENT, follow
from loftwright.instruments.truth import around, truth
from loftwright.physics.atmosphere import air_pressure_at

GRAVITY = 9.80665
STILL = np.array([101325.0, 288.15, 1.225, GRAVITY, 0.0, 0.0, 0.03, 0.0])


def tape_of(time, height, climb, acceleration, phase=slots.COAST_PHASE):
    """A tape of a body that stands upright."""
    tape = np.zeros((len(time), slots.RECORD_COLUMNS))
    tape[:, slots.RECORD_TIME], tape[:, slots.RECORD_PHASE] = time, phase
    first = slots.RECORD_STATE
    tape[:, first + slots.UP // slots.LANES] = height
    tape[:, first + slots.V_UP // slots.LANES] = climb
    half = np.sqrt(0.5)  # nose up: a quarter turn that takes x to up
    tape[:, first + slots.Q0 // slots.LANES] = half
    tape[:, first + slots.Q2 // slots.LANES] = -half
    tape[:, slots.RECORD_ACCELERATION + 2] = acceleration
    return tape


def test_a_throw_is_followed_exactly_between_its_samples():
    time = np.arange(0.0, 4.1, 0.25)
    tape = tape_of(time, 20.0 * time - 0.5 * GRAVITY * time**2, 20.0 - GRAVITY * time, -GRAVITY)
    at = np.linspace(0.0, 3.99, 77)
    got = truth([tape], at, STILL[np.newaxis])
    height = 20.0 * at - 0.5 * GRAVITY * at**2
    np.testing.assert_allclose(got.height[0], height, atol=2e-5)
    np.testing.assert_allclose(got.climb[0], 20.0 - GRAVITY * at, atol=2e-5)
    np.testing.assert_allclose(got.push[0], 0.0, atol=1e-6)
    expected = [air_pressure_at(h, 101325.0, 288.15) for h in height]
    np.testing.assert_allclose(got.port[0], expected, atol=0.01)


def test_waiting_feels_gravity_and_the_pad_s_pressure():
    tape = tape_of(np.array([0.0, 1.0]), 0.0, 0.0, 30.0)
    got = truth([tape], np.array([-5.0, -0.01]), STILL[np.newaxis])
    np.testing.assert_allclose(got.push[0], GRAVITY, rtol=1e-6)
    np.testing.assert_array_equal(got.port[0], np.float32(101325.0))


def test_the_ports_feel_the_speed():
    surrounds = STILL.copy()
    surrounds[COEFFICIENT] = 0.1
    tape = tape_of(np.array([0.0, 1.0]), [0.0, 50.0], 50.0, 0.0)
    got = truth([tape], np.array([0.0]), surrounds[np.newaxis])
    assert got.port[0, 0] - 101325.0 == pytest.approx(0.1 * 0.5 * 1.225 * 2500.0, abs=0.01)


@cache
def flown():
    values, _, words = flatten(read_campaign(WHOLE))
    raw = engine.fly_all(
        prepare.prepare(values, words), recorded=1, capacity=6000, intervals=(1e-3, 1e-2)
    )
    return values, raw.tapes[0]["vehicle"]


def test_a_flight_at_its_own_samples_is_itself():
    values, tape = flown()
    late = tape[:, slots.RECORD_TIME]
    keep = np.concatenate([np.diff(late) > 0.0, [True]])  # the later of two at one event
    got = truth([tape], late[keep][:-1], around(values, 1))
    up = tape[:, slots.RECORD_STATE + slots.UP // slots.LANES]
    np.testing.assert_allclose(got.height[0], up[keep][:-1], atol=1e-4)
    assert got.push[0].max() > 5.0 * GRAVITY


def test_it_runs_uncompiled_and_gives_the_same():
    values, tape = flown()
    times = np.linspace(-1.0, 6.0, 200)
    surrounds = around(values, 1, port_coefficient=0.05)
    assert surrounds.shape == (1, AROUND)
    ours = truth([tape], times, surrounds)
    plain = [np.empty(200, np.float32) for _ in range(4)]
    follow(tape, times, surrounds[0], *plain)
    for one, other in zip(ours, plain, strict=True):
        np.testing.assert_allclose(one[0], other, rtol=1e-6, atol=1e-5)
