"""The plain simulator of the tests, beside the published water-phase figures."""

from __future__ import annotations

import numpy as np
import pytest
from debrief.stand_simulator import BREAKTHROUGH, WATER, Bottle, simulate

# Quasi-steady Bernoulli (Finney 2000, Am. J. Phys. 68, 223), computed from the cited formula:
# 2.0 L, 0.7 L water, 5.00 bar gauge, 21.5 mm, 101 325 Pa outside, density 1000, no approach
# velocity; exponent -> time of the water phase s, impulse N s.
CLOSED_FORM = [(1.1, 0.071733, 18.95804), (1.25, 0.073476, 18.55263), (1.4, 0.075305, 18.15303)]


@pytest.mark.parametrize(("exponent", "seconds", "impulse"), CLOSED_FORM)
def test_the_water_phase(exponent: float, seconds: float, impulse: float) -> None:
    bottle = Bottle(throat=21.5e-3, neck_to_wall=0.0, ambient=101325.0, exponent=exponent)
    inputs = {
        "vehicle.nozzle.flow_coefficient": 1.0,
        "vehicle.nozzle.velocity_coefficient": 1.0,
        "vehicle.fill.gauge_pressure": 5e5,
        "vehicle.fill.water_volume": 0.7e-3,
        BREAKTHROUGH: 0.0,
    }
    firing = simulate(inputs, bottle, step=2e-4)
    assert firing.water_out is not None
    water = firing.time <= firing.water_out * (1.0 - 1e-9)
    time = np.append(firing.time[water], firing.water_out)
    thrust = np.append(firing.thrust[water], firing.thrust[water][-1])
    # Its water has 999.1 kg/m3: the time goes with the root of density, impulse likewise.
    root = (WATER / 1000.0) ** 0.5
    assert firing.water_out == pytest.approx(seconds * root, rel=5e-4)
    assert np.trapezoid(thrust, time) == pytest.approx(impulse * root, rel=2e-3)
