"""The filters on board beside the same transfer functions in a general-purpose library.

SciPy's ``lfilter`` runs a transfer function in double precision, ``dlsim`` a state space. What is
given to them is written from textbooks: the first-order low-pass g / (1 - (1 - g) z^-1), the
difference (1 - z^-1) / T, and the alpha-beta tracking filter as the state space of its prediction
and correction, and as the transfer functions that follow from it by hand.

Tolerance. The interpreter rounds each operation to single precision: by half an ulp, 2^-24 of its
result or less. The library is given the heights that the interpreter measured, gains that are
single-precision numbers, and so differs by the roundings of the recursion alone. Each step adds a
few of them, counted at each test from the largest height or climb; a stable filter makes of them
at most the absolute sum of the impulse response from where they arise. The bound is that product,
below a millimetre of height; nothing in it is tuned to what came out.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from instruments.sensing import run
from program.tables import SERIES, table_of
from scipy.signal import dlsim, lfilter, lfilter_zi

from loftwright.physics.estimation import low_pass_share, tracking_gains, tracking_index
from loftwright.physics.sensor_lag import filter_noise_gain, filter_ramp_lag
from loftwright.program.estimates import climb_noise, height_noise
from loftwright.program.interpreter import Reading, height_of, power_up, step
from loftwright.program.table import Estimator, Stage

STEP_MS = 20
T = 0.02
SAMPLES = 600
HALF_ULP = 2.0**-24
F = np.float32


def recorded(seed: int) -> np.ndarray:
    """Pressures as a barometer writes them down: pad, boost, coast, canopy; noise, whole steps."""
    t = T * np.arange(SAMPLES) - 2.0
    up = np.clip(t, 0.0, None)
    boost = np.minimum(up, 0.3)
    coast = np.clip(up - 0.3, 0.0, 3.4)
    down = np.clip(up - 3.7, 0.0, None)
    height = 60.0 * boost**2 + coast * (36.0 - 5.3 * coast) - 4.5 * down
    height = np.maximum(height, 0.0)
    pressure = 95_300.0 * (1.0 - 0.0065 * height / 288.15) ** 5.25588
    noisy = pressure + np.random.default_rng(seed).normal(0.0, 1.6, SAMPLES)
    return (np.round(noisy / 0.2) * 0.2).astype(F)


def program(estimator, height_gain=1.0, climb_gain=1.0):
    """A program of one stage that only estimates; its reference is the first reading."""
    bare = table_of([Stage("pad")], step=STEP_MS, estimator=estimator)
    return replace(bare, height_gain=float(F(height_gain)), climb_gain=float(F(climb_gain)))


def interpreted(table, pressures):
    """Heights and climbs by the interpreter, and the heights that it measured; as doubles."""
    state = power_up(table)
    rows = []
    for k, pressure in enumerate(pressures):
        step(table, state, Reading(float(pressure), now_ms=k * STEP_MS))
        rows.append((state.height, state.climb, height_of(table, state.reference, F(pressure))))
    return np.array(rows, dtype=np.float64).T


def absolute_sum(b, a, long=20_000):
    """Sum of the absolute impulse response: most that an input within +-1 can do."""
    return np.abs(lfilter(b, a, np.r_[1.0, np.zeros(long)])).sum()


def test_the_stream_is_like_a_record():
    heights = interpreted(program(Estimator.RAW), recorded(1))[2]
    assert 55.0 < heights.max() < 75.0
    assert abs(heights[:90]).max() < 1.0


def test_measured_heights_are_the_series_in_double_precision():
    """Horner's rule, 6 products and 5 sums, each term positive or small: 24 halves of an ulp."""
    pressures = recorded(2)
    heights = interpreted(program(Estimator.RAW), pressures)[2]
    x = 1.0 - pressures.astype(float) / float(pressures[0])
    exact = sum(F(c).astype(float) * x ** (n + 1) for n, c in enumerate(SERIES))
    np.testing.assert_allclose(heights, exact, rtol=24 * HALF_ULP, atol=0.0)


@settings(max_examples=8)
@given(st.integers(0, 1000))
def test_the_raw_climb_is_the_librarys_difference(seed):
    height, climb, measured = interpreted(program(Estimator.RAW), recorded(seed))
    np.testing.assert_array_equal(height, measured)
    told = lfilter([1.0, -1.0], [T], measured)
    # The difference, the division, and T itself are rounded once each.
    np.testing.assert_allclose(climb, told, rtol=4 * HALF_ULP, atol=0.0)


@settings(max_examples=8)
@given(
    st.integers(0, 1000),
    st.sampled_from([0.03, 0.1, 0.5]),
    st.sampled_from([0.05, 0.2, 1.0]),
)
def test_the_low_pass_is_the_librarys(seed, height_time, climb_time):
    g, c = (float(F(low_pass_share(T, tau))) for tau in (height_time, climb_time))
    table = program(Estimator.FILTER, g, c)
    height, climb, measured = interpreted(table, recorded(seed))
    told = lfilter([g], [1.0, g - 1.0], measured)
    scale = np.abs(measured).max()
    # A step rounds the difference, its share and the sum; none is larger than the largest height.
    off = 3 * HALF_ULP * scale * absolute_sum([1.0], [1.0, g - 1.0])
    np.testing.assert_allclose(height, told, rtol=0.0, atol=off)
    # The climb is fed what the interpreter's own heights differ by, each rounded; so beside it
    # stands the library on those heights, and only the second recursion is left.
    rate = lfilter([1.0, -1.0], [T], height)
    told = lfilter([c], [1.0, c - 1.0], rate)
    fastest = max(np.abs(rate).max(), np.abs(climb).max())
    # Of the rate three roundings (difference, quotient, T); of turn two, of up to twice the
    # fastest and by the share; of the sum one.
    off = 8 * HALF_ULP * fastest * absolute_sum([1.0], [1.0, c - 1.0])
    np.testing.assert_allclose(climb, told, rtol=0.0, atol=off)
    # And both in one, from measured heights to climb: what is rounded in the height comes through
    # (1 - z^-1) / (1 - (1 - g) z^-1), whose response has the absolute sum 2, and then over T.
    both = lfilter(np.array([1.0, -1.0]) * g * c / T, np.convolve([1, g - 1], [1, c - 1]), measured)
    off += 3 * HALF_ULP * scale * 2.0 / T
    np.testing.assert_allclose(climb, both, rtol=0.0, atol=off)


def tracking_system(alpha, beta_per_step):
    """State space of the alpha-beta filter: x[k] -> corrected height and climb."""
    ahead = np.array([[1.0, T], [0.0, 1.0]])
    gain = np.array([[alpha], [beta_per_step]])
    seen = np.array([[1.0, 0.0]])
    closed = (np.eye(2) - gain @ seen) @ ahead
    return closed, gain


@settings(max_examples=8)
@given(st.integers(0, 1000), st.sampled_from([2.0, 20.0, 200.0]), st.sampled_from([0.1, 0.5]))
def test_the_tracking_filter_is_the_librarys_state_space(seed, unsteady, noise):
    alpha, beta = tracking_gains(tracking_index(unsteady, T, noise))
    alpha, gain = float(F(alpha)), float(F(beta / T))
    height, climb, measured = interpreted(program(Estimator.TRACKING, alpha, gain), recorded(seed))
    a, b = tracking_system(alpha, gain)
    # y[k] = A y[k-1] + B z[k] as x[k+1] = A x[k] + B z[k], y = A x + B z. The first height is the
    # first reading, which is zero here, so the state begins at rest.
    assert measured[0] == 0.0
    _, told, _ = dlsim((a, b, a, b, T), measured)
    # Height is rounded as it is predicted and as it is corrected, way (with T) and change are
    # smaller: four in all. The climb is rounded once, turn twice, and the gain gives it what
    # was rounded in the prediction and in off.
    scale = np.abs(np.r_[measured, height]).max()
    innovation = np.abs(measured - height).max() / (1.0 - alpha)
    speed = np.abs(climb).max() + gain * (2.0 * scale + 3.0 * innovation)
    bumps = HALF_ULP * np.array([4.0 * scale, speed])
    powers, off = np.eye(2), np.zeros(2)
    for _ in range(5000):
        off += np.abs(powers) @ bumps
        powers = a @ powers
    assert np.abs(height - told[:, 0]).max() <= off[0]
    assert np.abs(climb - told[:, 1]).max() <= off[1]
    assert off[0] < 0.001  # m: the bound says something


@pytest.mark.parametrize("unsteady", [2.0, 20.0, 200.0])
def test_the_state_space_has_the_transfer_functions_worked_by_hand(unsteady):
    """With D = 1 - (2 - alpha - beta) z^-1 + (1 - alpha) z^-2 they are, after eliminating the
    prediction, (alpha + (beta - alpha) z^-1) / D of height and beta / T (1 - z^-1) / D of climb.
    """
    alpha, beta = tracking_gains(tracking_index(unsteady, T, 0.2))
    measured = interpreted(program(Estimator.RAW), recorded(3))[2]
    a, b = tracking_system(alpha, beta / T)
    _, told, _ = dlsim((a, b, a, b, T), measured)
    below = [1.0, alpha + beta - 2.0, 1.0 - alpha]
    height = lfilter([alpha, beta - alpha], below, measured)
    climb = lfilter([beta / T, -beta / T], below, measured)
    np.testing.assert_allclose(told, np.column_stack([height, climb]), rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("estimator", list(Estimator))
def test_white_noise_comes_through_as_the_librarys_impulse_responses_say(estimator):
    alpha, beta = 0.3, 0.05
    gain = beta / T if estimator == Estimator.TRACKING else 0.2
    table = program(estimator, alpha, gain)
    alpha, gain = table.height_gain, table.climb_gain
    one = np.r_[1.0, np.zeros(5000)]
    if estimator == Estimator.RAW:
        height, climb = one, lfilter([1.0, -1.0], [T], one)
    elif estimator == Estimator.FILTER:
        height = lfilter([alpha], [1.0, alpha - 1.0], one)
        climb = lfilter([gain], [1.0, gain - 1.0], lfilter([1.0, -1.0], [T], height))
    else:
        below = [1.0, alpha + gain * T - 2.0, 1.0 - alpha]
        height = lfilter([alpha, gain * T - alpha], below, one)
        climb = lfilter([gain, -gain], below, one)
    assert height_noise(table, 0.3) == pytest.approx(0.3 * np.sqrt((height**2).sum()), rel=1e-9)
    assert climb_noise(table, 0.3) == pytest.approx(0.3 * np.sqrt((climb**2).sum()), rel=1e-9)


# ------------------------------------------------------------- the filter inside a barometer


def sensed(values, coefficient):
    """What ``sense``, not compiled, reads in a bay that follows at once, in steps of 1/16 Pa."""
    case = {"SHARE": 1.0 / coefficient, "PORT_FLOW": 1e6, "RESOLUTION": 1 / 16, "FINENESS": 16.0}
    return run([case], values, plain=True)["pressure"][:, 0].astype(float)


@pytest.mark.parametrize("coefficient", [1, 2, 4, 8, 16])
def test_a_barometers_own_filter_is_the_librarys(coefficient):
    values = recorded(4)[80:280]
    told = sensed(values, coefficient)
    b, a = [1.0 / coefficient], [1.0, 1.0 / coefficient - 1.0]
    held = values.astype(float)
    exact, _ = lfilter(b, a, held, zi=lfilter_zi(b, a) * held[0])
    # Half a step of the reading; and between 2^16 and 2^17 Pa an ulp is 1/128 Pa, by half of which
    # each sum is rounded, what it sums by next to nothing (a hundredth is left for that).
    off = 0.5 / 16 + coefficient * 0.51 / 128
    assert np.abs(told - exact).max() <= off


@pytest.mark.parametrize("coefficient", [2.0, 4.0, 8.0, 16.0])
def test_ramp_lag_and_noise_gain_are_those_of_the_librarys_filter(coefficient):
    """Published with those filters as c - 1 values and sqrt(1 / (2 c - 1)); here run out."""
    b, a = [1.0 / coefficient], [1.0, 1.0 / coefficient - 1.0]
    ramp = np.arange(2000.0)
    lag = (ramp - lfilter(b, a, ramp))[-1]
    assert filter_ramp_lag(coefficient) == pytest.approx(lag, rel=1e-12)
    weights = lfilter(b, a, np.r_[1.0, np.zeros(2000)])
    assert filter_noise_gain(coefficient) == pytest.approx(np.sqrt((weights**2).sum()), rel=1e-12)


@pytest.mark.parametrize("coefficient", [2, 4, 8])
def test_a_sensed_ramp_trails_by_the_laws_lag(coefficient):
    falls = 4.0  # Pa a value: 17 m/s at 20 ms
    values = (100_000.0 - falls * np.arange(300)).astype(F)
    behind = sensed(values, coefficient)[-1] - values[-1]
    off = 0.5 / 16 + coefficient * 0.51 / 128  # as above
    assert behind == pytest.approx(falls * filter_ramp_lag(coefficient), abs=off)
