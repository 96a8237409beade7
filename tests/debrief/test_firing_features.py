"""What is compared between a simulated and a measured firing."""

from __future__ import annotations

import numpy as np
import pytest
from debrief.made_up_firings import MEASURED_SDS, RAMP_SD, known_firing

from loftwright.debrief.firings.features import (
    SimulatedFiring,
    observed,
    simulated_features,
)


def test_features_of_a_triangle() -> None:
    time = np.linspace(0.0, 1.0, 1001)
    features = np.exp(simulated_features(SimulatedFiring(time, 50.0 * (1.0 - time), 0.4)))
    # Impulse 25; shares p of it have passed at 1 - sqrt(1 - p); 2 % of the peak is left at 0.98.
    central = np.sqrt(0.9) - np.sqrt(0.1)
    np.testing.assert_allclose(features, [25.0, central, 0.4, 0.98], rtol=1e-4)


def test_what_a_firing_does_not_have_is_nan() -> None:
    time = np.linspace(0.0, 1.0, 11)
    assert np.isnan(simulated_features(SimulatedFiring(time, np.zeros(11), None))).all()
    steady = simulated_features(SimulatedFiring(time, np.ones(11), None))
    assert np.isnan(steady[2])
    assert np.exp(steady[3]) == pytest.approx(1.0)


def test_the_ramp_is_kept_apart_from_what_differs_among_records() -> None:
    found = observed(known_firing(0.8, 0.7, 1e-4))
    np.testing.assert_allclose(found.sd, MEASURED_SDS, rtol=1e-9)
    assert found.ramp_sd == pytest.approx(RAMP_SD)
