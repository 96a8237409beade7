"""Static firings of the example: held, whole, and true to its own books."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import simpson

from loftwright.documents.flatten import flatten
from loftwright.flight.firing import fire, static_firing
from loftwright.flight.masses import vessel_volume

NAMES = ["stand-bottle", "sedge-lift"]
VALUES, _, WORDS = flatten(example("stand-bottle"))


@cache
def firing(name):
    return static_firing(example(name))


def legs(found):
    """Split where samples are doubled, at events."""
    cuts = np.flatnonzero(np.diff(found.time) < 1e-9) + 1
    return [leg for leg in np.split(np.arange(len(found.time)), cuts) if len(leg) > 3]


@pytest.mark.parametrize("name", NAMES)
def test_a_firing_is_whole(name):
    found = firing(name)
    columns = (found.thrust, found.gauge_pressure, found.gas_temperature, found.water_mass)
    assert all(len(column) == len(found.time) for column in columns)
    assert all(np.isfinite(column).all() for column in columns)
    assert all(value is not None for value in found.figures.values())
    assert list(found.events) == ["liftoff", "water out", "air out"]
    assert found.provenance.laws


@pytest.mark.parametrize("name", NAMES)
def test_thrust_adds_up_to_the_impulse(name):
    found = firing(name)
    total = sum(simpson(found.thrust[leg], x=found.time[leg]) for leg in legs(found))
    assert total == pytest.approx(found.figures["impulse_n_s"], rel=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_figures_are_those_of_the_columns(name):
    found = firing(name)
    out = np.argmin(np.abs(found.time - found.events["water out"]))
    figures = found.figures
    assert figures["peak_thrust_n"] == pytest.approx(found.thrust.max(), rel=1e-6)
    assert figures["initial_air_mass_kg"] == pytest.approx(found.gas_mass[0], rel=1e-12)
    assert figures["temperature_at_water_out_k"] == pytest.approx(found.gas_temperature[out])
    assert figures["air_out_s"] == pytest.approx(found.time[-1], abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_everything_only_leaves(name):
    found = firing(name)
    for column in (found.water_mass, found.gas_mass, found.gas_temperature, found.gauge_pressure):
        assert (np.diff(column) <= 1e-9 * abs(column[0])).all()
    assert found.gauge_pressure[-1] == pytest.approx(0.0, abs=3.0)
    assert found.water_mass[-1] >= -1e-12


def test_the_fill_is_the_one_written():
    found = firing("stand-bottle")
    assert found.gauge_pressure[0] == pytest.approx(VALUES["vehicle.fill.gauge_pressure"], rel=1e-9)
    assert found.water_mass[0] == pytest.approx(
        1000 * VALUES["vehicle.fill.water_volume"], rel=3e-3
    )
    assert found.gas_temperature[0] == VALUES["vehicle.fill.temperature"]


def test_samples_are_as_close_as_asked():
    found = fire(VALUES, WORDS, interval=1e-3)
    assert np.diff(found.time)[:10] == pytest.approx(1e-3, rel=0.01)


@settings(deadline=None, max_examples=30)
@given(flow=st.floats(0.5, 1.0), speed=st.floats(0.5, 1.0))
def test_losses_lower_the_thrust_in_proportion(flow, speed):
    """F = C_d C_v rho A v^2; approach velocity and inertia of the column add up to 1 % at most."""
    best = {"vehicle.nozzle.flow_coefficient": 1.0, "vehicle.nozzle.velocity_coefficient": 1.0}
    lossy = {"vehicle.nozzle.flow_coefficient": flow, "vehicle.nozzle.velocity_coefficient": speed}
    one, other = fire({**VALUES, **best}, WORDS), fire({**VALUES, **lossy}, WORDS)
    ratio = other.figures["peak_thrust_n"] / one.figures["peak_thrust_n"]
    assert ratio == pytest.approx(flow * speed, rel=1e-2)
    assert other.figures["water_out_s"] > 0.999 * one.figures["water_out_s"]


def test_more_pressure_gives_more_of_everything():
    impulses = [
        fire({**VALUES, "vehicle.fill.gauge_pressure": p}, WORDS).figures["impulse_n_s"]
        for p in (1e5, 2e5, 4e5, 8e5)
    ]
    assert impulses == sorted(impulses)


def test_the_gas_fills_what_the_water_leaves():
    """Initial mass of the dry air from p V = m R T."""
    found = firing("stand-bottle")
    volume = vessel_volume(VALUES) - VALUES["vehicle.fill.water_volume"]
    outside = found.figures["pressure_at_water_out_pa"] - np.interp(
        found.events["water out"], found.time, found.gauge_pressure
    )
    pressure = outside + VALUES["vehicle.fill.gauge_pressure"]
    whole = pressure * volume / (287.053 * VALUES["vehicle.fill.temperature"])
    # Vapour is a per cent or less of the gas at these pressures.
    assert 0.985 * whole < found.figures["initial_air_mass_kg"] <= 1.0001 * whole
