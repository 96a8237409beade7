"""Properties of nozzles, jets and emptying vessels."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from loftwright.physics.air_jet import AIR_RATIO, CRITICAL_PRESSURE_RATIO, air_jet, mist_share
from loftwright.physics.blowdown import (
    adiabatic_pressure,
    adiabatic_temperature,
    adiabatic_unchoke_time,
    blowdown_time_constant,
    isothermal_pressure,
    isothermal_unchoke_time,
    unchoke_pressure,
)
from loftwright.physics.nozzle import (
    area_ratio,
    choked_flow_factor,
    choked_vacuum_thrust_factor,
    critical_density_ratio,
    critical_pressure_ratio,
    critical_temperature_ratio,
    density_ratio,
    pressure_ratio,
    temperature_ratio,
)
from loftwright.physics.water_jet import (
    column_inertia_pressure,
    water_jet_speed,
    water_thrust_per_speed_squared,
)

gammas = st.floats(1.05, 1.67)
machs = st.floats(0.01, 3.0)
R = 287.05


@given(machs, gammas)
def test_isentropic_ratios_hang_together(mach, gamma):
    temperature, pressure = temperature_ratio(mach, gamma), pressure_ratio(mach, gamma)
    density = density_ratio(mach, gamma)
    assert pressure == pytest.approx(density * temperature, rel=1e-12)
    assert pressure == pytest.approx(density**gamma, rel=1e-10)
    assert 0.0 < pressure < temperature < 1.0


@given(machs, gammas)
def test_area_is_least_at_the_speed_of_sound(mach, gamma):
    assert area_ratio(mach, gamma) >= 1.0 - 1e-12
    assert area_ratio(1.0, gamma) == pytest.approx(1.0)


@given(machs, gammas)
def test_mass_flow_is_the_same_through_every_section(mach, gamma):
    def flux(m):
        return density_ratio(m, gamma) * m * sqrt(temperature_ratio(m, gamma))

    assert flux(mach) * area_ratio(mach, gamma) == pytest.approx(flux(1.0), rel=1e-10)


@given(gammas)
def test_critical_values_are_those_at_the_speed_of_sound(gamma):
    assert critical_temperature_ratio(gamma) == pytest.approx(temperature_ratio(1.0, gamma))
    assert critical_pressure_ratio(gamma) == pytest.approx(pressure_ratio(1.0, gamma))
    assert critical_density_ratio(gamma) == pytest.approx(density_ratio(1.0, gamma))
    flow = critical_density_ratio(gamma) * sqrt(gamma * critical_temperature_ratio(gamma))
    assert choked_flow_factor(gamma) == pytest.approx(flow)


# ---------------------------------------------------------------- the kernel's jet of air


@given(st.floats(1.9e5, 1e6), st.floats(200.0, 320.0))
def test_a_choked_jet_does_not_feel_the_outside(pressure, temperature):
    choked = air_jet(pressure, temperature, 5e4, R)
    assert choked == pytest.approx(air_jet(pressure, temperature, 9e4, R), rel=1e-12)
    flux, speed, throat = choked
    assert flux * sqrt(R * temperature) / pressure == pytest.approx(choked_flow_factor(1.4))
    assert speed == pytest.approx(sqrt(1.4 * R * temperature * critical_temperature_ratio(1.4)))
    thrust = flux * speed + throat
    assert thrust / pressure == pytest.approx(choked_vacuum_thrust_factor(1.4))


@given(st.floats(1.0001, 1.85), st.floats(200.0, 320.0))
def test_a_subsonic_jet_leaves_at_the_outside_pressure(excess, temperature):
    flux, speed, throat = air_jet(1e5 * excess, temperature, 1e5, R)
    assert throat == pytest.approx(1e5)
    assert flux < choked_flow_factor(1.4) * 1e5 * excess / sqrt(R * temperature)
    mach = speed / sqrt(AIR_RATIO * R * (temperature - speed**2 / (7.0 * R)))
    assert pressure_ratio(mach, 1.4) == pytest.approx(1.0 / excess, rel=1e-9)


@given(st.floats(0.1, 1.0), st.floats(200.0, 320.0))
def test_no_air_leaves_into_higher_pressure(share, temperature):
    assert air_jet(share * 1e5, temperature, 1e5, R)[:2] == (0.0, 0.0)


def test_jet_and_nozzle_take_the_same_critical_ratio():
    assert pytest.approx(critical_pressure_ratio(1.4), rel=1e-12) == CRITICAL_PRESSURE_RATIO


@given(st.floats(0.0, 5.0))
def test_mist_keeps_the_momentum_of_the_jet(load):
    gas, water = mist_share(load, 1.0)
    # Mass flow grows by the root of 1 + load and speed falls by it.
    assert (gas + water) ** 2 == pytest.approx(1.0 + load)
    assert water == pytest.approx(load * gas)


def test_no_water_leaves_the_jet_dry():
    assert mist_share(0.0, 1e-3) == (1.0, 0.0)
    assert mist_share(-1e-9, 1e-3) == (1.0, 0.0)


# ---------------------------------------------------------------- vessels that empty


@given(st.floats(2.0e5, 1e6), st.floats(0.5e-3, 5e-3))
def test_closed_form_blowdown_obeys_the_jet(pressure, volume):
    area = 6e-5
    constant = blowdown_time_constant(volume, area, R, 290.0, 1.4)
    step = 1e-6 * constant

    def mass(t):
        temperature = adiabatic_temperature(290.0, t, constant, 1.4)
        return adiabatic_pressure(pressure, t, constant, 1.4) * volume / (R * temperature)

    moment = 0.3 * constant
    loss = (mass(moment - step) - mass(moment + step)) / (2 * step)
    now = adiabatic_pressure(pressure, moment, constant, 1.4)
    flux, _, _ = air_jet(now, adiabatic_temperature(290.0, moment, constant, 1.4), 1e3, R)
    assert loss == pytest.approx(flux * area, rel=1e-6)


@given(st.floats(2.1e5, 1.5e6))
def test_blowdown_reaches_the_end_of_choking_when_it_says(pressure):
    adiabatic = adiabatic_unchoke_time(pressure, 1e5, 0.2, 1.4)
    isothermal = isothermal_unchoke_time(pressure, 1e5, 0.2, 1.4)
    assert adiabatic_pressure(pressure, adiabatic, 0.2, 1.4) == pytest.approx(
        unchoke_pressure(1e5, 1.4)
    )
    assert isothermal_pressure(pressure, isothermal, 0.2) == pytest.approx(
        unchoke_pressure(1e5, 1.4)
    )
    assert 0.0 < adiabatic < isothermal


@given(st.floats(0.0, 4.0))
def test_cooling_gas_loses_pressure_faster_over_four_time_constants(time):
    # Later its cold slows the flow by more; by then 1.8 % of the pressure is left.
    assert adiabatic_pressure(6e5, time, 1.0, 1.4) <= isothermal_pressure(6e5, time, 1.0) + 1e-6


@pytest.mark.parametrize("case", [(0.0, 1e-5, 290.0), (1e-3, 0.0, 290.0), (1e-3, 1e-5, 0.0)])
def test_a_vessel_without_size_is_refused(case):
    volume, area, temperature = case
    with pytest.raises(ValueError, match="above zero"):
        blowdown_time_constant(volume, area, R, temperature, 1.4)


def test_flow_at_rest_has_no_area_ratio():
    with pytest.raises(ValueError, match="Mach"):
        area_ratio(0.0, 1.4)


# ---------------------------------------------------------------- the jet of water


@given(st.floats(1e3, 1e6), st.floats(0.0, 0.5))
def test_jet_of_water_obeys_bernoulli(pressure, ratio):
    speed = water_jet_speed(pressure, 998.0, ratio, 0.0)
    assert 0.5 * 998.0 * speed**2 * (1.0 - ratio**2) == pytest.approx(pressure)


@given(st.floats(-1e6, 0.0))
def test_no_water_leaves_into_higher_pressure(pressure):
    assert water_jet_speed(pressure, 1000.0, 0.1, 0.0) == 0.0


@given(st.floats(1e4, 1e6), st.floats(0.0, 0.3), st.floats(0.01, 0.2))
def test_head_made_by_thrust_is_felt(pressure, ratio, gain):
    # The gain is the head's pressure over density and speed squared: rho a h = rho s v^2.
    speed = water_jet_speed(pressure, 1000.0, ratio, gain)
    head = 1000.0 * gain * speed**2
    assert 0.5 * 1000.0 * speed**2 * (1.0 - ratio**2) == pytest.approx(pressure + head)


@given(st.floats(1e4, 1e6), st.floats(1e-5, 1e-3), st.floats(0.5, 1.0), st.floats(0.5, 1.0))
def test_losses_lower_the_thrust_in_proportion(pressure, area, flow, velocity):
    speed = water_jet_speed(pressure, 1000.0, 0.0, 0.0)
    thrust = water_thrust_per_speed_squared(1000.0, area, flow, velocity) * speed**2
    assert thrust == pytest.approx(2.0 * area * pressure * flow * velocity)


def test_inertia_of_the_column_meets_the_full_unsteady_equation():
    """First-order closure against the unsteady Bernoulli equation of a straight column.

    rho L dv/dt = p - rho v^2 (1 - r^2) / 2 with L = r h: the jet lags the quasi-steady one.
    """
    rho, ratio, throat = 1000.0, 0.04, 3.6e-4
    column, start, gas, exponent = throat / ratio, 6e5, 1.3e-3, 1.3
    water = 0.7e-3

    def pressure(volume):
        return start * (gas / volume) ** exponent

    def rates(_, y):
        volume, v = y
        inertia = rho * ratio * (gas + water - volume) / column
        over = pressure(volume) - 101325.0 - 0.5 * rho * v * v * (1.0 - ratio**2)
        return throat * v, over / inertia

    first = water_jet_speed(start - 101325.0, rho, ratio, 0.0)
    run = solve_ivp(rates, (0, 0.03), (gas, first), method="LSODA", rtol=1e-9, atol=1e-12)
    volume, v = run.y[:, -1]
    height = (gas + water - volume) / column
    added = column_inertia_pressure(pressure(volume), volume, throat, height, ratio, exponent)
    with_inertia = water_jet_speed(pressure(volume) - 101325.0 + added, rho, ratio, 0.0)
    without = water_jet_speed(pressure(volume) - 101325.0, rho, ratio, 0.0)
    assert with_inertia == pytest.approx(v, rel=2e-5)
    assert abs(with_inertia - v) < 0.05 * abs(without - v)
