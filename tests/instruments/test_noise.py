"""Noise depends on seed, controller and flight, and on nothing else."""

from __future__ import annotations

import numpy as np

from loftwright.instruments.noise import Noise, noise


def test_a_flight_s_noise_is_its_own():
    whole = noise(1, "main", 0, 5, 40)
    assert whole.shape == (5, 40, 3)
    np.testing.assert_array_equal(whole[3:], noise(1, "main", 3, 2, 40))
    np.testing.assert_array_equal(whole[:, :10], noise(1, "main", 0, 5, 10))
    assert not np.array_equal(whole[0], whole[1])
    assert not np.array_equal(whole, noise(1, "backup", 0, 5, 40))


def test_it_is_standard_normal():
    draws = noise(2, "main", 0, 50, 400).ravel()
    assert abs(draws.mean()) < 0.02
    assert abs(draws.std() - 1.0) < 0.02


def test_it_can_be_made_longer():
    longer = Noise(1, "main", 3, 4)
    for samples in (0, 7, 7, 30, 12, 41):
        kinds = longer.up_to(samples)
        expected = noise(1, "main", 3, 4, samples)
        np.testing.assert_array_equal(np.moveaxis(kinds, 0, -1), expected)
