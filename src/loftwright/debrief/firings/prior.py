"""What is held of a nozzle and its fills before a record is looked at.

A point of the parameter space is a row of eleven numbers, see ``PLACES``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.emulator import Axis
from loftwright.debrief.firings.features import FEATURES, Observed
from loftwright.evidence.problems import problem

__all__ = [
    "BREAKTHROUGH",
    "FLOW",
    "LEAST_DOUBT",
    "PLACES",
    "PRESSURE",
    "TEMPERATURE",
    "VELOCITY",
    "WATER",
    "Prior",
]

Floats = NDArray[np.float64]
FLOW = "vehicle.nozzle.flow_coefficient"
VELOCITY = "vehicle.nozzle.velocity_coefficient"
BREAKTHROUGH = "vehicle.nozzle.breakthrough_volume"
PRESSURE = "vehicle.fill.gauge_pressure"
WATER = "vehicle.fill.water_volume"
TEMPERATURE = "vehicle.fill.temperature"
AXES = (FLOW, VELOCITY, BREAKTHROUGH, PRESSURE, WATER, TEMPERATURE)

# Where each number of a point stands: coefficients and volume in SI; the shared errors of pressure
# and water and the model's four errors in standard deviations; logarithms of the two scatters.
PLACES = {"flow": 0, "velocity": 1, "breakthrough": 2, "pressure": 3, "water": 4}
OFFSETS = slice(5, 9)
SCATTERS = slice(9, 11)
SIZE = 11

VESSEL = re.compile(r"vehicle\.vessel\.\d+\.volume")
FULLEST = 0.97  # of the vessels' volume
COEFFICIENTS = (0.35, 1.0)  # no nozzle loses more; none gains
# Least sd of a coefficient: a handbook figure must not outvote a record of this nozzle.
LEAST_DOUBT = 0.15
LEFT_BEHIND = 0.15  # sd of the share of the water that the air overtakes, where nothing is known
MOST_LEFT = 0.35
# Of the variance of a fill, the part that all fills of a gauge and a jug share.
SHARED = 0.5
# Relative error of the model's times: quasi-steady flow, an instant release and break-through.
MODEL_DOUBT = {"central time": 0.02, "water out": 0.03, "duration": 0.05}
# Firing-to-firing scatter beyond the stated uncertainties: median, and sd of its logarithm.
SCATTER = ((0.05, 0.5), (0.02, 0.5))
REACH = 4.0  # standard deviations
SEASON = 20.0  # K beyond the records' temperatures, so that warmer firings can be predicted


@dataclass(frozen=True, slots=True)
class Prior:
    """Centres and spreads, and the conditions of each record (pressure Pa, water m3, temp. K).

    ``fills`` is (records, 3); ``relative`` the relative sds of pressure and water, of which
    ``shared`` is what all fills have in common and ``single`` what each has alone.
    """

    centre: Floats  # (3,) flow, velocity, breakthrough
    spread: Floats  # (3,)
    limits: Floats  # (3, 2)
    document: Mapping[str, tuple[float, float]]
    fills: Floats
    relative: Floats  # (2,)
    offset_sds: Floats  # (4,)
    volume: float = math.inf  # of the vessels, m3

    @property
    def shared(self) -> Floats:
        """Relative sds of pressure and water that all fills have in common."""
        return self.relative * math.sqrt(SHARED)

    @property
    def single(self) -> Floats:
        """Relative sds of pressure and water that each fill has alone."""
        return self.relative * math.sqrt(1.0 - SHARED)

    @classmethod
    def of(
        cls,
        values: Mapping[str, float],
        sds: Mapping[str, float],
        records: Sequence[Observed],
    ) -> Prior:
        """Build the prior from the documents' values and sds, and the records' conditions."""
        fills = np.array([fill_of(values, record.conditions) for record in records])
        for record, fill in zip(records, fills, strict=True):
            _check_fill(record.name, fill)
        water = float(fills[:, 1].mean())
        known = BREAKTHROUGH in values and sds.get(BREAKTHROUGH, 0.0) > 0.0
        left = (values[BREAKTHROUGH], sds[BREAKTHROUGH]) if known else (0.0, LEFT_BEHIND * water)
        doubts = [max(sds.get(name, 0.0), LEAST_DOUBT) for name in (FLOW, VELOCITY)]
        ramp = float(np.mean([record.ramp_sd for record in records]))
        relative = [sds.get(name, 0.0) / values[name] for name in (PRESSURE, WATER)]
        names = [name for name in (FLOW, VELOCITY, PRESSURE, WATER) if name in values]
        return cls(
            centre=np.array([values[FLOW], values[VELOCITY], left[0]]),
            spread=np.array([*doubts, left[1]]),
            limits=np.array([COEFFICIENTS, COEFFICIENTS, (0.0, MOST_LEFT * water)]),
            document={name: (values[name], sds.get(name, 0.0)) for name in names},
            fills=fills,
            relative=np.array(relative),
            offset_sds=np.array([ramp, *(MODEL_DOUBT[name] for name in FEATURES[1:])]),
            volume=sum(values[name] for name in values if VESSEL.fullmatch(name)) or math.inf,
        )

    def axes(self) -> tuple[Axis, ...]:
        """Bounds of the simulator's inputs that hold every point of the prior."""
        reach = 1.0 + np.maximum(REACH * self.relative, 0.02)
        low = self.fills[:, :2].min(axis=0) / reach
        high = self.fills[:, :2].max(axis=0) * reach
        high[1] = min(high[1], FULLEST * self.volume)
        coldest, warmest = self.fills[:, 2].min() - SEASON, self.fills[:, 2].max() + SEASON
        axes = [
            Axis(FLOW, *COEFFICIENTS),
            Axis(VELOCITY, *COEFFICIENTS),
            Axis(BREAKTHROUGH, 0.0, float(self.limits[2, 1]), logarithmic=False),
            Axis(PRESSURE, float(low[0]), float(high[0])),
            Axis(WATER, float(low[1]), float(high[1])),
            Axis(TEMPERATURE, float(coldest), float(warmest), logarithmic=False),
        ]
        return tuple(axes)

    def log_density(self, points: Floats) -> Floats:
        """Logarithm of the prior density (n,), -inf outside the physical ranges."""
        main = (points[:, :3] - self.centre) / self.spread
        scatters = (points[:, SCATTERS] - np.log([m for m, _ in SCATTER])) / [s for _, s in SCATTER]
        normal = points[:, 3:9]
        density = -0.5 * sum((part**2).sum(axis=1) for part in (main, normal, scatters))
        outside = (points[:, :3] < self.limits[:, 0]) | (points[:, :3] > self.limits[:, 1])
        far = np.abs(normal).max(axis=1) > REACH
        return np.where(outside.any(axis=1) | far, -np.inf, density)

    def draw(self, count: int, rng: np.random.Generator) -> Floats:
        """Draw (count, 11) points of the prior."""
        points = np.empty((count, SIZE))
        for place in range(3):
            points[:, place] = self._truncated(place, count, rng)
        points[:, 3:9] = np.clip(rng.standard_normal((count, 6)), -REACH, REACH)
        for place, (median, sd) in zip((9, 10), SCATTER, strict=True):
            points[:, place] = rng.normal(math.log(median), sd, count)
        return points

    def _truncated(self, place: int, count: int, rng: np.random.Generator) -> Floats:
        """Draw from a normal distribution between limits by drawing anew what falls outside."""
        low, high = self.limits[place]
        values = rng.normal(self.centre[place], self.spread[place], count)
        while (out := (values < low) | (values > high)).any():
            values[out] = rng.normal(self.centre[place], self.spread[place], int(out.sum()))
        return values

    def inputs(self, points: Floats, fill: Floats) -> Floats:
        """Inputs of the simulator (n, 6) for one fill, in the order of `axes`."""
        fills = np.broadcast_to(fill, (len(points), 3)).copy()
        fills[:, :2] *= 1.0 + self.shared * points[:, 3:5]
        return np.concatenate([points[:, :3], fills], axis=1)


def _check_fill(name: str, fill: Floats) -> None:
    """Refuse a fill that drives no water out."""
    for value, word in zip(fill, ("pressure", "water"), strict=False):
        if value <= 0.0:
            raise problem("evidence-fit-fill", file=name, value=word)


def fill_of(values: Mapping[str, float], conditions: Mapping[str, float]) -> Floats:
    """Return pressure (Pa gauge), water (m3), temperature (K) of a fill.

    What a record's header says of its own firing goes before what the documents say of all.
    """
    water = conditions.get("water")
    return np.array(
        [
            conditions.get("pressure", values[PRESSURE]),
            values[WATER] if water is None else water / 1000.0,
            conditions.get("temperature", values[TEMPERATURE]),
        ]
    )
