"""Properties of vessels, canopies, energies, distances and simple flights."""

from __future__ import annotations

from math import cos, inf, log, pi, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from loftwright.physics.ballistics import (
    canopy_drift,
    fall_time,
    impact_speed,
    rise_height,
    rise_time,
    stopwatch_height,
    terminal_speed_of,
    vacuum_range,
)
from loftwright.physics.canopy import (
    ballistic_parameter,
    canopy_drag_area,
    filled_fraction,
    filling_time,
    opening_factor_linear,
    opening_factor_quadratic,
)
from loftwright.physics.hazard import (
    POUND_PER_SQUARE_INCH,
    bystander_distance,
    kinetic_energy,
    pad_distance,
    speed_at_energy,
)
from loftwright.physics.spin import (
    body_nutation_rate,
    free_precession_rate,
    top_precession_rates,
    weathercock_rate,
)
from loftwright.physics.stored_energy import (
    availability,
    blast_distance,
    code_distance,
    expansion_energy,
    linear_energy,
)
from loftwright.physics.vessel import (
    allowable_stress,
    axial_stress,
    burst_derived_pressure,
    hoop_stress,
    hoop_stress_thick,
    hydrostatic_test_pressure,
    hydrostatic_test_pressure_europe,
    pneumatic_test_pressure,
    von_mises_stress,
)

masses = st.floats(0.01, 5.0)
speeds = st.floats(0.1, 100.0)


# ---------------------------------------------------------------- vessels


@given(st.floats(1e4, 2e6), st.floats(0.01, 0.1), st.floats(1e-4, 1e-3))
def test_stresses_of_a_thin_wall(pressure, radius, wall):
    hoop, axial = hoop_stress(pressure, radius, wall), axial_stress(pressure, radius, wall)
    assert von_mises_stress(hoop, axial) == pytest.approx(sqrt(3) / 2 * hoop)
    # The thick-walled stress exceeds the thin-walled by half the pressure, to first order.
    assert hoop_stress_thick(pressure, radius, wall) == pytest.approx(
        hoop + pressure / 2, abs=0.3 * pressure * wall / radius
    )


@given(st.floats(1e4, 1e6))
def test_proof_is_above_work(pressure):
    proofs = (
        pneumatic_test_pressure(pressure, 1.0),
        hydrostatic_test_pressure(pressure, 1.0),
        hydrostatic_test_pressure_europe(pressure, 1.0),
    )
    assert pressure < proofs[0] < proofs[1] < proofs[2]
    assert burst_derived_pressure(4 * pressure, 1.0, 1.0, 1.0) == pytest.approx(pressure)


@given(st.floats(1e7, 1e9), st.floats(1e7, 1e9))
def test_allowable_stress_is_below_both_strengths(ultimate, elastic):
    assert allowable_stress(ultimate, elastic) < min(ultimate, elastic)


# ---------------------------------------------------------------- energy


@given(st.floats(1.2e5, 2e6), st.floats(1e-4, 1e-2))
def test_stored_energies_bound_each_other(pressure, volume):
    adiabatic = expansion_energy(pressure, volume)
    assert 0 < adiabatic <= linear_energy(pressure - 101e3, volume, 1.4)
    # Isothermal work includes heat from outside but pays for pushing the outside air away.
    work = pressure * volume * log(pressure / 101e3)
    assert availability(pressure, 101e3, volume) == pytest.approx(
        work - (pressure - 101e3) * volume
    )


@given(st.floats(0.0, 1e9))
def test_distance_of_the_code_has_a_floor(energy):
    assert code_distance(energy) >= max(30.0, blast_distance(energy))
    # Above 135.5 MJ the code's floor is 60 m, which the blast distance exceeds by itself.
    assert code_distance(energy) >= (60.0 if energy > 135.5e6 else 30.0)


@given(masses, speeds)
def test_speed_and_energy_undo_each_other(mass, speed):
    assert speed_at_energy(mass, kinetic_energy(mass, speed)) == pytest.approx(speed)


@given(st.floats(0.0, 89.0))
def test_distances_grow(psi):
    here = pad_distance(psi * POUND_PER_SQUARE_INCH)
    assert here <= pad_distance((psi + 1.0) * POUND_PER_SQUARE_INCH)
    assert here >= 26.0
    assert bystander_distance(psi * 100.0) >= 457.2


# ---------------------------------------------------------------- canopies


@given(st.floats(-1.0, 3.0), st.floats(0.0, 1.0))
def test_a_canopy_fills_from_nothing_to_all(time, filling):
    share = filled_fraction(time, filling)
    assert 0.0 <= share <= 1.0
    assert filled_fraction(time + 0.1, filling) >= share
    assert filled_fraction(filling + 1e-6, filling) == 1.0


@given(st.floats(1e-3, 1e3))
def test_opening_factors_lie_below_one_and_grow(parameter):
    for law in (opening_factor_linear, opening_factor_quadratic):
        assert 0.0 < law(parameter) < law(1.01 * parameter) < 1.0


@pytest.mark.parametrize(
    ("law", "join"), [(opening_factor_linear, 1.5), (opening_factor_quadratic, 2 / 3)]
)
def test_opening_factors_join(law, join):
    assert law(join * (1 - 1e-9)) == pytest.approx(law(join * (1 + 1e-9)), rel=1e-6)


@given(masses, st.floats(0.2, 2.0))
def test_drag_balances_weight_at_terminal_speed(mass, diameter):
    area = canopy_drag_area(diameter, 0.75)
    speed = terminal_speed_of(mass, 1.2, area)
    assert 0.5 * 1.2 * speed**2 * area == pytest.approx(mass * 9.80665)
    parameter = ballistic_parameter(mass, 1.2, area, speed, filling_time(8.0, diameter, speed))
    assert parameter == pytest.approx(2 * mass / (1.2 * area * 8.0 * diameter))


# ---------------------------------------------------------------- flights


@given(st.floats(1.0, 80.0), st.floats(5.0, 80.0))
def test_closed_form_shot_is_the_integrated_one(speed, terminal):
    assume(speed / terminal < 10)

    def rates(_, y):
        return y[1], -9.80665 * (1 + y[1] * abs(y[1]) / terminal**2)

    def top(_, y):
        return y[1]

    def ground(t, y):
        return y[0] if t > 1e-3 else 1.0

    top.direction, ground.direction, ground.terminal = -1, -1, True
    run = solve_ivp(rates, (0, 200), (0, speed), events=(top, ground), rtol=1e-9, atol=1e-9)
    height = rise_height(speed, terminal)
    assert run.y_events[0][0][0] == pytest.approx(height, rel=1e-6)
    assert run.t_events[0][0] == pytest.approx(rise_time(speed, terminal), rel=1e-6)
    total = rise_time(speed, terminal) + fall_time(height, terminal)
    assert run.t_events[1][0] == pytest.approx(total, rel=1e-6)
    assert -run.y_events[1][0][1] == pytest.approx(impact_speed(speed, terminal), rel=1e-6)


@given(st.floats(1.0, 80.0), st.floats(20.0, 80.0))
def test_stopwatch_is_high_by_no_more_than_it_says(speed, terminal):
    assume(speed / terminal <= 4.0)
    height = rise_height(speed, terminal)
    total = rise_time(speed, terminal) + fall_time(height, terminal)
    assert 0.968 <= height / stopwatch_height(total) <= 1.0 + 1e-6


@given(st.floats(1.0, 60.0))
def test_without_air_the_best_range_is_at_45_degrees(speed):
    assert vacuum_range(speed, pi / 4) == pytest.approx(2 * rise_height(speed, 1e6), rel=1e-6)
    assert vacuum_range(speed, pi / 2) == pytest.approx(0.0, abs=1e-9)


# ---------------------------------------------------------------- spin


@given(st.floats(1e-4, 1e-3), st.floats(2e-3, 1e-1), st.floats(1.0, 50.0))
def test_slender_bodies_precess_slowly(along, across, spin):
    assert 0 < free_precession_rate(along, across, spin, 0.1) < spin
    assert -spin < body_nutation_rate(along, across, spin) < 0


@given(st.floats(200.0, 2000.0), st.floats(0.1, 1.4))
def test_top_precesses_steadily_at_both_rates(spin, tilt):
    for rate in top_precession_rates(5e-4, 4e-4, 0.098, spin, tilt):
        terms = (4e-4 * cos(tilt) * rate**2, -5e-4 * spin * rate, 0.098)
        assert sum(terms) == pytest.approx(0.0, abs=1e-9 * max(map(abs, terms)))


def test_a_swinging_body_obeys_its_oscillator():
    rate = weathercock_rate(900.0, 0.009, 9.0, 0.15, 0.012)
    run = solve_ivp(
        lambda _, y: (y[1], -900.0 * 0.009 * 9.0 * 0.15 / 0.012 * y[0]),
        (0, 2 * pi / rate),
        (0.1, 0.0),
        rtol=1e-10,
        atol=1e-12,
    )
    assert run.y[:, -1] == pytest.approx((0.1, 0.0), abs=1e-7)


# ---------------------------------------------------------------- nonsense


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda: burst_derived_pressure(1e6, 0.0, 1.0, 1.0),
        lambda: expansion_energy(0.0, 1e-3),
        lambda: linear_energy(1e5, 1e-3, 1.0),
        lambda: availability(1e5, 0.0, 1e-3),
        lambda: speed_at_energy(0.0, 1.0),
        lambda: speed_at_energy(1.0, -1.0),
        lambda: pad_distance(100 * POUND_PER_SQUARE_INCH),
        lambda: terminal_speed_of(1.0, 0.0, 1.0),
        lambda: fall_time(-1.0, 10.0),
        lambda: canopy_drift(100.0, 0.0, 5.0),
        lambda: filling_time(8.0, 1.0, 0.0),
        lambda: ballistic_parameter(1.0, 1.2, 0.0, 10.0, 0.1),
        lambda: opening_factor_linear(-0.1),
        lambda: opening_factor_quadratic(-0.1),
        lambda: top_precession_rates(5e-4, 4e-4, 0.098, 1.0, 0.5),
        lambda: weathercock_rate(900.0, 0.009, 9.0, -0.1, 0.012),
    ],
)
def test_nonsense_is_refused(nonsense):
    with pytest.raises(ValueError, match=r"\w+"):
        nonsense()


def test_a_heavy_load_opens_its_canopy_at_full_speed():
    assert opening_factor_linear(inf) == opening_factor_quadratic(inf) == 1.0
