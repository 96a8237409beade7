"""How likely the records are for given coefficients, fills and scatter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.emulator import Emulator
from loftwright.debrief.firings.features import FEATURES, Observed
from loftwright.debrief.firings.prior import OFFSETS, SCATTERS, Prior

__all__ = ["Posterior", "scatter_of"]

Floats = NDArray[np.float64]
BLIND = 1e6  # variance of a feature that a record does not show
STEP = 1e-3  # relative step of pressure and water for their effect on the features


def scatter_of(points: Floats) -> Floats:
    """Return the (n, 4) firing-to-firing sds of the features: one of impulse, one of the times."""
    scatter = np.exp(points[:, SCATTERS])
    return scatter[:, [0, *([1] * (len(FEATURES) - 1))]]


@dataclass(frozen=True, slots=True)
class Posterior:
    """Prior, records and emulator together; what is constant is worked out once."""

    prior: Prior
    emulator: Emulator
    measured: Floats  # (records, 4) logarithms, 0 where not shown
    fixed: Floats  # (records, 4, 4) covariance that does not depend on the point

    @classmethod
    def of(
        cls, prior: Prior, emulator: Emulator, records: Sequence[Observed], around: Floats
    ) -> Posterior:
        """Prepare; ``around`` is the point (11,) near which single fills are linearised."""
        measured = np.array([record.log for record in records])
        variance = np.array([record.sd for record in records]) ** 2 + emulator.error**2
        blind = ~np.isfinite(measured + variance)
        variance[blind] = BLIND
        fixed = np.array(
            [
                np.diag(v) + fill_covariance(prior, emulator, around, fill)
                for v, fill in zip(variance, prior.fills, strict=True)
            ]
        )
        return cls(prior, emulator, np.where(blind, 0.0, measured), fixed)

    @property
    def blind(self) -> NDArray[np.bool_]:
        """Which features the records do not show, (records, 4)."""
        return np.diagonal(self.fixed, axis1=1, axis2=2) >= BLIND

    def model(self, points: Floats) -> Floats:
        """Features (n, records, 4) that the points expect, the model's shared errors included."""
        fills = self.prior.fills
        inputs = np.concatenate([self.prior.inputs(points, fill) for fill in fills])
        found = self.emulator(inputs).reshape(len(fills), len(points), -1)
        offsets = points[:, OFFSETS] * self.prior.offset_sds
        return found.transpose(1, 0, 2) + offsets[:, None, :]

    def covariance(self, points: Floats) -> Floats:
        """Covariance (n, records, 4, 4) of the records about `model`."""
        diagonal = np.eye(len(FEATURES)) * scatter_of(points)[:, None, :, None] ** 2
        return self.fixed[None] + diagonal

    def log_density(self, points: Floats) -> Floats:
        """Logarithm of prior times likelihood, (n,)."""
        density = self.prior.log_density(points)
        inside = np.isfinite(density)
        if inside.any():
            density[inside] += self._log_likelihood(points[inside])
        return density

    def _log_likelihood(self, points: Floats) -> Floats:
        residual = np.where(self.blind, 0.0, self.measured - self.model(points))
        root = np.linalg.cholesky(self.covariance(points))
        scaled = np.linalg.solve(root, residual[..., None])[..., 0]
        spread = np.log(np.diagonal(root, axis1=-2, axis2=-1)).sum(axis=(1, 2))
        total: Floats = -0.5 * (scaled**2).sum(axis=(1, 2)) - spread
        return total


def fill_covariance(prior: Prior, emulator: Emulator, point: Floats, fill: Floats) -> Floats:
    """Covariance (4, 4) of the features from what each fill has alone of pressure and water."""
    row = prior.inputs(point[None, :], fill)
    slopes = []
    for column in (3, 4):
        up, down = row.copy(), row.copy()
        up[:, column] *= 1.0 + STEP
        down[:, column] *= 1.0 - STEP
        slopes.append((emulator(up) - emulator(down))[0] / (2.0 * STEP))
    effect = np.nan_to_num(np.array(slopes)) * prior.single[:, None]
    covariance: Floats = effect.T @ effect
    return covariance
