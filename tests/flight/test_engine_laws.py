"""Laws that every flight of the engine keeps: books that close, symmetries, and the same bits."""

from __future__ import annotations

from functools import cache
from math import cos, log, pi, sin

import numpy as np
import pytest
from flight.campaigns import example
from flight.engine_rows import (
    coasting,
    column,
    figure,
    parameters,
    set_slot,
    states,
    time_of,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import cumulative_simpson, simpson
from scipy.interpolate import CubicHermiteSpline

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.gusts import draw_gusts
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.events import AT_AMBIENT
from loftwright.flight.prepare import prepare

VALUES, _, WORDS = flatten(example("sedge-lift"))
ACCELERATION = slice(slots.RECORD_ACCELERATION, slots.RECORD_ACCELERATION + 3)


def demo(values=None, **rows):
    table, start = prepare({**VALUES, **(values or {})}, WORDS)
    for name, value in rows.items():
        set_slot(table, name, value)
    return table, start


def vector(tape, *names):
    return np.column_stack([column(tape, name) for name in names])


def position(tape):
    return vector(tape, "EAST", "NORTH", "UP")


def velocity(tape):
    return vector(tape, "V_EAST", "V_NORTH", "V_UP")


def legs(tape):
    """Split a tape at its doubled times: between them everything is smooth."""
    cuts = np.flatnonzero(np.diff(time_of(tape)) < 1e-9) + 1
    return [leg for leg in np.split(tape, cuts) if len(leg) > 3]


def smooth(leg):
    """Leave out samples that all but coincide."""
    return leg[np.concatenate([[True], np.diff(time_of(leg)) > 1e-6])]


def integral(tape, law):
    """Integral over time of what a law makes of each leg."""
    return sum(simpson(law(leg), x=time_of(leg)) for leg in legs(tape))


# ---------------------------------------------------------------- books over the boost

AMBIENT = 101325.0
BOTTLE = 2e-3


@cache
def free_boost(exponent):
    """A free vehicle in no air and no weight, with a column that neither stands nor moves."""
    table = parameters(
        GRAVITY=1e-12,
        ON_GUIDE=1.0,
        COLUMN_AREA=1e9,
        THROAT_AREA=0.25 * pi * 0.0215**2,
        GAS_CONSTANT=287.05,
        EXPONENT=exponent,
    )
    gas = 6e5 * 1.3e-3 / (287.05 * 288.15)
    start = states(WATER=0.7, GAS=gas, GAS_TEMPERATURE=288.15)
    raw = engine.fly_all(
        table, start, tolerance=1e-9, recorded=1, capacity=20_000, intervals=(1e-5, 10.0)
    )
    return raw


def water_part(raw):
    tape = raw.tapes[0][0]
    return tape[tape[:, slots.RECORD_PHASE] == slots.WATER_PHASE]


def jet(tape):
    return np.sqrt(2.0 * tape[:, slots.RECORD_PRESSURE] / 1000.0)


def flow(tape):
    return 1000.0 * 0.25 * pi * 0.0215**2 * jet(tape)


def ending(tape):
    """Mass and speed of the vehicle at the end of a tape."""
    mass = 0.15 + column(tape, "GAS")[-1] + column(tape, "WATER")[-1]
    return mass, column(tape, "V_UP")[-1]


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.4])
def test_work_of_the_gas_is_the_energy_of_vehicle_and_jet(exponent):
    """Work of the gas on the water, less that on the air outside, is all kinetic energy."""
    tape = water_part(free_boost(exponent))
    work = integral(tape, lambda leg: leg[:, slots.RECORD_PRESSURE] * flow(leg) / 1000.0)
    left_behind = integral(
        tape, lambda leg: 0.5 * flow(leg) * (column(leg, "V_UP") - jet(leg)) ** 2
    )
    mass, speed = ending(tape)
    assert 0.5 * mass * speed**2 + left_behind == pytest.approx(work, rel=1e-7)


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.4])
def test_momentum_of_vehicle_and_jet_stays_nothing(exponent):
    tape = water_part(free_boost(exponent))
    backward = integral(tape, lambda leg: flow(leg) * (jet(leg) - column(leg, "V_UP")))
    mass, speed = ending(tape)
    assert mass * speed == pytest.approx(backward, rel=1e-7)


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.4])
def test_water_that_is_gone_has_flowed_through_the_throat(exponent):
    tape = water_part(free_boost(exponent))
    assert integral(tape, flow) == pytest.approx(0.7, rel=1e-8)
    assert column(tape, "WATER")[-1] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("exponent", [1.0, 1.2, 1.4])
def test_gas_keeps_to_its_exponent_while_water_leaves(exponent):
    tape = water_part(free_boost(exponent))
    volume = BOTTLE - column(tape, "WATER") / 1000.0
    constant = (tape[:, slots.RECORD_PRESSURE] + AMBIENT) * volume**exponent
    np.testing.assert_allclose(constant, constant[0], rtol=1e-9)


def test_heat_of_the_escaping_gas_is_what_the_vessel_loses():
    """Insulated blowdown: the fall of inner energy is the stagnation enthalpy that left."""
    table = parameters(HELD=1.0, GAS_CONSTANT=287.05)
    gas = 6e5 * BOTTLE / (287.05 * 288.15)
    raw = engine.fly_all(
        table,
        states(GAS=gas, GAS_TEMPERATURE=288.15),
        tolerance=1e-9,
        recorded=1,
        capacity=50_000,
        intervals=(2e-5, 1.0),
    )
    tape = raw.tapes[0][0]
    mass, warmth = column(tape, "GAS"), column(tape, "GAS_TEMPERATURE")
    lost = 2.5 * 287.05 * (mass[0] * warmth[0] - mass[-1] * warmth[-1])
    carried = -simpson(3.5 * 287.05 * warmth, x=mass)
    assert carried == pytest.approx(lost, rel=1e-6)


@settings(deadline=None, max_examples=60)
@given(
    water=st.floats(0.05, 1.8),
    gauge=st.floats(5e4, 1.2e6),
    dry=st.floats(0.02, 2.0),
    exponent=st.floats(1.0, 1.4),
)
def test_kinetic_energy_is_below_the_isothermal_availability(water, gauge, dry, exponent):
    """p0 V0 (ln(p0/pa) - 1 + pa/p0): all that a gas can give to surroundings of its own warmth."""
    volume, pressure = BOTTLE - water / 1e3, gauge + AMBIENT
    table = parameters(
        ON_GUIDE=1.0, DRY_MASS=dry, GAS_CONSTANT=287.05, COLUMN_AREA=9e-3, EXPONENT=exponent
    )
    start = states(WATER=water, GAS=pressure * volume / (287.05 * 288.15), GAS_TEMPERATURE=288.15)
    raw = engine.fly_all(table, start)
    available = pressure * volume * (log(pressure / AMBIENT) - 1.0 + AMBIENT / pressure)
    fastest = figure(raw, "MAX_SPEED")
    assert 0.5 * dry * fastest**2 < available
    # Weight, all of it, at the top of a flight without drag, is bounded in the same way.
    if np.isfinite(figure(raw, "APOGEE_HEIGHT")):
        assert dry * 9.80665 * figure(raw, "APOGEE_HEIGHT") < available


def test_impulse_weight_and_drag_make_the_momentum_of_the_demo():
    """m dv = (thrust - weight along the guide's line + air) dt, from the recorded states."""
    table, start = demo(ATTACHED=0.0, RELEASE_KIND=0.0, PAYLOAD_MASS=1.0)
    raw = engine.fly_all(
        table, start, tolerance=1e-9, recorded=1, capacity=50_000, intervals=(2e-5, 1.0)
    )
    tape = raw.tapes[0][0]
    tape = tape[(tape[:, slots.RECORD_PHASE] <= slots.AIR_PHASE)]
    for leg in legs(tape):
        clock = time_of(leg)
        gained = velocity(leg)[-1] - velocity(leg)[0]
        np.testing.assert_allclose(
            simpson(leg[:, ACCELERATION], x=clock, axis=0), gained, atol=2e-6
        )
        pushed = simpson(leg[:, slots.RECORD_THRUST], x=clock)
        impulse = column(leg, "IMPULSE")
        assert pushed == pytest.approx(impulse[-1] - impulse[0], rel=1e-5, abs=1e-6)


# ---------------------------------------------------------------- free flight


@settings(deadline=None, max_examples=30)
@given(speed=st.floats(1.0, 100.0), elevation=st.floats(0.05, pi / 2), spin=st.floats(-50.0, 50.0))
def test_free_flight_without_air_keeps_energy_and_spin(speed, elevation, spin):
    start = coasting(
        V_EAST=speed * cos(elevation),
        V_UP=speed * sin(elevation),
        ROLL_RATE=spin,
        PITCH_RATE=1.0,
        YAW_RATE=-2.0,
    )
    raw = engine.fly_all(
        parameters(), start, tolerance=1e-9, recorded=1, capacity=2000, intervals=(0.05, 0.05)
    )
    tape = raw.tapes[0][0]
    energy = 0.5 * (velocity(tape) ** 2).sum(axis=1) + 9.80665 * column(tape, "UP")
    np.testing.assert_allclose(energy, energy[0], rtol=1e-9)
    rates = vector(tape, "ROLL_RATE", "PITCH_RATE", "YAW_RATE") * (0.001, 0.01, 0.01)
    spread = to_ground(tape, rates)
    np.testing.assert_allclose(
        spread, spread[:1].repeat(len(tape), 0), atol=1e-7 * np.abs(spread).max()
    )


def to_ground(tape, body):
    scalar = column(tape, "Q0")[:, np.newaxis]
    axis = vector(tape, "Q1", "Q2", "Q3")
    twice = 2.0 * np.cross(axis, body)
    return body + scalar * twice + np.cross(axis, twice)


@pytest.mark.parametrize("speed", [10.0, 40.0])
def test_canted_fins_spin_up_to_the_speed_where_their_moments_balance(speed):
    """p = u F / D, with F the forcing and D the damping of the fins."""
    table = parameters(GRAVITY=1e-12, DRY_MASS=1e9, ROLL_FORCING=2e-5, ROLL_DAMPING=4e-5)
    start = coasting(UP=40.0 * speed, V_UP=-speed, Q0=0.5**0.5, Q2=0.5**0.5)
    raw = engine.fly_all(
        table, start, tolerance=1e-9, recorded=1, capacity=500, intervals=(1.0, 1.0)
    )
    rolls = column(raw.tapes[0][0], "ROLL_RATE")
    # e-fold: I / (rho/2 u D)
    rate = 0.5 * 1.225 * speed * 4e-5 / 0.001
    balance = speed * 2e-5 / 4e-5
    clock = time_of(raw.tapes[0][0])
    np.testing.assert_allclose(rolls, balance * (1.0 - np.exp(-rate * clock)), atol=1e-6 * balance)


# ---------------------------------------------------------------- events


@cache
def demo_flight():
    return engine.fly_all(*demo(), recorded=1, capacity=60_000, intervals=(2e-4, 2e-3))


def at(tape, time):
    """Last sample before something happens, and the first after it."""
    place = np.flatnonzero(np.abs(time_of(tape) - time) < 1e-9)
    return tape[place[0]], tape[place[-1]]


def state_of(sample, name):
    return sample[slots.RECORD_STATE + getattr(slots, name) // slots.LANES]


def test_events_lie_on_their_conditions():
    raw = demo_flight()
    tape, payload = raw.tapes[0]
    table, _ = demo()
    axis = table[0, [slots.AXIS_EAST // 16, slots.AXIS_NORTH // 16, slots.AXIS_UP // 16]]

    def travelled(name):
        sample, _ = at(tape, figure(raw, name))
        return sample[slots.RECORD_STATE : slots.RECORD_STATE + 3] @ axis

    def value(name):
        return table[0, getattr(slots, name) // slots.LANES]

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
    due = figure(raw, "RELEASED_TIME") - value("RELEASE_DELAY")
    sample, _ = at(tape, due)
    assert state_of(sample, "V_UP") == pytest.approx(value("RELEASE_CLIMB"), abs=1e-9)
    opened = figure(raw, "OPENED_TIME") - figure(raw, "APOGEE_TIME")
    assert opened == pytest.approx(value("CANOPY_DELAY"), abs=1e-9)
    for body in (tape, payload):
        assert column(body, "UP")[-1] == pytest.approx(0.0, abs=1e-9)


def test_the_two_bodies_part_with_their_momentum():
    raw = demo_flight()
    tape, payload = raw.tapes[0]
    before, after = at(tape, figure(raw, "RELEASED_TIME"))
    light = VALUES["payload.mass"]
    heavy = VALUES["vehicle.mass.dry"] + state_of(after, "GAS") + max(state_of(after, "WATER"), 0)
    speeds = slice(slots.RECORD_STATE + 3, slots.RECORD_STATE + 6)
    apart = payload[0, speeds] - after[speeds]
    np.testing.assert_allclose(
        light * payload[0, speeds] + heavy * after[speeds],
        (light + heavy) * before[speeds],
        rtol=1e-9,
    )
    assert np.linalg.norm(apart) == pytest.approx(VALUES["payload.toss.speed"], rel=1e-9)


@pytest.mark.parametrize("body", [0, 1])
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
    tape = demo_flight().tapes[0][0]
    length = np.linalg.norm(vector(tape, "Q0", "Q1", "Q2", "Q3"), axis=1)
    np.testing.assert_allclose(length, 1.0, atol=2e-6)


# ---------------------------------------------------------------- symmetries

TURN = st.floats(-3.0, 3.0)


def landing(raw, body):
    return np.array([figure(raw, f"{body}_DOWN_{way}") for way in ("EAST", "NORTH")])


@settings(deadline=None, max_examples=20)
@given(turn=TURN)
def test_turning_the_pad_and_the_wind_turns_the_flight(turn):
    table, start = demo()
    one = engine.fly_all(table, start, tolerance=1e-10)
    moved = {
        "site.launch.azimuth": VALUES["site.launch.azimuth"] + turn,
        "site.wind.from": VALUES["site.wind.from"] + turn,
    }
    other = engine.fly_all(*demo(moved), tolerance=1e-10)
    # Clockwise seen from above: east goes towards south.
    matrix = np.array([[cos(turn), sin(turn)], [-sin(turn), cos(turn)]])
    for body in ("VEHICLE", "PAYLOAD"):
        np.testing.assert_allclose(
            landing(other, body), matrix @ landing(one, body), rtol=0, atol=2e-4
        )
    assert figure(other, "APOGEE_HEIGHT") == pytest.approx(figure(one, "APOGEE_HEIGHT"), rel=1e-8)


def test_the_mirrored_flight_is_the_flight_mirrored():
    """Mirror in the plane of east and up: north, and turns about axes in the plane, change sign."""
    plain = {"site.wind.from": 0.7, "site.launch.azimuth": pi / 2, "payload.carried.around": 0.6}
    cant = 0.01
    mirror = {
        "site.wind.from": pi - 0.7,
        "site.launch.azimuth": pi / 2,
        "payload.carried.around": -0.6,
    }
    one = engine.fly_all(*demo({**plain, "vehicle.fins.0.cant": cant}), tolerance=1e-10)
    other = engine.fly_all(*demo({**mirror, "vehicle.fins.0.cant": -cant}), tolerance=1e-10)
    for body in ("VEHICLE", "PAYLOAD"):
        np.testing.assert_allclose(
            landing(other, body), landing(one, body) * (1.0, -1.0), rtol=0, atol=2e-5
        )
    assert figure(other, "APOGEE_HEIGHT") == pytest.approx(figure(one, "APOGEE_HEIGHT"), rel=1e-8)


# ---------------------------------------------------------------- the same bits

MANY = 700


@cache
def many():
    """Seven hundred different flights, gusts and all."""
    random = np.random.default_rng(3)
    values = dict(VALUES)
    for name, sd in (
        ("vehicle.fill.water_volume", 2e-4),
        ("vehicle.fill.gauge_pressure", 6e4),
        ("site.wind.from", 1.0),
        ("site.launch.elevation", 0.1),
        ("payload.toss.speed", 0.4),
    ):
        values[name] = VALUES[name] + sd * random.standard_normal(MANY)
    gusts = draw_gusts(5, MANY, 1.0, 4.0)
    return prepare(values, WORDS, flights=MANY, gusts=gusts)


def same_bits(one, other):
    assert one.tobytes() == other.tobytes()


@cache
def together():
    return engine.fly_all(*many(), threads=1).figures


def test_a_flight_alone_is_the_flight_in_a_batch():
    table, start = many()
    for flight in (0, 15, 16, 255, 256, 699):
        alone = engine.fly_all(table[flight : flight + 1], start[flight : flight + 1]).figures
        same_bits(alone[0], together()[flight])


@pytest.mark.parametrize("threads", [2, 3])
def test_threads_change_nothing(threads):
    same_bits(engine.fly_all(*many(), threads=threads).figures, together())


@pytest.mark.parametrize("chunk", [1, 17, 100, 1000])
def test_chunks_change_nothing(chunk, monkeypatch):
    table, start = (rows[:200] for rows in many())
    monkeypatch.setattr(engine, "CHUNK", chunk)
    same_bits(engine.fly_all(table, start).figures, together()[:200])


def test_recording_changes_nothing():
    table, start = (rows[:40] for rows in many())
    raw = engine.fly_all(table, start, recorded=23, capacity=50)
    same_bits(raw.figures, together()[:40])
    assert len(raw.tapes) == 23


def test_order_changes_nothing():
    table, start = (rows[:60] for rows in many())
    mixed = np.random.default_rng(1).permutation(60)
    same_bits(engine.fly_all(table[mixed], start[mixed]).figures, together()[mixed])


def test_rows_are_left_as_they_were():
    table, start = (rows[:5].copy() for rows in many())
    before = table.copy(), start.copy()
    engine.fly_all(table, start, recorded=2, capacity=9)
    same_bits(table, before[0])
    same_bits(start, before[1])


def test_progress_counts_up_to_the_total(monkeypatch):
    monkeypatch.setattr(engine, "CHUNK", 16)
    table, start = (rows[:40] for rows in many())
    seen = []
    engine.fly_all(table, start, progress=lambda done, total: seen.append((done, total)))
    assert seen == [(16, 40), (32, 40), (40, 40)]


# ---------------------------------------------------------------- tolerance


def test_a_tighter_tolerance_comes_nearer():
    table, start = demo()
    exact = engine.fly_all(table, start, tolerance=1e-12)
    names = ("APOGEE_HEIGHT", "RELEASED_TIME", "VEHICLE_DOWN_EAST", "PAYLOAD_DOWN_TIME")

    def error(tolerance):
        raw = engine.fly_all(table, start, tolerance=tolerance)
        return max(abs(figure(raw, n) / figure(exact, n) - 1.0) for n in names)

    errors = np.array([error(10.0**-k) for k in range(4, 11)])
    asked = 10.0 ** -np.arange(4.0, 11.0)
    assert (errors[asked >= 1e-6] < asked[asked >= 1e-6]).all()
    # Steps are short for other reasons where little is asked, so the error starts low.
    assert (errors < 20.0 * asked).all()
    assert errors[-1] < 1e-8


def test_steps_grow_with_the_fifth_root_of_the_tolerance():
    """A smooth coast: twice ten decades of tolerance, twice a factor of 10^(1/5) in steps."""
    table = parameters(MEASURED_DRAG=0.003)
    start = coasting(V_UP=50.0, ROLL_RATE=20.0, PITCH_RATE=5.0)
    steps = [figure(engine.fly_all(table, start, tolerance=10.0**-k), "STEPS") for k in (6, 8, 10)]
    growth = np.log10(np.divide(steps[1:], steps[:-1])) / 2.0
    np.testing.assert_allclose(growth, 0.2, atol=0.02)
