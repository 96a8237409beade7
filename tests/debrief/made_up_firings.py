"""Measured firings made up from a known truth, as the fit's model says that they come about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from debrief.stand_simulator import simulate
from numpy.typing import NDArray

from loftwright.debrief.firings.features import FEATURES, simulated_features
from loftwright.debrief.firings.posterior import scatter_of
from loftwright.debrief.firings.prior import OFFSETS, Prior
from loftwright.evidence.thrust import Measure, MeasuredFiring

VALUES = {
    "vehicle.nozzle.flow_coefficient": 0.9,
    "vehicle.nozzle.velocity_coefficient": 0.95,
    "vehicle.fill.gauge_pressure": 275790.0,
    "vehicle.fill.water_volume": 1.0e-3,
    "vehicle.fill.temperature": 288.15,
}
SDS = {
    "vehicle.nozzle.flow_coefficient": 0.05,
    "vehicle.nozzle.velocity_coefficient": 0.03,
    "vehicle.fill.gauge_pressure": 6900.0,
    "vehicle.fill.water_volume": 1.0e-5,
}
MEASURED_SDS = np.array([0.012, 0.008, 0.025, 0.025])  # relative, as real records have them
RAMP_SD = 0.015


def firing(
    logs: NDArray[np.float64], name: str = "made-up.txt", **conditions: float
) -> MeasuredFiring:
    """A measured firing with these features (logarithms), water out left out where NaN."""
    values = np.exp(logs)
    sds = MEASURED_SDS * values
    impulse = Measure.of(values[0], noise=sds[0], ramp_shape=RAMP_SD * values[0])
    central, water_out, duration = (
        Measure.of(value, noise=sd) for value, sd in zip(values[1:], sds[1:], strict=True)
    )
    empty = np.zeros(0)
    return MeasuredFiring(
        name=name, sha256="0" * 64, time=empty, thrust=empty, smooth=empty, impulse=impulse,
        duration=duration, central_time=central,
        water_out=None if np.isnan(values[2]) else water_out,
        peak=Measure.of(100.0), raw_peak=200.0, ringing=70.0, conditions=conditions, notes=(),
    )  # fmt: skip


@dataclass(frozen=True)
class World:
    """A truth: a point of the prior, and the firings that it makes."""

    prior: Prior
    point: NDArray[np.float64]  # (1, 11)
    rng: np.random.Generator

    def measure(self, count: int) -> list[MeasuredFiring]:
        """Fill, fire and measure ``count`` times, with the plain simulator."""
        return [firing(self._features()) for _ in range(count)]

    def _features(self) -> NDArray[np.float64]:
        row = self.prior.inputs(self.point, self.prior.fills[0])[0]
        row[3:5] *= 1.0 + self.prior.single * self.rng.standard_normal(2)
        names = [axis.name for axis in self.prior.axes()]
        logs = simulated_features(simulate(dict(zip(names, map(float, row), strict=True))))
        logs += (self.point[:, OFFSETS] * self.prior.offset_sds)[0]
        spread = np.hypot(scatter_of(self.point)[0], MEASURED_SDS)
        return logs + spread * self.rng.standard_normal(len(FEATURES))


def known_firing(
    flow: float, velocity: float, left: float, conditions: Mapping[str, float] | None = None
) -> MeasuredFiring:
    """A firing without any error, of given coefficients and water left at break-through."""
    inputs = {
        **VALUES,
        "vehicle.nozzle.flow_coefficient": flow,
        "vehicle.nozzle.velocity_coefficient": velocity,
        "vehicle.nozzle.breakthrough_volume": left,
    }
    return firing(simulated_features(simulate(inputs)), **(conditions or {}))
