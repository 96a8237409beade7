"""Releases at odd moments, several things at once, and what keeps a path straight."""

from __future__ import annotations

import math

import numpy as np
import pytest
from flight.campaigns import example, with_glider
from flight.engine_rows import (
    coasting,
    column,
    figure,
    fly,
    get_slot,
    parameters,
    point,
    position,
    set_slot,
    states,
    thing,
    time_of,
)

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.prepare import prepare

CAMPAIGNS = {"point": example("sedge-lift"), "glider": with_glider()}


def flown(kind, values=None, **rows):
    found, _, words = flatten(CAMPAIGNS[kind])
    bodies = prepare({**found, "payload.hold.strength": 1e6, **(values or {})}, words)
    for name, value in rows.items():
        set_slot(bodies[0].parameters, name, value)
    return engine.fly_all(bodies, recorded=1, capacity=4000)


def assert_whole(raw):
    """Both bodies come down, and nothing on the way is other than finite."""
    for name, figures in raw.bodies.items():
        assert not np.isinf(figures).any()
        assert figure(raw, "OUTCOME", body=name) == slots.LANDED
        assert figure(raw, "DOWN_TIME", body=name) > 0.0
        assert np.isfinite(raw.tapes[0][name]).all()
    assert raw.tapes[0]["payload"][0, 0] == pytest.approx(figure(raw, "RELEASED_TIME"), abs=1e-9)


BOTH = pytest.mark.parametrize("kind", CAMPAIGNS)


@BOTH
@pytest.mark.parametrize("moment", [0.0, 0.03, 0.06, 0.2, 1.0, 3.0, 7.0])
def test_released_at_any_time_both_fly_on(kind, moment):
    raw = flown(kind, ITEM_WHEN=slots.BY_TIME, ITEM_TIME=moment, ITEM_DELAY=0.0)
    assert_whole(raw)
    # Before the guide's end nothing could go anywhere else than along it, but it may let go.
    assert figure(raw, "RELEASED_TIME") == pytest.approx(moment, abs=1e-9)


@BOTH
def test_released_while_falling_tail_first(kind):
    """No canopy and no fins: it tumbles, and lets go on its way down."""
    raw = flown(
        kind,
        CANOPY_KIND=slots.NEVER,
        FIN_SLOPE=0.0,
        ITEM_WHEN=slots.BY_CLIMB,
        ITEM_CLIMB=-10.0,
        ITEM_DELAY=0.0,
    )
    assert_whole(raw)
    tape = raw.tapes[0]["vehicle"]
    last = np.flatnonzero(np.abs(time_of(tape) - figure(raw, "RELEASED_TIME")) < 1e-9)[0]
    assert column(tape, "V_UP")[last] == pytest.approx(-10.0, abs=1e-6)


@BOTH
def test_released_under_the_canopy(kind):
    raw = flown(
        kind,
        CANOPY_KIND=slots.BY_APOGEE,
        CANOPY_DELAY=0.5,
        ITEM_WHEN=slots.BY_APOGEE,
        ITEM_DELAY=4.0,
    )
    assert_whole(raw)
    assert figure(raw, "OPENED_TIME") < figure(raw, "RELEASED_TIME")


@BOTH
def test_released_when_the_push_has_ended(kind):
    raw = flown(kind, ITEM_WHEN=slots.BY_SPENT, ITEM_DELAY=0.25)
    assert_whole(raw)
    assert figure(raw, "RELEASED_TIME") == pytest.approx(figure(raw, "AIR_OUT_TIME") + 0.25)


@BOTH
def test_never_released_it_lands_with_the_vehicle(kind):
    raw = flown(kind, ITEM_WHEN=slots.NEVER)
    assert math.isnan(figure(raw, "RELEASED_TIME"))
    assert np.isnan(raw.bodies["payload"]).all()
    assert len(raw.tapes[0]["payload"]) == 0


# ---------------------------------------------------------------- several


DART = {
    "DRY_MASS": 0.3,
    "DRY_BALANCE": 0.4,
    "DRY_ACROSS": 0.02,
    "FIN_SLOPE": 0.05,
    "FIN_CENTRE": 0.9,
    "CROSS_AREA": 0.05,
    "CROSS_CENTRE": 0.5,
    "MEASURED_DRAG": 0.003,
}
GAS = 6e5 * 1.3e-3 / (287.05e9 * 288.15)


def pair(toss=0.0, **named):
    """Two things alike on opposite sides."""
    return [
        thing(
            MASS=0.04, Y=0.07 * side, FROM_NOSE=0.3, CENTRE=0.25, DRAG=8e-4, SLOPE=1e-3, PUSH=5e-4,
            SIDE=2e-3, WHEN=slots.BY_CLIMB, CLIMB=10.0, TOSS=toss, **named,
        )
        for side in (1.0, -1.0)
    ]  # fmt: skip


def sideways(tape):
    """Largest way off the vertical while it climbs; falling tail first, rounding decides."""
    climbs = column(tape, "V_UP") > 0.0
    return np.hypot(column(tape, "EAST"), column(tape, "NORTH"))[climbs].max()


def test_two_alike_on_opposite_sides_leave_the_path_straight():
    raw = fly(
        parameters(items=pair(), **DART),
        states(WATER=0.7, GAS=GAS, UP=0.1),
        point(DRAG_AREA=1e-3),
        point(name="payload2", item=1, DRAG_AREA=1e-3),
        recorded=1,
        capacity=4000,
        tolerance=1e-9,
    )
    tape = raw.tapes[0]["vehicle"]
    assert sideways(tape) < 1e-6
    assert figure(raw, "RELEASED_TIME") < figure(raw, "APOGEE_TIME")
    assert figure(raw, "APOGEE_HEIGHT") > 20.0
    one, other = (position(raw.tapes[0][name])[-1] for name in ("payload", "payload2"))
    np.testing.assert_allclose(one[:2], -other[:2], atol=1e-6)


def test_two_tossed_to_opposite_sides_push_the_vehicle_next_to_nowhere():
    """One is tossed after the other, off a vehicle lighter by the first.

    What is left of both pushes is that share of one, m / (M + m), of which the vehicle gains
    m / M of the toss: far less than from one alone.
    """
    raw = fly(
        parameters(items=pair(2.0), **DART),
        states(WATER=0.7, GAS=GAS, UP=0.1),
        point(DRAG_AREA=1e-3),
        point(name="payload2", item=1, DRAG_AREA=1e-3),
        recorded=1,
        capacity=4000,
        tolerance=1e-9,
    )
    one, other = (position(raw.tapes[0][name])[-1] for name in ("payload", "payload2"))
    # The first pushes off both of the others, m / (M + m) lighter than the rest.
    np.testing.assert_allclose(one[:2], -other[:2], rtol=0.04 / 0.34, atol=1e-6)
    assert np.hypot(*one[:2]) > 1.0
    gone, top = figure(raw, "RELEASED_TIME"), figure(raw, "APOGEE_TIME")
    speed = 2.0 * 0.04 / 0.3 * 0.04 / 0.34
    assert sideways(raw.tapes[0]["vehicle"]) < 2.0 * speed * (top - gone)


def test_one_alone_pulls_the_path_to_its_side():
    """The same with one of the two: what the pair cancels is there."""
    raw = fly(
        parameters(items=pair()[:1], **DART),
        states(WATER=0.7, GAS=GAS, UP=0.1),
        recorded=1,
        capacity=4000,
    )
    tape = raw.tapes[0]["vehicle"]
    assert sideways(tape) > 1.0


def test_five_things_go_one_after_the_other_in_any_order():
    moments = [0.5, 0.1, 0.9, 0.3, 0.7]
    items = [
        thing(MASS=0.01 * (k + 1), Y=0.05, FROM_NOSE=0.2 * k, WHEN=slots.BY_TIME, TIME=moment)
        for k, moment in enumerate(moments)
    ]
    rows = parameters(items=items, **DART)
    leaving = [point(name=f"payload{k}", item=k) for k in range(5)]
    raw = fly(rows, coasting(V_UP=30.0, ROLL_RATE=3.0), *leaving)
    for k, moment in enumerate(moments):
        assert figure(raw, "RELEASED_TIME", item=k) == pytest.approx(moment, abs=1e-9)
        assert figure(raw, "LET_GO_TIME", body=f"payload{k}") == pytest.approx(moment, abs=1e-9)
        assert np.isfinite(figure(raw, "DOWN_TIME", body=f"payload{k}"))
    gas = get_slot(coasting(), "GAS")
    assert figure(raw, "DOWN_MASS") == pytest.approx(0.3, abs=gas + 1e-9)


def test_two_due_at_the_same_moment_go_at_the_same_moment():
    items = pair()
    for item in items:
        item |= {"WHEN": slots.BY_TIME, "TIME": 0.5}
    raw = fly(
        parameters(items=items, **DART),
        coasting(V_UP=30.0),
        point(),
        point(name="payload2", item=1),
        recorded=1,
        capacity=500,
    )
    first, second = (figure(raw, "RELEASED_TIME", item=item) for item in (0, 1))
    assert first == second == pytest.approx(0.5, abs=1e-9)
    tape = raw.tapes[0]["vehicle"]
    assert sideways(tape) < 1e-6
    assert time_of(raw.tapes[0]["payload2"])[0] == second
