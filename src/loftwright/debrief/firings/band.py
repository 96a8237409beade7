"""What a new firing's thrust would look like over time, after a fit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.firings.features import FEATURES, SimulatedFiring, Simulator
from loftwright.debrief.firings.fit import FiringFit
from loftwright.debrief.firings.posterior import scatter_of
from loftwright.debrief.firings.prior import OFFSETS, Prior
from loftwright.flight.results import Band

__all__ = ["draw_firings", "firing_band", "thrust_band"]

Floats = NDArray[np.float64]
PERCENTILES = (5.0, 25.0, 50.0, 75.0, 95.0)
COUNT = 120
CLOCK = 240  # moments at which the band is drawn
IMPULSE, CENTRAL = FEATURES.index("impulse"), FEATURES.index("central time")


def _inputs(prior: Prior, points: Floats, rng: np.random.Generator) -> Floats:
    """Inputs of the simulator (n, 6): each with a record's fill and an error of its own in it."""
    which = rng.integers(len(prior.fills), size=len(points))
    rows = prior.inputs(points, prior.fills[which])
    rows[:, 3:5] *= 1.0 + prior.single * rng.standard_normal((len(rows), 2))
    axes = prior.axes()
    return np.clip(rows, [axis.low for axis in axes], [axis.high for axis in axes])


def _scattered(firing: SimulatedFiring, impulse: float, time: float) -> SimulatedFiring:
    """A firing whose impulse and times differ by these logarithms, its shape kept."""
    stretch = float(np.exp(time))
    out = None if firing.water_out is None else firing.water_out * stretch
    thrust = firing.thrust * float(np.exp(impulse)) / stretch
    return SimulatedFiring(firing.time * stretch, thrust, out)


def draw_firings(
    fit: FiringFit, simulate: Simulator, *, count: int = COUNT
) -> list[SimulatedFiring]:
    """Fire ``count`` draws of a fit's posterior, each filled as one of the records was.

    Each has its own error of pressure and water, and the scatter between firings: a factor on the
    impulse and one on the clock. The model's shared errors shift both, as in `FiringFit.predict`;
    of the errors of times, that of the central time stretches the whole clock.
    """
    rng = np.random.default_rng(fit.seed + 2)
    prior = fit.posterior.prior
    points = fit.draws[rng.integers(len(fit.draws), size=count)]
    names = [axis.name for axis in prior.axes()]
    shift = points[:, OFFSETS] * prior.offset_sds
    shift += scatter_of(points) * rng.standard_normal(shift.shape)
    return [
        _scattered(
            simulate(dict(zip(names, map(float, row), strict=True))),
            float(moved[IMPULSE]),
            float(moved[CENTRAL]),
        )
        for row, moved in zip(_inputs(prior, points, rng), shift, strict=True)
    ]


def thrust_band(firings: Sequence[SimulatedFiring]) -> Band:
    """Percentiles of the firings' thrust, N, in the lane "thrust_n"; nothing once one has ended."""
    end = float(np.percentile([firing.time[-1] for firing in firings], 95.0))
    clock = np.linspace(0.0, end, CLOCK)
    rows = [np.interp(clock, firing.time, firing.thrust, right=0.0) for firing in firings]
    return Band(clock, {"thrust_n": np.percentile(rows, PERCENTILES, axis=0).T})


def firing_band(fit: FiringFit, simulate: Simulator, *, count: int = COUNT) -> Band:
    """Return where the thrust of another such firing will lie: 5 to 95 % over a common clock."""
    return thrust_band(draw_firings(fit, simulate, count=count))
