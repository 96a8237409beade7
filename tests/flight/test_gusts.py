"""Gust waves: their spectra along and across any line, their strength, and how they are carried.

What is estimated over flights is held against the published formula within 4.5 standard errors,
estimated from the same flights: about one wrong alarm in 150 000.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from flight.engine_rows import coasting, figure, fly, parameters, point, set_slot, thing
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import kstest

from loftwright.flight.gusts import (
    LEVEL,
    LEVEL_LENGTH,
    REFERENCE_HEIGHT,
    SHORTEST_WAVE,
    UPRIGHT,
    UPRIGHT_LENGTH,
    UPRIGHT_SHARE,
    WAVES,
    draw_gusts,
)
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.weather import WHOLE_HEIGHT, wind
from loftwright.flight.weather_rows import gust_waves
from loftwright.physics.gust_spectrum import along_gust_spectrum, gust_autocorrelation
from loftwright.physics.turbulence import (
    horizontal_turbulence,
    horizontal_turbulence_length,
    vertical_turbulence,
    vertical_turbulence_spectrum,
)

MANY = 20_000
ALL_WAVES = 0.02  # m; so short that nothing is cut off
ERRORS = 4.5
COMPONENTS = {"east": 0, "north": 1, "up": 2}
LINES = {"east": (1.0, 0.0, 0.0), "north": (0.0, 1.0, 0.0), "up": (0.0, 0.0, 1.0)}
SLANT = (0.48, -0.64, 0.6)

coordinate = st.floats(-300.0, 300.0)


def motions(gusts):
    """How each wave moves the air: (flights, waves, 3), m/s."""
    moved = np.zeros((*gusts.phase.shape, 3))
    moved[:, 0:LEVEL:2, 0] = moved[:, 1:LEVEL:2, 1] = gusts.along
    moved[:, 0:LEVEL:2, 1], moved[:, 1:LEVEL:2, 0] = gusts.across, -gusts.across
    moved[:, LEVEL:, 2] = gusts.upright[:, np.newaxis]
    return moved


def vectors(gusts):
    """Wave vectors: (flights, waves, 3), rad/m."""
    return np.stack([gusts.east, gusts.north, gusts.up], axis=-1)


def estimate(per_flight):
    """Mean over flights and its standard error."""
    return per_flight.mean(axis=0), per_flight.std(axis=0, ddof=1) / len(per_flight) ** 0.5


def row_of(gusts, flight=0, **named):
    """The flight's parameters, as every lane of the kernel would have them."""
    table = parameters(ROUGHNESS=0.03, **named)
    for name, values in gust_waves(gusts).items():
        set_slot(table, name, values[flight])
    return np.repeat(table[0], slots.LANES)


# ---------------------------------------------------------------- strength


@given(seed=st.integers(0, 2**32), deviation=st.floats(0.0, 10.0))
@settings(max_examples=25)
def test_every_flight_has_the_whole_variance(seed, deviation):
    """MIL-F-8785C (1980), 3.7.3.4: level components alike, the vertical one by its ratio."""
    found = 0.5 * (motions(draw_gusts(seed, 20, deviation, 5.0)) ** 2).sum(axis=1)
    vertical = deviation * vertical_turbulence(1.0) / horizontal_turbulence(30.0, 1.0)
    expected = np.array([deviation, deviation, vertical]) ** 2
    np.testing.assert_allclose(found, np.tile(expected, (20, 1)), rtol=1e-12, atol=1e-300)


def test_winds_over_flights_vary_by_the_deviation():
    gusts = draw_gusts(1, MANY, 2.0, 5.0)
    now = (motions(gusts) * np.cos(gusts.phase)[..., np.newaxis]).sum(axis=1)
    mean, error = estimate(now)
    assert (np.abs(mean) < ERRORS * error).all()
    square, error = estimate(now**2)
    expected = np.array([2.0, 2.0, 2.0 * UPRIGHT_SHARE]) ** 2
    assert (np.abs(square - expected) < ERRORS * error).all()


@pytest.mark.parametrize(("one", "other"), [("east", "north"), ("east", "up"), ("north", "up")])
def test_components_gust_apart(one, other):
    gusts = draw_gusts(2, MANY, 1.0, 5.0)
    now = (motions(gusts) * np.cos(gusts.phase)[..., np.newaxis]).sum(axis=1)
    product, error = estimate(now[:, COMPONENTS[one]] * now[:, COMPONENTS[other]])
    assert abs(product) < ERRORS * error


# ---------------------------------------------------------------- spectra


def published(component, line):
    """Spectrum of a component along a line: along the component itself, or across it."""
    if component == "up":
        size, length = UPRIGHT_SHARE, UPRIGHT_LENGTH
    else:
        size, length = 1.0, LEVEL_LENGTH
    law = along_gust_spectrum if line == component else vertical_turbulence_spectrum
    return (lambda k: law(k, size, length)), length


@pytest.mark.parametrize("line", list(LINES))
@pytest.mark.parametrize("component", list(COMPONENTS))
def test_the_spectrum_along_a_line_is_the_published_one(component, line):
    """Variance in bands of wavenumber: MIL-F-8785C (1980), 3.7.1.2, both forms.

    Bands from a twentieth of the corner wavenumber to twenty times that.
    """
    gusts = draw_gusts(4, MANY, 1.0, 5.0, shortest=ALL_WAVES)
    spectrum, length = published(component, line)
    energy = 0.5 * motions(gusts)[..., COMPONENTS[component]] ** 2
    along = np.abs(vectors(gusts) @ np.array(LINES[line]))
    edges = np.array([0.0, 0.05, 0.3, 0.6, 1.0, 1.5, 2.5, 4.0, 8.0, 20.0]) / length
    for low, high in pairwise(edges):
        found, error = estimate((energy * ((along >= low) & (along < high))).sum(axis=1))
        expected, _ = quad(spectrum, low, high)
        assert abs(found - expected) < ERRORS * error, (low, high, found, expected, error)
        assert error < 0.1 * expected  # or the comparison would say nothing


@pytest.mark.parametrize("lag", [0.0, 0.2, 0.5, 1.0, 2.0])
def test_winds_at_two_places_are_alike_as_the_spectrum_asks(lag):
    """exp(-r/L) along the component, (1 - r/2L) exp(-r/L) across it, also on a slant."""
    gusts = draw_gusts(5, MANY, 1.0, 5.0, shortest=ALL_WAVES)
    reach = lag * LEVEL_LENGTH
    f = gust_autocorrelation(reach, 1.0, LEVEL_LENGTH)
    g = (1.0 - 0.5 * lag) * f
    turned = np.cos(reach * (vectors(gusts) @ np.array(SLANT)))
    for name, expected in (
        ("east", g + (f - g) * SLANT[0] ** 2),
        ("north", g + (f - g) * SLANT[1] ** 2),
    ):
        part = motions(gusts)[..., COMPONENTS[name]]
        found, error = estimate((0.5 * part**2 * turned).sum(axis=1))
        assert abs(found - expected) < ERRORS * error + 1e-12
    both = (0.5 * motions(gusts)[..., 0] * motions(gusts)[..., 1] * turned).sum(axis=1)
    found, error = estimate(both)
    assert abs(found - (f - g) * SLANT[0] * SLANT[1]) < ERRORS * error + 1e-12


def test_what_is_shorter_than_the_shortest_wave_lies_on_it():
    whole, cut = draw_gusts(6, 500, 1.0, 5.0, shortest=ALL_WAVES), draw_gusts(6, 500, 1.0, 5.0)
    sizes = np.linalg.norm(vectors(cut), axis=-1)
    highest = 2.0 * np.pi / SHORTEST_WAVE
    np.testing.assert_allclose(
        sizes, np.minimum(np.linalg.norm(vectors(whole), axis=-1), highest), rtol=1e-6
    )
    lumped = (sizes > highest * (1.0 - 1e-6)).mean(axis=0)
    assert (lumped[: LEVEL - 1] == 0.0).all()
    assert lumped[LEVEL - 1] / LEVEL == pytest.approx(0.035, abs=0.01)
    assert lumped[WAVES - 1] / UPRIGHT == pytest.approx(0.17, abs=0.02)


def test_lengths_are_those_of_the_reference_height():
    assert horizontal_turbulence_length(REFERENCE_HEIGHT) == LEVEL_LENGTH
    assert UPRIGHT_LENGTH == REFERENCE_HEIGHT
    for height in (15.0, 60.0):  # as far as the module says that they hold
        assert 0.5 <= horizontal_turbulence_length(height) / LEVEL_LENGTH <= 2.0
        ratio = vertical_turbulence(1.0) / horizontal_turbulence(height, 1.0)
        assert ratio == pytest.approx(UPRIGHT_SHARE, rel=1 / 8)


# ---------------------------------------------------------------- one field, carried along


@given(
    east=coordinate,
    north=coordinate,
    up=st.floats(WHOLE_HEIGHT, 300.0),
    t=st.floats(0.0, 200.0),
    speed=st.floats(0.0, 15.0),
    coming_from=st.floats(0.0, 6.3),
)
@settings(max_examples=50)
def test_the_mean_wind_carries_the_field_along(east, north, up, t, speed, coming_from):
    """Who drifts with the wind meets the gusts of a day without any."""
    to_east, to_north = -speed * np.sin(coming_from), -speed * np.cos(coming_from)
    windy, still = (row_of(draw_gusts(7, 1, 2.0, u, coming_from)) for u in (speed, 0.0))
    drifting = wind(t, east + to_east * t, north + to_north * t, up, windy, 0)
    np.testing.assert_allclose(drifting, wind(t, east, north, up, still, 0), atol=1e-9)


def test_gusts_carry_waves_along_as_fast_as_they_blow():
    """Frequencies of waves swept by a normal velocity: Tennekes, J. Fluid Mech. 67 (1975) 561."""
    deviation = np.linspace(0.5, 3.0, 3000)[:, np.newaxis]
    gusts = draw_gusts(8, 3000, deviation, 0.0)
    blowing = np.array([1.0, 1.0, UPRIGHT_SHARE])
    expected = deviation * np.linalg.norm(vectors(gusts) * blowing, axis=-1)
    assert kstest((gusts.rate / expected).ravel(), "norm").pvalue > 0.001
    # A normal velocity makes normal waves forget: exp(-(k s t)^2 / 2), here at k s t = 1 and 2.
    for lag in (1.0, 2.0):
        found, error = estimate(np.cos(gusts.rate / expected * lag).mean(axis=1))
        assert abs(found - np.exp(-0.5 * lag**2)) < ERRORS * error


@given(east=coordinate, north=coordinate, up=st.floats(-2.0, 300.0), t=st.floats(0.0, 200.0))
@settings(max_examples=50)
def test_the_kernel_makes_the_waves_that_were_drawn(east, north, up, t):
    gusts = draw_gusts(8, 3, 1.5, 6.0, 1.0)
    phase = vectors(gusts)[2] @ np.array([east, north, up]) + gusts.rate[2] * t + gusts.phase[2]
    expected = (motions(gusts)[2] * np.cos(phase)[:, np.newaxis]).sum(axis=0)
    grown = np.log(max(up / 0.03, 1.0))
    share = min(max(up, 0.0) / WHOLE_HEIGHT, 1.0)
    expected *= [min(grown, 1.0), min(grown, 1.0), share * (2.0 - share)]
    expected += [2.0 * grown, -0.5 * grown, 0.0]
    found = wind(t, east, north, up, row_of(gusts, 2, WIND_EAST=2.0, WIND_NORTH=-0.5), 0)
    np.testing.assert_allclose(found, expected, atol=1e-10)


def test_gusts_and_wind_die_at_the_ground():
    row = row_of(draw_gusts(9, 1, 5.0, 6.0), WIND_EAST=3.0)
    for height in (0.0, -1.0):
        np.testing.assert_array_equal(wind(3.0, 10.0, -20.0, height, row, 0), 0.0)
    times = np.linspace(0.0, 600.0, 200)
    low, high = (
        np.std([wind(t, 10.0, -20.0, h, row, 0)[2] for t in times]) for h in (0.1, WHOLE_HEIGHT)
    )
    assert 0.0 < low < 0.03 * high


def test_two_bodies_alike_meet_the_same_gusts():
    """A payload let go under the canopy, as heavy for its drag as what it left, lands beside it."""
    named = {
        "DRY_MASS": 0.2,
        "CANOPY_DRAG": 0.1,
        "CANOPY_DIAMETER": 0.4,
        "CANOPY_AT": 0.0,
        "WIND_EAST": 0.5,
    }
    table = parameters(20, items=[thing(MASS=0.1, AT=0.0)], **named)
    leaving = point(20, DRY_MASS=0.1, DRAG_AREA=0.05, WIND_EAST=0.5)
    for name, values in gust_waves(draw_gusts(10, 20, 1.5, 4.0, 4.7)).items():
        set_slot(table, name, values)
        set_slot(leaving.parameters, name, values)
    raw = fly(table, coasting(20, UP=60.0), leaving, tolerance=1e-8)
    for what in ("TIME", "EAST", "NORTH", "SPEED"):
        payload, vehicle = (
            [figure(raw, f"DOWN_{what}", i, body=body) for i in range(20)]
            for body in ("payload", "vehicle")
        )
        np.testing.assert_allclose(payload, vehicle, rtol=1e-5, atol=1e-4)
        assert np.std(vehicle) > 0.01


# ---------------------------------------------------------------- draws


@given(seed=st.integers(0, 2**32), short=st.integers(1, 20), more=st.integers(0, 50))
@settings(max_examples=25)
def test_the_first_flights_of_a_longer_ensemble_are_those_of_a_shorter(seed, short, more):
    one, other = draw_gusts(seed, short, 1.0, 3.0), draw_gusts(seed, short + more, 1.0, 3.0)
    for a, b in zip(one, other, strict=True):
        np.testing.assert_array_equal(a, b[:short])


@given(seed=st.integers(0, 2**32), first=st.integers(0, 9000), count=st.integers(1, 50))
def test_any_flights_of_an_ensemble_can_be_drawn_alone(seed, first, count):
    some = draw_gusts(seed, count, 1.0, 3.0, first=first)
    last = draw_gusts(seed, 1, 1.0, 3.0, first=first + count - 1)
    for a, b in zip(some, last, strict=True):
        np.testing.assert_array_equal(a[-1:], b)


def test_deviation_speed_and_direction_may_differ_from_flight_to_flight():
    several = draw_gusts(
        6, 3, np.array([0.0, 1.0, 2.0]), np.array([1.0, 2.0, 4.0]), np.array([0.0, 1.0, 2.0])
    )
    for i, (deviation, speed, turn) in enumerate(
        ((0.0, 1.0, 0.0), (1.0, 2.0, 1.0), (2.0, 4.0, 2.0))
    ):
        alone = draw_gusts(6, 3, deviation, speed, turn)
        for a, b in zip(several, alone, strict=True):
            np.testing.assert_array_equal(a[i], b[i])
