"""Which parts of a record count, and what is measured in them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.debrief.fitting.prior import FieldPrior
from loftwright.debrief.fitting.windows import (
    SPIKE,
    ascent_of,
    descent_of,
    heights_of,
    top_of,
)
from loftwright.physics.atmosphere import LAPSE_RATE, PRESSURE_EXPONENT
from loftwright.rehearsal.recorded import STANDARD_PAD, PressureTruth

G = 9.80665
APOGEE = 45.0 / G  # s, of a throw at 45 m/s
RATE = 4.0  # m/s under the canopy


def thrown(noise: float = 0.1, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Heights of a throw without drag, then a steady way down, from 6 s before it on."""
    time = np.arange(-6.0, 40.0, 0.02)
    top = 0.5 * 45.0**2 / G
    up = np.where(time < 0.0, 0.0, 45.0 * time - 0.5 * G * time**2)
    down = np.maximum(top - 0.5 * G * np.minimum(time - APOGEE, 1.0) ** 2
                      - RATE * np.maximum(time - APOGEE - 1.0, 0.0), 0.0)  # fmt: skip
    height = np.where(time < APOGEE, up, down)
    return time, height + noise * np.random.default_rng(seed).standard_normal(len(time))


def record(time: np.ndarray, height: np.ndarray) -> PressureTruth:
    pressure = 98000.0 * (1.0 - LAPSE_RATE * height / STANDARD_PAD) ** PRESSURE_EXPONENT
    return PressureTruth(time, pressure, np.full(len(time), np.nan), 0.0, "as made")


def test_heights_come_back_with_their_noise() -> None:
    time, height = thrown()
    found = heights_of(record(time, height))
    assert found.noise == pytest.approx(0.1, rel=0.2)
    assert abs(found.memory) < 0.2
    assert found.spikes == 0
    np.testing.assert_allclose(found.height, height, atol=0.1)


@given(st.lists(st.integers(330, 1100), min_size=1, max_size=6, unique=True), st.booleans())
def test_readings_that_stand_alone_are_left_out(rows: list[int], up: bool) -> None:
    rows = [row for k, row in enumerate(sorted(rows)) if k == 0 or row - sorted(rows)[k - 1] > 8]
    time, height = thrown()
    spiked = height.copy()
    spiked[rows] += 25.0 if up else -25.0
    found = heights_of(record(time, spiked))
    assert found.spikes == len(rows)
    assert not np.isin(time[rows], found.time).any()
    assert SPIKE * found.noise < 25.0


def test_the_top_is_found_between_readings() -> None:
    when, height = top_of(heights_of(record(*thrown())))
    assert when == pytest.approx(APOGEE, abs=0.05)
    assert height == pytest.approx(0.5 * 45.0**2 / G, abs=0.15)


def test_means_of_the_ascent_are_those_of_the_flight() -> None:
    heights = heights_of(record(*thrown()))
    ascent = ascent_of(heights, 3.0, APOGEE, 0.0)
    assert ascent is not None
    true = 45.0 * ascent.times - 0.5 * G * ascent.times**2
    away = ascent.heights - ascent.bins @ true
    assert np.all(np.abs(away) < 5.0 * np.sqrt(ascent.variance))
    assert ascent.share[-1] == pytest.approx(3.0 / APOGEE, abs=0.03)
    np.testing.assert_allclose(ascent.bins.sum(axis=1), 1.0)


def test_a_fast_log_is_followed_by_fewer_moments() -> None:
    time = np.arange(-6.0, 20.0, 0.001)
    height = np.where(time < 0.0, 0.0, np.maximum(45.0 * time - 0.5 * G * time**2, 0.0))
    ascent = ascent_of(heights_of(record(time, height)), 4.0, APOGEE, 0.0)
    assert ascent is not None
    assert len(ascent.times) <= 400
    true = 45.0 * ascent.times - 0.5 * G * ascent.times**2
    np.testing.assert_allclose(ascent.bins @ true, ascent.heights, atol=0.02)


def test_the_steady_way_down_is_measured_and_a_fall_is_not() -> None:
    heights = heights_of(record(*thrown()))
    steady = descent_of(heights, APOGEE + 1.0)
    assert steady is not None
    assert steady.rate == pytest.approx(RATE, abs=0.02)
    assert steady.end < APOGEE + 1.0 + (0.5 * 45.0**2 / G) / RATE
    time = np.arange(-6.0, 40.0, 0.02)
    falling = np.where(time < 0.0, 0.0, np.maximum(45.0 * time - 0.5 * G * time**2, 0.0))
    assert descent_of(heights_of(record(time, falling)), APOGEE) is None


def test_nothing_of_an_ascent_is_no_ascent() -> None:
    heights = heights_of(record(*thrown()))
    assert ascent_of(heights, 0.1, APOGEE, 0.0) is None


@given(st.floats(-2.0, 2.0), st.floats(0.01, 2.0), st.floats(0.0, 4.0), st.booleans())
def test_a_field_goes_to_its_number_and_back(
    value: float, sd: float, near: float, is_below: bool
) -> None:
    low, high = (near, 12.0) if is_below else (12.0, near)
    prior = FieldPrior(value, sd, value - low * sd, value + high * sd)
    numbers = np.linspace(-2.0, 2.0, 9)
    values = prior.at(numbers)
    assert np.all(np.diff(values) > 0.0)
    assert values.min() >= prior.low
    assert values.max() <= prior.high
    np.testing.assert_allclose(prior.number_of(values), numbers, atol=0.02)


def test_a_field_has_the_distribution_of_an_ensembles_draws() -> None:
    """Quantiles beside those of draws that are folded back into their bounds."""
    from loftwright.flight.draws import kept

    prior = FieldPrior(0.97, 0.03, 0.0, 1.0)
    rng = np.random.default_rng(5)
    drawn = kept({}, {"x": 0.97 + 0.03 * rng.standard_normal(200_000)}, {"x": (0.0, 1.0)})["x"]
    ours = prior.at(rng.standard_normal(200_000))
    shares = [0.05, 0.25, 0.5, 0.75, 0.95]
    np.testing.assert_allclose(np.quantile(ours, shares), np.quantile(drawn, shares), atol=4e-4)
