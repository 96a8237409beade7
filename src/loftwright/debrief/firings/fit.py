"""Static firings, backwards: which losses of the nozzle explain the records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.emulator import Emulator, fit_emulator
from loftwright.debrief.firings.features import (
    FEATURES,
    Simulator,
    observed,
    simulated_features,
)
from loftwright.debrief.firings.posterior import Posterior, fill_covariance, scatter_of
from loftwright.debrief.firings.prior import OFFSETS, PLACES, Prior, fill_of
from loftwright.debrief.sampler import sample
from loftwright.evidence.thrust import MeasuredFiring

__all__ = ["FiringFit", "Fitted", "Prediction", "RecordFit", "emulate", "fit_firings"]

Floats = NDArray[np.float64]
WALKERS = 120
SEARCH = 6000  # prior points among which the walkers begin
KEPT = 4000  # draws handed on
NAMES = {
    "flow": "nozzle.flow_coefficient",
    "velocity": "nozzle.velocity_coefficient",
    "breakthrough": "nozzle.breakthrough_volume",
    "pressure": "fill.gauge_pressure",
    "water": "fill.water_volume",
}


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fitted quantity (SI), beside the sd that it had before the records."""

    value: float
    sd: float
    prior_value: float
    prior_sd: float

    @property
    def narrowed(self) -> float:
        """Share of the variance that the records took away; 0 when they say nothing."""
        return max(0.0, 1.0 - (self.sd / self.prior_sd) ** 2) if self.prior_sd > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class RecordFit:
    """A record beside the fit: feature -> (measured, fitted, residual in sds), SI."""

    name: str
    sha256: str
    features: Mapping[str, tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a new firing would measure: feature -> draws, SI."""

    draws: Mapping[str, Floats]

    def interval(self, feature: str, share: float = 0.9, among: int = 1) -> tuple[float, float]:
        """Return the central interval that holds a measurement with probability ``share``.

        With ``among`` more than 1 it is wide enough to hold that many independent measurements at
        once (Z. Sidak, J. Am. Stat. Assoc. 62 (1967) 626, from memory).
        """
        share = share ** (1.0 / among)
        low, high = np.quantile(self.draws[feature], [0.5 - share / 2.0, 0.5 + share / 2.0])
        return float(low), float(high)


@dataclass(frozen=True, slots=True)
class FiringFit:
    """The posterior of a nozzle's losses.

    ``fitted`` maps document fields ("nozzle.flow_coefficient", ...) to values with sds, and
    ``correlation`` is in their order. ``scatter`` has the relative firing-to-firing sds of
    "impulse" and "times" (value, sd). ``draws`` are (m, 11) points of the posterior. ``settled``
    is False when the draws had not come to rest, and then a note says so.
    """

    fitted: Mapping[str, Fitted]
    correlation: Floats
    scatter: Mapping[str, tuple[float, float]]
    records: tuple[RecordFit, ...]
    notes: tuple[str, ...]
    settled: bool
    seed: int
    draws: Floats
    posterior: Posterior
    values: Mapping[str, float]

    def predict(
        self,
        conditions: Mapping[str, float] | None = None,
        measurement_sd: Mapping[str, float] | None = None,
    ) -> Prediction:
        """Predict the record of a new firing of the same bottle on the same kind of stand.

        Parameters
        ----------
        conditions : of that firing: "pressure" Pa gauge, "water" kg, "temperature" K;
            the documents' where left out
        measurement_sd : relative sds with which its features will be measured; 0 where left out
        """
        rng = np.random.default_rng(self.seed + 1)
        posterior, fill = self.posterior, fill_of(self.values, conditions or {})
        mean = posterior.emulator(posterior.prior.inputs(self.draws, fill))
        mean += self.draws[:, OFFSETS] * posterior.prior.offset_sds
        own = fill_covariance(posterior.prior, posterior.emulator, self.draws.mean(axis=0), fill)
        shape = mean.shape
        mean += rng.multivariate_normal(np.zeros(shape[1]), own, size=shape[0], method="eigh")
        measured = np.array([(measurement_sd or {}).get(name, 0.0) for name in FEATURES])
        spread = np.sqrt(scatter_of(self.draws) ** 2 + measured**2 + posterior.emulator.error**2)
        draws = np.exp(mean + spread * rng.standard_normal(shape))
        return Prediction({name: draws[:, i] for i, name in enumerate(FEATURES)})


def emulate(
    firings: Sequence[MeasuredFiring],
    values: Mapping[str, float],
    sds: Mapping[str, float],
    simulate: Simulator,
    seed: int = 1,
) -> Emulator:
    """Fit the polynomial stand-in that `fit_firings` uses, to share it among several fits."""
    prior = Prior.of(values, sds, [observed(firing) for firing in firings])
    return fit_emulator(lambda inputs: simulated_features(simulate(inputs)), prior.axes(), seed)


def _physical(prior: Prior, points: Floats) -> Floats:
    """Fitted quantities (n, 5) in SI: a fill's are the documents', shifted by what all share."""
    fills = [prior.document[name][0] for name in list(prior.document)[2:4]]
    shared = np.array(fills) * (1.0 + prior.shared * points[:, 3:5])
    return np.concatenate([points[:, :3], shared], axis=1)


def _fitted(prior: Prior, draws: Floats, before: Floats) -> tuple[dict[str, Fitted], Floats]:
    after, prior_draws = _physical(prior, draws), _physical(prior, before)
    kept = [place for name, place in PLACES.items() if np.ptp(after[:, place]) > 0.0]
    fitted = {
        NAMES[name]: Fitted(
            float(after[:, place].mean()),
            float(after[:, place].std()),
            float(prior_draws[:, place].mean()),
            float(prior_draws[:, place].std()),
        )
        for name, place in PLACES.items()
        if place in kept
    }
    return fitted, np.atleast_2d(np.corrcoef(after[:, kept].T))


def _record_fits(
    posterior: Posterior, draws: Floats, firings: Sequence[MeasuredFiring]
) -> tuple[RecordFit, ...]:
    """Each record beside the posterior's mean, residuals in sds of record and scatter."""
    mean = posterior.model(draws).mean(axis=0)
    sds = np.sqrt(np.diagonal(posterior.covariance(draws).mean(axis=0), axis1=1, axis2=2))
    return tuple(
        RecordFit(
            firing.name,
            firing.sha256,
            {
                name: (
                    float(np.exp(posterior.measured[j, i])),
                    float(np.exp(mean[j, i])),
                    float((posterior.measured[j, i] - mean[j, i]) / sds[j, i]),
                )
                for i, name in enumerate(FEATURES)
                if not posterior.blind[j, i]
            },
        )
        for j, firing in enumerate(firings)
    )


def _begin(posterior: Posterior, points: Floats) -> Floats:
    """The best of the prior's points, where the walkers begin."""
    order = np.argsort(posterior.log_density(points))[::-1]
    return points[order[:WALKERS]]


def fit_firings(
    firings: Sequence[MeasuredFiring],
    values: Mapping[str, float],
    sds: Mapping[str, float],
    simulate: Simulator,
    *,
    seed: int = 1,
    emulator: Emulator | None = None,
) -> FiringFit:
    """Fit the nozzle's losses to one or several records of the same bottle.

    The coefficients, and the water that air overtakes, are shared by all records. Pressure and
    water of each fill carry the documents' uncertainty, half of its variance common to all fills
    (a gauge that reads high reads high every time). What then still differs from firing to firing
    is a scatter that is estimated too. Priors are the documents' values; a coefficient's sd is
    taken no smaller than 0.15, so that a handbook figure does not outvote a measurement.

    Parameters
    ----------
    firings : measured records
    values, sds : the campaign's documents as flat maps, SI ("vehicle.nozzle.flow_coefficient")
    simulate : changed values -> a firing (see `loftwright.debrief.firings.engine`)
    seed : of all draws; the same seed gives the same fit
    emulator : from `emulate`, to share it among fits with the same box

    Raises
    ------
    ValueError
        There is no record.
    """
    if not firings:
        raise ValueError("a fit needs at least one record")
    from loftwright.debrief.firings.words import describe, fill_notes

    records = [observed(firing) for firing in firings]
    prior = Prior.of(values, sds, records)
    stand_in = emulator or emulate(firings, values, sds, simulate, seed)
    before = prior.draw(SEARCH, np.random.default_rng(seed))
    rough = Posterior.of(prior, stand_in, records, before.mean(axis=0))
    posterior = Posterior.of(prior, stand_in, records, _begin(rough, before)[0])
    draws, settled = sample(posterior.log_density, _begin(posterior, before), seed)
    draws = draws[:: max(1, len(draws) // KEPT)]
    fitted, correlation = _fitted(prior, draws, before)
    scatter = {
        name: (float(np.exp(draws[:, place]).mean()), float(np.exp(draws[:, place]).std()))
        for name, place in (("impulse", 9), ("times", 10))
    }
    notes = fill_notes(firings, prior) + describe(
        fitted, correlation, scatter, prior, posterior, settled, draws.mean(axis=0)
    )
    return FiringFit(
        fitted,
        correlation,
        scatter,
        _record_fits(posterior, draws, firings),
        notes,
        settled,
        seed,
        draws,
        posterior,
        values,
    )
