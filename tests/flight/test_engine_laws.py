"""Laws that every flight of the engine keeps: books that close over the boost and after it."""

from __future__ import annotations

from functools import cache
from math import cos, log, pi, sin

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from flight.engine_rows import (
    coasting,
    column,
    figure,
    fly,
    legs,
    parameters,
    states,
    time_of,
    to_ground,
    vector,
    velocity,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import simpson

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.prepare import prepare

ACCELERATION = slice(slots.RECORD_ACCELERATION, slots.RECORD_ACCELERATION + 3)


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
    raw = fly(table, start, tolerance=1e-9, recorded=1, capacity=20_000, intervals=(1e-5, 10.0))
    return raw


def water_part(raw):
    tape = raw.tapes[0]["vehicle"]
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
    raw = fly(
        table,
        states(GAS=gas, GAS_TEMPERATURE=288.15),
        tolerance=1e-9,
        recorded=1,
        capacity=50_000,
        intervals=(2e-5, 1.0),
    )
    tape = raw.tapes[0]["vehicle"]
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
    raw = fly(table, start)
    available = pressure * volume * (log(pressure / AMBIENT) - 1.0 + AMBIENT / pressure)
    fastest = figure(raw, "MAX_SPEED")
    assert 0.5 * dry * fastest**2 < available
    # Weight, all of it, at the top of a flight without drag, is bounded in the same way.
    if np.isfinite(figure(raw, "APOGEE_HEIGHT")):
        assert dry * 9.80665 * figure(raw, "APOGEE_HEIGHT") < available


def test_impulse_weight_and_drag_make_the_momentum_of_the_demo():
    """m dv = (thrust - weight along the guide's line + air) dt, from the recorded states."""
    values, _, words = flatten(with_fields(example("sedge-lift"), {"payload": None}))
    (body,) = prepare(values, words)
    raw = engine.fly_all([body], tolerance=1e-9, recorded=1, capacity=50_000, intervals=(2e-5, 1.0))
    tape = raw.tapes[0]["vehicle"]
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
    raw = fly(
        parameters(), start, tolerance=1e-9, recorded=1, capacity=2000, intervals=(0.05, 0.05)
    )
    tape = raw.tapes[0]["vehicle"]
    energy = 0.5 * (velocity(tape) ** 2).sum(axis=1) + 9.80665 * column(tape, "UP")
    np.testing.assert_allclose(energy, energy[0], rtol=1e-9)
    rates = vector(tape, "ROLL_RATE", "PITCH_RATE", "YAW_RATE") * (0.001, 0.01, 0.01)
    spread = to_ground(tape, rates)
    np.testing.assert_allclose(
        spread, spread[:1].repeat(len(tape), 0), atol=1e-7 * np.abs(spread).max()
    )


@pytest.mark.parametrize("speed", [10.0, 40.0])
def test_canted_fins_spin_up_to_the_speed_where_their_moments_balance(speed):
    """p = u F / D, with F the forcing and D the damping of the fins."""
    table = parameters(GRAVITY=1e-12, DRY_MASS=1e9, ROLL_FORCING=2e-5, ROLL_DAMPING=4e-5)
    start = coasting(UP=40.0 * speed, V_UP=-speed, Q0=0.5**0.5, Q2=0.5**0.5)
    raw = fly(table, start, tolerance=1e-9, recorded=1, capacity=500, intervals=(1.0, 1.0))
    rolls = column(raw.tapes[0]["vehicle"], "ROLL_RATE")
    # e-fold: I / (rho/2 u D)
    rate = 0.5 * 1.225 * speed * 4e-5 / 0.001
    balance = speed * 2e-5 / 4e-5
    clock = time_of(raw.tapes[0]["vehicle"])
    np.testing.assert_allclose(rolls, balance * (1.0 - np.exp(-rate * clock)), atol=1e-6 * balance)
