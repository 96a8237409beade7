"""What is compared between a simulated firing and a measured one.

Point by point, the residuals of a thrust curve hang together over tens of milliseconds (the stand
rings, the ramp is a choice), so a fit to every sample would claim far too much. Four figures keep
what a record can tell: how much impulse, and three times that say how it was spread.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.thrust import CENTRAL, SPENT, MeasuredFiring, curve_times

__all__ = ["FEATURES", "Observed", "SimulatedFiring", "Simulator", "observed", "simulated_features"]

Floats = NDArray[np.float64]
FEATURES = ("impulse", "central time", "water out", "duration")


@dataclass(frozen=True, slots=True)
class SimulatedFiring:
    """A simulated firing: (n,) time in s from the release, (n,) thrust in N, water out in s."""

    time: Floats
    thrust: Floats
    water_out: float | None


# Document paths ("vehicle.nozzle.flow_coefficient") to SI values -> a firing with these values.
Simulator = Callable[[Mapping[str, float]], SimulatedFiring]


@dataclass(frozen=True, slots=True)
class Observed:
    """A record's features: (4,) logarithms, their independent sds, and the sd shared by a stand.

    A feature that the record does not show is NaN.
    """

    name: str
    log: Floats
    sd: Floats
    ramp_sd: float
    conditions: Mapping[str, float]


def _last_above(time: Floats, thrust: Floats, level: float) -> float:
    """Time at which thrust falls below ``level`` for good, s."""
    above = np.nonzero(thrust > level)[0]
    if not above.size:
        return 0.0
    last = int(above[-1])
    if last + 1 == len(time):
        return float(time[last])
    share = (thrust[last] - level) / (thrust[last] - thrust[last + 1])
    return float(time[last] + share * (time[last + 1] - time[last]))


def simulated_features(firing: SimulatedFiring) -> Floats:
    """Return the (4,) logarithms of a simulated firing's features, NaN where there is none."""
    impulse = float(np.trapezoid(firing.thrust, firing.time))
    if impulse <= 0.0:
        return np.full(len(FEATURES), np.nan)
    low, high = curve_times(firing.time, firing.thrust, CENTRAL)
    duration = _last_above(firing.time, firing.thrust, SPENT * float(firing.thrust.max()))
    water_out = np.nan if firing.water_out is None else firing.water_out
    values = np.array([impulse, high - low, water_out, duration])
    return np.log(np.where(values > 0.0, values, np.nan))


def observed(firing: MeasuredFiring) -> Observed:
    """Return a record's features as logarithms.

    The choice of the weight ramp shifts all records of a stand alike, so it is kept apart from what
    differs from record to record.
    """
    measures = (firing.impulse, firing.central_time, firing.water_out, firing.duration)
    values = np.array([np.nan if m is None else m.value for m in measures])
    sds = np.array([np.nan if m is None else m.sd for m in measures])
    ramp = firing.impulse.components.get("ramp shape", 0.0)
    sds[0] = np.sqrt(max(firing.impulse.sd**2 - ramp**2, 0.0))
    return Observed(
        firing.name, np.log(values), sds / values, ramp / firing.impulse.value, firing.conditions
    )
