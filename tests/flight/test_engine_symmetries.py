"""Symmetries of whole flights: turned, mirrored, and with things carried elsewhere around."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from flight.campaigns import example
from flight.engine_rows import figure
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.prepare import prepare

VALUES, _, WORDS = flatten(example("sedge-lift"))
TURN = st.floats(-3.0, 3.0)
# It is let go while climbing, or tears off while pushed.
HOLDS = pytest.mark.parametrize("strength", [1e6, 8.0])


def flown(values=None, words=None, **options):
    bodies = prepare({**VALUES, **(values or {})}, {**WORDS, **(words or {})})
    return engine.fly_all(bodies, tolerance=1e-10, **options)


def landing(raw, body):
    return np.array([figure(raw, f"DOWN_{way}", body=body) for way in ("EAST", "NORTH")])


@HOLDS
@settings(deadline=None, max_examples=10)
@given(turn=TURN)
def test_turning_the_pad_and_the_wind_turns_the_flight(turn, strength):
    hold = {"payload.hold.strength": strength}
    one = flown(hold)
    moved = {
        **hold,
        "site.launch.azimuth": VALUES["site.launch.azimuth"] + turn,
        "site.wind.from": VALUES["site.wind.from"] + turn,
    }
    other = flown(moved)
    # Clockwise seen from above: east goes towards south.
    matrix = np.array([[cos(turn), sin(turn)], [-sin(turn), cos(turn)]])
    for body in ("vehicle", "payload"):
        np.testing.assert_allclose(
            landing(other, body), matrix @ landing(one, body), rtol=0, atol=2e-4
        )
    assert figure(other, "APOGEE_HEIGHT") == pytest.approx(figure(one, "APOGEE_HEIGHT"), rel=1e-8)


@HOLDS
def test_the_mirrored_flight_is_the_flight_mirrored(strength):
    """Mirror in the plane of east and up: north, and turns about axes in the plane, change sign."""
    plain = {"site.wind.from": 0.7, "site.launch.azimuth": pi / 2, "payload.carried.around": 0.6}
    cant = 0.01
    hold = {"payload.hold.strength": strength}
    mirror = {
        "site.wind.from": pi - 0.7,
        "site.launch.azimuth": pi / 2,
        "payload.carried.around": -0.6,
    }
    # What is bent to one side is bent to the other: fins of the vehicle, and of its glider.
    bent = {"vehicle.fins.0.cant": cant, "payload.fin.cant": VALUES.get("payload.fin.cant", 0.0)}
    one = flown({**plain, **hold, **bent})
    other = flown({**mirror, **hold, **{name: -value for name, value in bent.items()}})
    for body in ("vehicle", "payload"):
        np.testing.assert_allclose(
            landing(other, body), landing(one, body) * (1.0, -1.0), rtol=0, atol=2e-5
        )
    assert figure(other, "APOGEE_HEIGHT") == pytest.approx(figure(one, "APOGEE_HEIGHT"), rel=1e-8)


STILL = {
    "site.wind.speed": 0.0,
    "site.launch.elevation": pi / 2,
    "site.launch.azimuth": 0.0,
    "vehicle.fins.0.cant": 0.0,
    "payload.hold.strength": 1e6,
}


@settings(deadline=None, max_examples=10)
@given(around=TURN, further=TURN)
def test_carried_further_around_it_flies_the_flight_turned(around, further):
    """Straight up in still air nothing but the thing carried tells one side from another."""
    one, other = (
        flown({**STILL, "payload.carried.around": angle}) for angle in (around, around + further)
    )
    for body in ("vehicle", "payload"):
        here, there = landing(one, body), landing(other, body)
        turned = np.array([turned_by(here, sign * further) for sign in (1.0, -1.0)])
        assert np.abs(turned - there).max(axis=1).min() < 2e-4
        assert np.linalg.norm(here) > 1.0
    assert figure(other, "APOGEE_HEIGHT") == pytest.approx(figure(one, "APOGEE_HEIGHT"), rel=1e-8)


def turned_by(way, angle):
    return np.array(
        [cos(angle) * way[0] - sin(angle) * way[1], sin(angle) * way[0] + cos(angle) * way[1]]
    )
