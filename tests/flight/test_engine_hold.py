"""What a thing carried asks of its hold, by hand in simple cases; and holds that give way."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from flight.engine_rows import (
    coasting,
    column,
    figure,
    fly,
    parameters,
    point,
    states,
    thing,
    time_of,
    velocity,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.air import air_at_pad
from loftwright.flight.carried import drag_area
from loftwright.flight.forecast import forecast
from loftwright.flight.kernel import slots
from loftwright.flight.prepare import prepare

GRAVITY = 9.80665
USE = slots.RECORD_USE
ROD = {"DRY_MASS": 0.4, "DRY_BALANCE": 0.5, "DRY_ACROSS": 0.03, "DRY_ALONG": 0.001}
WEIGHTLESS = {"GRAVITY": 1e-12}


# ---------------------------------------------------------------- by hand


def test_standing_on_the_pad_it_bears_the_weight():
    """Held upright, whatever the jet does meanwhile."""
    raw = fly(
        parameters(HELD=1.0, ON_GUIDE=1.0, items=[thing(MASS=0.07, Y=0.05, FROM_NOSE=0.3)]),
        states(WATER=0.7, GAS=6e5 * 1.3e-3 / (287.05e9 * 288.15)),
    )
    assert figure(raw, "OUTCOME") == slots.FIRED
    assert figure(raw, "HOLD_LOAD") == pytest.approx(0.07 * GRAVITY, rel=1e-9)


@pytest.mark.parametrize("axial", [20.0, 300.0])
def test_pushed_along_the_axis_it_bears_its_mass_times_what_is_felt(axial):
    """Two things face to face keep the balance on the axis, so that nothing turns.

    A jet from so much gas that its pressure stays pushes with 2 A (p - pa), and accelerates the
    most when all but the last of its water is gone.
    """
    mass, total, last = 0.05, 0.5, 0.01
    pair = [thing(MASS=mass, Y=side * 0.06, FROM_NOSE=0.5) for side in (1.0, -1.0)]
    rows = {**WEIGHTLESS, **ROD, "VESSEL_VOLUME": 1e2, "COLUMN_AREA": 1e9}
    throat = 1e-4
    gauge = (total + 0.1) * axial / (2.0 * throat)
    gas = (gauge + 101325.0) * 1e2 / (287.05e9 * 288.15)
    raw = fly(
        parameters(items=pair, THROAT_AREA=throat, BREAKTHROUGH=last, **rows),
        states(WATER=0.1, GAS=gas, UP=1.0),
    )
    for item in (0, 1):
        found = figure(raw, "HOLD_LOAD", item=item)
        expected = mass * (total + 0.1) * axial / (total + last)
        assert found == pytest.approx(expected, rel=1e-5)


@settings(deadline=None, max_examples=20)
@given(spin=st.floats(1.0, 60.0), around=st.floats(-pi, pi))
def test_spinning_about_its_axis_it_bears_the_centrifugal_force(spin, around):
    """Two alike on opposite sides keep the balance on the axis."""
    mass, out = 0.03, 0.06
    pair = [
        thing(MASS=mass, Y=s * out * sin(around), Z=-s * out * cos(around), FROM_NOSE=0.5)
        for s in (1.0, -1.0)
    ]
    raw = fly(
        parameters(items=pair, **WEIGHTLESS, **ROD, CANOPY_KIND=slots.BY_TIME, CANOPY_TIME=0.2),
        coasting(UP=10.0, ROLL_RATE=spin, V_UP=-1.0),
    )
    for item in (0, 1):
        assert figure(raw, "HOLD_LOAD", item=item) == pytest.approx(mass * spin**2 * out, rel=1e-9)


def test_in_free_fall_it_bears_the_drag_of_what_it_carries():
    """Body and thing without other drag fall away from each other but for the hold.

    What it bears is its drag less its share of the slowing: D M / (M + m).
    """
    area, mass, speed = 2e-3, 0.1, 40.0
    item = thing(MASS=mass, DRAG=area, FROM_NOSE=0.5, CENTRE=0.5)
    raw = fly(parameters(items=[item], **ROD, **WEIGHTLESS), coasting(UP=1.0, V_UP=speed))
    drag = 0.5 * 1.225 * area * speed**2
    assert figure(raw, "HOLD_LOAD") == pytest.approx(drag * 0.4 / (0.4 + mass), rel=1e-6)
    assert figure(raw, "HOLD_LOAD_TIME") == 0.0


# ---------------------------------------------------------------- the demo


STILL = {"site.wind.speed": 0.0, "site.wind.gust": None, "payload.hold.strength": 1e6}


@pytest.mark.parametrize("coefficient", [0.0, 0.8, 3.0])
def test_it_is_inertia_and_drag_at_the_worst_moment(coefficient):
    """Along the axis, at peak acceleration: mass times what is felt plus drag, nothing turning."""
    campaign = with_fields(
        example("sedge-lift"), {**STILL, "payload.carried.drag_coefficient": coefficient}
    )
    flight = forecast(campaign)
    values, _, words = flatten(campaign)
    area = drag_area(values, words, "payload")
    track = flight.tracks["vehicle"]
    held = track.time <= track.events["release"]
    felt = np.linalg.norm(track.acceleration[held] + [0.0, 0.0, GRAVITY], axis=1)
    speed = np.linalg.norm(track.velocity[held], axis=1)
    drag = 0.5 * air_at_pad(values).density * area * speed**2
    expected = float((values["payload.mass"] * felt + drag).max())
    assert flight.figures["hold_load_n"] == pytest.approx(expected, rel=0.01)


def test_a_heavier_payload_asks_more():
    light, heavy = (
        forecast(with_fields(example("sedge-lift"), {**STILL, "payload.mass": mass})).figures[
            "hold_load_n"
        ]
        for mass in (0.02, 0.04)
    )
    assert light < heavy < 2.0 * light


def test_without_a_payload_nothing_is_asked():
    campaign = with_fields(example("sedge-lift"), {"payload": None})
    assert "hold_load_n" not in forecast(campaign).figures


# ---------------------------------------------------------------- giving way


VALUES, _, WORDS = flatten(example("sedge-lift"))


def held_by(strength, **options):
    """The demo with a hold without friction, so that its use goes as one over its strength."""
    values = {**VALUES, "payload.hold.strength": strength, "payload.hold.friction": 0.0}
    return engine.fly_all(prepare(values, WORDS), tolerance=1e-8, **options)


@pytest.fixture(name="dense", scope="module")
def recorded_with_an_unbreakable_hold():
    raw = held_by(1e6, recorded=1, capacity=60_000, intervals=(2e-5, 1e-3))
    return raw.tapes[0]["vehicle"]


def first_reaching(tape, use):
    """Moment at which a recorded use first comes to a value, between two samples."""
    over = np.flatnonzero(tape[:, USE] >= use)
    last = over[0]
    before, after = tape[last - 1], tape[last]
    share = (use - before[USE]) / (after[USE] - before[USE])
    return float(before[0] + share * (after[0] - before[0]))


@pytest.mark.parametrize("share", [0.72, 0.8, 0.9, 0.97, 0.995])
def test_it_gives_way_when_the_use_reaches_one(share, dense):
    top = dense[:, USE].max()
    raw = held_by(share * top * 1e6)
    assert figure(raw, "TORN") == 1.0
    torn = figure(raw, "RELEASED_TIME")
    assert torn == pytest.approx(first_reaching(dense, share * top), abs=2e-6)
    assert figure(raw, "HOLD_USE") == pytest.approx(1.0, abs=1e-6)
    assert figure(raw, "HOLD_USE_TIME") == pytest.approx(torn, abs=1e-12)
    for figures in raw.bodies.values():
        assert np.isfinite(figures[0, slots.DOWN_TIME])
        assert not np.isinf(figures).any()


def test_just_strong_enough_it_holds(dense):
    raw = held_by(1.02e6 * dense[:, USE].max())
    assert figure(raw, "TORN") == 0.0
    assert figure(raw, "HOLD_USE") == pytest.approx(1.0 / 1.02, rel=1e-3)


def test_overloaded_at_first_motion_it_tears_at_once():
    raw = held_by(0.5)
    assert figure(raw, "TORN") == 1.0
    assert figure(raw, "RELEASED_TIME") == pytest.approx(0.0, abs=1e-9)
    assert np.isfinite(figure(raw, "APOGEE_HEIGHT"))
    assert figure(raw, "LET_GO_TIME", body="payload") == figure(raw, "RELEASED_TIME")


def test_what_is_torn_off_gets_no_toss():
    """The hold gives way while it falls freely: both go on as they were, side by side."""
    item = thing(
        MASS=0.05, Y=0.06, FROM_NOSE=0.5, TOSS=5.0, DRAG=1e-3, CENTRE=0.5, ALONG=1e-6, ACROSS=1e-6
    )
    raw = fly(
        parameters(items=[item], **ROD),
        coasting(UP=10.0, V_UP=20.0),
        point(DRY_MASS=0.05),
        recorded=1,
        capacity=400,
    )
    assert figure(raw, "TORN") == 1.0
    vehicle, payload = raw.tapes[0]["vehicle"], raw.tapes[0]["payload"]
    gone = figure(raw, "RELEASED_TIME")
    here = np.flatnonzero(time_of(vehicle) >= gone)[0]
    np.testing.assert_allclose(velocity(payload)[0], velocity(vehicle)[here], atol=1e-9)
    assert column(payload, "UP")[0] > 0.0


def test_two_holds_give_way_each_at_its_own_moment():
    """Each of two as strong as it takes: the weaker first, the other later or never."""
    weak, strong = (
        thing(MASS=0.02, Y=y, FROM_NOSE=0.5, CENTRE=0.5, ALONG=s, ACROSS=s, PEEL=s)
        for y, s in ((0.06, 1.8), (-0.06, 2.0))
    )
    gas = 6e5 * 1.3e-3 / (287.05e9 * 288.15)
    rows = parameters(items=[weak, strong], **ROD)
    raw = fly(rows, states(WATER=0.7, GAS=gas, UP=0.1), point(), point(name="payload2", item=1))
    first, second = (figure(raw, "RELEASED_TIME", item=item) for item in (0, 1))
    assert [figure(raw, "TORN", item=item) for item in (0, 1)] == [1.0, 1.0]
    assert 0.0 < first < second
    for item, (name, moment) in enumerate((("payload", first), ("payload2", second))):
        assert figure(raw, "LET_GO_TIME", body=name) == moment
        assert np.isfinite(figure(raw, "HOLD_LOAD", item=item))
