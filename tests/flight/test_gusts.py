"""Gust waves: their energy, their spectrum over wavenumber, and how the air carries them."""

from __future__ import annotations

import numpy as np
import pytest
from flight.engine_rows import parameters, set_slot
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.gusts import HIGHEST_SHARE, MODES, REFERENCE_HEIGHT, draw_gusts
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.airflow import wind
from loftwright.physics.turbulence import horizontal_turbulence_length

LENGTH = horizontal_turbulence_length(REFERENCE_HEIGHT)
MANY = 40_000


def winds(gusts, flight, times, height=30.0):
    """East and north gusts of one flight, as the kernel makes them."""
    table = parameters(ROUGHNESS=0.03)
    for k in range(MODES):
        set_slot(table, f"GUST_RATE_{k}", gusts.rate[flight, k])
        set_slot(table, f"GUST_WAVE_{k}", gusts.wave[flight, k])
        set_slot(table, f"GUST_EAST_{k}", gusts.amplitude[flight, k])
        set_slot(table, f"GUST_NORTH_{k}", gusts.amplitude[flight, k])
        set_slot(table, f"GUST_EAST_PHASE_{k}", gusts.east_phase[flight, k])
        set_slot(table, f"GUST_NORTH_PHASE_{k}", gusts.north_phase[flight, k])
    row = np.repeat(table[0], slots.LANES)
    return np.array([wind(t, height, row, 0) for t in times])


def test_the_variance_over_flights_is_the_deviation_squared():
    gusts = draw_gusts(1, MANY, 2.0, 5.0)
    for phase in (gusts.east_phase, gusts.north_phase):
        now = (gusts.amplitude * np.cos(phase)).sum(axis=1)
        assert now.mean() == pytest.approx(0.0, abs=4.5 * 2.0 / MANY**0.5)
        assert now.var() == pytest.approx(4.0, rel=0.03)


def test_east_and_north_gust_apart():
    gusts = draw_gusts(2, MANY, 1.0, 5.0)
    east, north = (
        (gusts.amplitude * np.cos(phase)).sum(axis=1)
        for phase in (gusts.east_phase, gusts.north_phase)
    )
    assert np.corrcoef(east, north)[0, 1] == pytest.approx(0.0, abs=4.5 / MANY**0.5)


@pytest.mark.parametrize("scaled", [0.1, 0.3, 1.0, 3.0, 10.0])
def test_energy_over_wavenumber_follows_the_published_spectrum(scaled):
    """Share of the variance below k: 2/pi atan(L k), the integral of 2 L / (pi (1 + (L k)^2)).

    MIL-F-8785C (1980), section 3.7, longitudinal form (from memory).
    """
    gusts = draw_gusts(3, MANY, 1.0, 1.0)
    energy = 0.5 * gusts.amplitude**2
    below = (energy * (gusts.rate < scaled / LENGTH)).sum() / energy.sum()
    assert below == pytest.approx(2.0 / np.pi * np.arctan(scaled), abs=3e-3)


def test_the_autocorrelation_over_time_is_exponential():
    """That spectrum belongs to exp(-U tau / L); the top of it stands at one wavenumber."""
    lumped, chance = 1.0 - HIGHEST_SHARE, 4.5 * 0.3 / MANY**0.5
    speed = 4.0
    gusts = draw_gusts(4, MANY, 1.0, speed)
    for lag in (0.0, 0.5 * LENGTH / speed, LENGTH / speed, 2.0 * LENGTH / speed):
        found = (0.5 * gusts.amplitude**2 * np.cos(gusts.rate * lag)).sum(axis=1).mean()
        assert found == pytest.approx(np.exp(-lag * speed / LENGTH), abs=lumped + chance)


def test_every_flight_holds_one_wave_of_each_stratum():
    gusts = draw_gusts(5, 500, 1.0, 1.0)
    share = 2.0 / np.pi * np.arctan(gusts.rate * LENGTH)
    assert (np.floor(share * MODES - 1e-9) == np.arange(MODES)).all()
    assert share.max() <= HIGHEST_SHARE + 1e-12


@given(seed=st.integers(0, 2**32), short=st.integers(1, 20), more=st.integers(0, 50))
def test_the_first_flights_of_a_longer_ensemble_are_those_of_a_shorter(seed, short, more):
    one, other = draw_gusts(seed, short, 1.0, 3.0), draw_gusts(seed, short + more, 1.0, 3.0)
    for a, b in zip(one, other, strict=True):
        np.testing.assert_array_equal(a, b[:short])


@given(seed=st.integers(0, 2**32), first=st.integers(0, 9000), count=st.integers(1, 50))
def test_any_flights_of_an_ensemble_can_be_drawn_alone(seed, first, count):
    some = draw_gusts(seed, count, 1.0, 3.0, first)
    last = draw_gusts(seed, 1, 1.0, 3.0, first + count - 1)
    for a, b in zip(some, last, strict=True):
        np.testing.assert_array_equal(a[-1:], b)


def test_deviation_and_speed_may_differ_from_flight_to_flight():
    gusts = draw_gusts(6, 3, np.array([0.0, 1.0, 2.0]), np.array([1.0, 2.0, 4.0]))
    np.testing.assert_allclose(gusts.amplitude[:, 0], np.array([0.0, 1.0, 2.0]) * 0.5**0.5)
    plain = draw_gusts(6, 3, 1.0, 1.0)
    np.testing.assert_allclose(gusts.rate, plain.rate * [[1.0], [2.0], [4.0]])
    assert (np.abs(gusts.wave) <= plain.rate).all()


def test_the_kernel_makes_the_waves_that_were_drawn():
    gusts = draw_gusts(7, 2, 1.5, 6.0)
    times = np.linspace(0.0, 30.0, 50)
    phase = gusts.rate[1] * times[:, np.newaxis] + gusts.wave[1] * 30.0
    expected = np.column_stack(
        [
            (gusts.amplitude[1] * np.cos(phase + shift[1])).sum(axis=1)
            for shift in (gusts.east_phase, gusts.north_phase)
        ]
    )
    np.testing.assert_allclose(winds(gusts, 1, times), expected, atol=1e-12)


def test_gusts_and_wind_die_at_the_ground():
    gusts = draw_gusts(8, 1, 5.0, 6.0)
    np.testing.assert_array_equal(winds(gusts, 0, [0.0, 1.0], height=0.03), 0.0)
    np.testing.assert_array_equal(winds(gusts, 0, [0.0, 1.0], height=-1.0), 0.0)
