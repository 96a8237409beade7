"""Filters beside an independent Kalman filter, and beside themselves run sample by sample."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import solve_discrete_are

from loftwright.physics.altimetry import height_coefficients, pressure_altitude
from loftwright.physics.estimation import (
    low_pass_climb_lag,
    low_pass_height_lag,
    low_pass_share,
    tracking_climb_lag,
    tracking_gains,
    tracking_height_lag,
    tracking_index,
    tracking_spread,
)


@given(st.floats(0.5, 40.0), st.floats(0.01, 0.2), st.floats(0.05, 3.0))
def test_gains_and_spreads_are_those_of_the_settled_kalman_filter(strays, step, noise):
    motion = np.array([[1.0, step], [0.0, 1.0]])
    push = np.array([[0.5 * step**2], [step]])
    seen = np.array([[1.0, 0.0]])
    ahead = solve_discrete_are(motion.T, seen.T, push @ push.T * strays**2, [[noise**2]])
    gain = ahead @ seen.T / (ahead[0, 0] + noise**2)
    alpha, beta = tracking_gains(tracking_index(strays, step, noise))
    assert alpha == pytest.approx(gain[0, 0], rel=1e-5)
    assert beta / step == pytest.approx(gain[1, 0], rel=1e-5)
    after = (np.eye(2) - gain @ seen) @ ahead
    height, climb = tracking_spread(alpha, beta, step, noise)
    assert height == pytest.approx(after[0, 0] ** 0.5, rel=1e-5)
    assert climb == pytest.approx(after[1, 1] ** 0.5, rel=1e-5)


@given(st.floats(0.0, 1e6))
def test_gains_always_settle(index):
    alpha, beta = tracking_gains(index)
    assert 0.0 <= alpha <= 1.0
    assert beta == 0.0 or 0.0 < beta < 4.0 - 2.0 * alpha or alpha == 1.0


def tracked(acceleration, alpha, beta, step):
    h = v = 0.0
    for k in range(1, 4000):
        h += v * step
        off = 0.5 * acceleration * (k * step) ** 2 - h
        h, v = h + alpha * off, v + beta / step * off
    return 0.5 * acceleration * (k * step) ** 2 - h, acceleration * k * step - v


@pytest.mark.parametrize("index", [0.01, 0.1, 1.0])
def test_a_tracking_filter_lags_as_the_law_says(index):
    alpha, beta = tracking_gains(index)
    height, climb = tracked(-10.0, alpha, beta, 0.05)
    assert tracking_height_lag(-10.0, alpha, beta, 0.05) == pytest.approx(height, rel=1e-6)
    assert tracking_climb_lag(-10.0, alpha, beta, 0.05) == pytest.approx(climb, rel=1e-6)


@pytest.mark.parametrize(("height_share", "climb_share"), [(1.0, 1.0), (0.3, 0.1), (0.05, 0.5)])
def test_a_low_pass_filter_lags_as_the_law_says(height_share, climb_share):
    step, acceleration, start = 0.02, -10.0, 50.0
    h = v = 0.0
    for k in range(1, 3000):
        t = k * step
        truth, before = start * t + 0.5 * acceleration * t * t, h
        h += height_share * (truth - h)
        v += climb_share * ((h - before) / step - v)
    speed = start + acceleration * t
    lag = low_pass_height_lag(speed, acceleration, height_share, step)
    assert lag == pytest.approx(truth - h, abs=1e-6)
    lag = low_pass_climb_lag(acceleration, height_share, climb_share, step)
    assert lag == pytest.approx(speed - v, abs=1e-6)


@given(st.floats(1e-3, 1.0), st.floats(1e-3, 100.0))
def test_a_low_pass_filter_follows_a_step_by_its_time_constant(step, tau):
    share = low_pass_share(step, tau)
    assert 0.0 < share <= 1.0
    assert (1.0 - share) ** 3 == pytest.approx(exp(-3.0 * step / tau), abs=1e-12)
    assert low_pass_share(step, 0.0) == 1.0


@pytest.mark.parametrize("pressure", [101325.0, 100129.4, 95460.84, 89874.57])
def test_the_series_of_height_meets_its_closed_form(pressure):
    x = (101325.0 - pressure) / 101325.0
    series = sum(c * x ** (n + 1) for n, c in enumerate(height_coefficients(288.15)))
    assert series == pytest.approx(pressure_altitude(pressure, 101325.0), abs=1e-3)


def test_impossible_numbers_are_refused():
    with pytest.raises(ValueError, match="spread"):
        tracking_index(5.0, 0.05, 0.0)
    with pytest.raises(ValueError, match="negative"):
        tracking_gains(-1.0)
    with pytest.raises(ValueError, match="between"):
        tracking_spread(1.0, 0.5, 0.05, 1.0)
