"""The smoother beside the dense solution of the same equations."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.debrief.reconstruction.smoother import (
    About,
    Phase,
    Reading,
    State,
    filtered,
    likelihood,
    smoothed,
)

GRAVITY = 9.80665


def dense(time, start, shake, mean, decay, reading):
    """Means and covariances of height, climb and extra at all times, by one large system."""
    n = len(time)
    m, c = start.mean[:3], start.covariance[:3, :3]
    means, steps, blocks = [m], [], {(0, 0): c}
    for k in range(1, n):
        dt = time[k] - time[k - 1]
        left = np.exp(-decay * dt)
        f = np.array(
            [
                [1.0, dt, (decay * dt - 1.0 + left) / decay**2],
                [0.0, 1.0, (1.0 - left) / decay],
                [0.0, 0.0, left],
            ]
        )
        q = shake * np.array(
            [
                [dt**5 / 20.0, dt**4 / 8.0, dt**3 / 6.0],
                [dt**4 / 8.0, dt**3 / 3.0, dt**2 / 2.0],
                [dt**3 / 6.0, dt**2 / 2.0, dt],
            ]
        )
        means.append(f @ means[-1] + mean * np.array([0.5 * dt * dt, dt, 0.0]))
        steps.append(f)
        for j in range(k):
            blocks[k, j] = f @ blocks[k - 1, j]
        blocks[k, k] = f @ blocks[k - 1, k - 1] @ f.T + q
    whole = np.block(
        [[blocks[i, j] if i >= j else blocks[j, i].T for j in range(n)] for i in range(n)]
    )
    prior = np.concatenate(means)
    pick = np.zeros((n, 3 * n))
    pick[np.arange(n), 3 * np.arange(n)] = 1.0
    cover = pick @ whole @ pick.T + np.diag(reading.variance)
    gain = whole @ pick.T @ np.linalg.inv(cover)
    off = reading.height - pick @ prior
    _, logarithm = np.linalg.slogdet(2.0 * np.pi * cover)
    value = -0.5 * (off @ np.linalg.solve(cover, off) + logarithm)
    after = whole - gain @ pick @ whole
    return (prior + gain @ off).reshape(n, 3), np.diag(after).reshape(n, 3), value


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 2**31),
    n=st.integers(3, 18),
    shake=st.floats(0.1, 1e4),
    decay=st.floats(0.1, 3.0),
    noise=st.floats(0.05, 2.0),
)
def test_meets_the_dense_solution(seed, n, shake, decay, noise):
    rng = np.random.default_rng(seed)
    time = np.cumsum(rng.uniform(0.01, 0.2, n))
    height = 30.0 * time - 5.0 * time**2 + rng.normal(0.0, noise, n)
    zero = np.zeros(n)
    reading = Reading(time, height, np.full(n, noise**2), zero, zero, zero)
    covariance = np.diag([4.0, 100.0, 50.0, 0.0, 0.0, 0.0, 0.0])
    start = State(float(time[0]), np.array([0.0, 25.0, 1.0, 0, 0, 0, 0]), covariance)
    phases = [Phase("any", 1e9, shake, -GRAVITY, decay)]
    about = About(time, zero, zero, 0.0)
    done = filtered(phases, start, reading, about, 0.0)
    path = smoothed(done, reading)
    means, variances, value = dense(time, start, shake, -GRAVITY, decay, reading)
    np.testing.assert_allclose(path.mean[:, :3], means, rtol=1e-6, atol=1e-6)
    ours = np.stack([path.covariance[:, i, i] for i in range(3)], axis=1)
    # The dense solution takes numbers a million times as large from each other.
    np.testing.assert_allclose(ours, variances, rtol=2e-4, atol=1e-7)
    assert done.likelihood == pytest.approx(value, rel=1e-6, abs=1e-6)
    assert likelihood(phases, start, reading, about) == pytest.approx(done.likelihood, rel=1e-12)


def test_moments_between_readings_change_nothing():
    time = np.arange(0.1, 3.0, 0.25)
    zero = np.zeros(len(time))
    reading = Reading(time, 20.0 * time, np.full(len(time), 0.04), zero, zero, zero)
    covariance = np.diag([1.0, 400.0, 400.0, 1e-3, 0.01, 1e-4, 0.0])
    start = State(0.0, np.zeros(7), covariance)
    phases = [Phase("any", 1e9, 50.0, -GRAVITY, 0.5)]
    about = About(time, np.full(len(time), 15.0), zero, 0.0)
    plain = filtered(phases, start, reading, about, 0.0)
    full = filtered(phases, start, reading, about, 0.05)
    assert len(full.time) > 3 * len(plain.time)
    # White jerk of a phase with decay is taken as such within each step: a small difference.
    here = smoothed(full, reading)
    np.testing.assert_allclose(
        here.mean[here.row, 0], smoothed(plain, reading).mean[1:, 0], atol=0.02
    )


def test_saturated_and_missing_pushes_are_none():
    time = np.arange(0.0, 1.0, 0.02)
    zero = np.zeros(len(time))
    height = np.zeros(len(time))
    covariance = np.diag([1.0, 1.0, 100.0, 0.0, 0.0, 0.0, 0.01])
    start = State(0.0, np.zeros(7), covariance)
    phases = [Phase("any", 1e9, 10.0)]
    about = About(time, zero, zero, 0.0)
    none = Reading(time, height, zero + 1.0, zero, zero + 500.0, zero)
    path = smoothed(filtered(phases, start, none, about, 0.0), none)
    assert np.abs(path.mean[:, 2]).max() < 1e-9


def test_at_rest_there_is_no_climb():
    time = np.arange(0.0, 2.0, 0.1)
    zero = np.zeros(len(time))
    reading = Reading(time, zero + 5.0, zero + 0.01, zero, zero, zero)
    covariance = np.diag([100.0, 100.0, 100.0, 0.0, 0.0, 0.0, 0.0])
    start = State(-1.0, np.array([0.0, -4.0, 0, 0, 0, 0, 0]), covariance)
    phases = [Phase("fall", -0.5, 5.0), Phase("ground", 1e9, 1e-6, rests=True)]
    path = smoothed(filtered(phases, start, reading, About(time, zero, zero, 0.0), 0.1), reading)
    rest = path.time > -0.5
    assert np.all(path.mean[rest, 1] == 0.0)
    np.testing.assert_allclose(path.mean[rest, 0], 5.0, atol=0.05)
