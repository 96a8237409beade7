"""The flight engine as the simulator of a firing fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from loftwright.debrief.firings.features import SimulatedFiring, Simulator
from loftwright.debrief.firings.fit import FiringFit, fit_firings
from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.evidence.thrust import MeasuredFiring
from loftwright.flight.firing import fire

__all__ = ["fit_campaign", "simulator"]

TOLERANCE = 1e-6
INTERVAL = 1e-3  # s; features are integrals and quantiles, which need no finer samples


def simulator(campaign: Campaign) -> Simulator:
    """Return what fires the campaign's vehicle, held, with some of its values changed."""
    values, _, words = flatten(campaign)

    def simulate(changed: Mapping[str, float]) -> SimulatedFiring:
        firing = fire({**values, **changed}, words, tolerance=TOLERANCE, interval=INTERVAL)
        return SimulatedFiring(firing.time, firing.thrust, firing.figures["water_out_s"])

    return simulate


def fit_campaign(
    campaign: Campaign, firings: Sequence[MeasuredFiring], *, seed: int = 1
) -> FiringFit:
    """Fit the losses of a campaign's nozzle to its measured firings; see `fit_firings`."""
    values, sds, _ = flatten(campaign)
    return fit_firings(firings, values, sds, simulator(campaign), seed=seed)
