"""Records of a jet that expanding air drives, on a ringing stand that the release may knock.

The thrust is the quasi-steady jet's, 2 C A p with p the gauge pressure of air that expands with a
constant exponent; valve, knock and pull of the release are drawn.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from evidence.synthetic_records import GRAVITY, Stand, _ring
from numpy.typing import NDArray

from loftwright.evidence.header import Condition
from loftwright.evidence.record import FiringRecord

Floats = NDArray[np.float64]
FINE = 4  # steps a sample
AREA = np.pi / 4.0 * 0.021**2  # m2
GAUGE, AMBIENT = 275.8e3, 83.4e3  # Pa
WATER, VESSEL = 1.0e-3, 2.0e-3  # m3
AIR_TIME = 0.11  # s, in which half the last thrust of the water falls to nothing


@dataclass(frozen=True)
class Jet:
    """Losses, the air's exponent, the valve's opening time in s; knock in N s, pull in N."""

    flow: float = 0.8
    velocity: float = 0.7
    exponent: float = 1.2
    opening: float = 0.004
    knock: float = 0.0
    pull: float = 0.0

    @classmethod
    def draw(cls, rng: np.random.Generator, knock: float) -> Jet:
        """Draw a jet whose release knocks the stand by about ``knock`` N s."""
        uniform = rng.uniform
        return cls(
            flow=uniform(0.65, 1.0),
            velocity=uniform(0.55, 0.9),
            exponent=uniform(1.05, 1.4),
            opening=uniform(0.0005, 0.010),
            knock=knock * rng.standard_normal(),
            pull=uniform(0.0, 20.0),
        )

    def thrust(self, step: float) -> tuple[Floats, int]:
        """Thrust from the release on, N, and how many of its steps are water's."""
        curve: list[float] = []
        air = VESSEL - WATER
        while air < VESSEL:
            gauge = (GAUGE + AMBIENT) * ((VESSEL - WATER) / air) ** self.exponent - AMBIENT
            opened = min(1.0, (len(curve) + 0.5) * step / self.opening)
            curve.append(2.0 * self.flow * self.velocity * AREA * opened * gauge)
            air += self.flow * AREA * opened * np.sqrt(2.0 * gauge / 1000.0) * step
        tail = 0.5 * curve[-1] * (1.0 - np.arange(0.0, AIR_TIME, step) / AIR_TIME)
        return np.concatenate([curve, tail]), len(curve)


def jet_record(jet: Jet, stand: Stand, seed: int = 1) -> tuple[FiringRecord, float]:
    """Return the record, and the largest thrust that was truly there, N."""
    step = 1.0 / (stand.rate * FINE)
    thrust, water_steps = jet.thrust(step)
    first = int(stand.onset * stand.rate) * FINE
    force = np.zeros(int(stand.seconds * stand.rate) * FINE)
    flow = np.zeros_like(force)
    force[first : first + len(thrust)] = thrust
    flow[first : first + water_steps] = np.sqrt(thrust[:water_steps])
    force += stand.water * GRAVITY * np.cumsum(flow) / flow.sum()
    force[first - int(0.04 / step) : first] -= jet.pull
    force[first : first + int(0.004 / step)] += jet.knock / 0.004
    noise = np.random.default_rng(seed).normal(0.0, stand.noise, len(force) // FINE)
    read = _ring(force, step, stand)[::FINE] + stand.tare + noise
    time = np.arange(len(read)) / stand.rate
    water = {"water": Condition("water", stand.water, "kg", "", 1)}
    record = FiringRecord("jet.txt", time, read, stand.rate, water, (), "", ())
    return record, float(thrust.max())
