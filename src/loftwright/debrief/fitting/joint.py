"""Several recorded flights as one problem: what they share, what each has alone, what parts them.

Fields of the build are one number for all flights; those of the day, a fill, the wind, the air,
are a number for each. Beside the fields each flight has a first motion that is not known exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.doubt import (
    SCALES,
    Doubt,
    doubt_of,
    scale_weights,
    smooth_error,
    vent_error,
)
from loftwright.debrief.fitting.model import FlightModel
from loftwright.debrief.fitting.posterior import Found, informed_directions
from loftwright.debrief.fitting.stand_in import StandIn, polynomial
from loftwright.debrief.fitting.windows import Ascent

__all__ = ["FIRST_MOTION", "Joint", "Number", "is_of_the_day", "motion_shift"]

Floats = NDArray[np.float64]

FIRST_MOTION = "first motion"  # the name of the number that shifts a record's clock
# First motion is taken from a rise of a metre, which takes about this long; what the vents add or
# take away while a vehicle is pushed hides or feigns some of it, so little is held of it [s].
MOTION_LATE, MOTION_SD = -0.1, 0.2
GUST_FLIGHTS = 192
RATE_ERROR = 0.02  # of a steady rate, by what the model leaves out: swinging, leaning (judgement)
PLACE_ERROR = 3.0  # m, of a landing, by what the mean wind aloft leaves out (judgement)
SHARED_ERROR = 0.5  # of the variance of the model's error: it errs alike in every flight
MOST_DIRECTIONS = 9  # of one flight that a polynomial follows
OF_THE_DAY = ("pad_wait", "warming", "delay", "travel_time")


def is_of_the_day(path: str) -> bool:
    """Tell whether a field is another in each flight of one build."""
    return (
        path.startswith("site.")
        or ".fill." in path
        or ".toss." in path
        or path.endswith(OF_THE_DAY)
    )


@dataclass(frozen=True, slots=True)
class Number:
    """One standard normal number: a field of all flights, or of the one at ``flight``."""

    path: str
    flight: int | None


class Joint:
    """All flights together, as a function of standard normal numbers.

    ``numbers`` says what each is; ``measured`` (k,) is what all records hold, flight by flight.
    """

    def __init__(self, models: Sequence[FlightModel], seed: int) -> None:
        self.models, self.seed = list(models), seed
        self.numbers = tuple(_numbers(self.models))
        self.measured = np.concatenate([model.observed.measured for model in self.models])
        sizes = [len(model.observed.measured) for model in self.models]
        ends = np.cumsum(sizes)
        self._rows = [slice(int(e - s), int(e)) for e, s in zip(ends, sizes, strict=True)]
        self._bias = np.zeros(len(self.measured))
        self._gusts = np.zeros((len(self.measured), len(self.measured)))
        self._louder = np.ones(len(self.measured))

    def only(self, kept: Sequence[int]) -> None:
        """Leave out all numbers but those at ``kept``: the others act on nothing measured."""
        self.numbers = tuple(self.numbers[place] for place in kept)

    def predict(self, points: Floats) -> Floats:
        """Return what would be measured at points (n, numbers), (n, k)."""
        parts = []
        for place, model in enumerate(self.models):
            parts.append(self._predict_one(place, model, points))
        return np.concatenate(parts, axis=1) + self._bias

    def _predict_one(self, place: int, model: FlightModel, points: Floats) -> Floats:
        if not len(model.observed.measured):
            return np.empty((len(points), 0))
        changed = {self.numbers[i].path: points[:, i] for i in self._own(place)}
        shift = changed.pop(FIRST_MOTION, np.zeros(len(points)))
        return model.predict(changed, motion_shift(model, shift))

    def stand_in(self, found: Found, points: Floats) -> StandIn:
        """Return polynomials for what would be measured, shaped by flights at ``points``.

        Each flight has its own, of the few directions that it informs by itself; what those do
        not explain of it is told as a covariance.
        """
        precision = self.doubt().precision(found.residual)
        centre = points.mean(axis=0)
        parts = []
        for place, model in enumerate(self.models):
            rows = self._rows[place]
            slopes = found.slopes[rows]
            basis, _ = informed_directions(
                slopes.T @ precision[rows, rows] @ slopes, MOST_DIRECTIONS
            )
            features = self._predict_one(place, model, points) + self._bias[rows]
            parts.append(polynomial(centre, basis, points, features))
        return StandIn(tuple(parts))

    def _own(self, flight: int) -> list[int]:
        return [i for i, number in enumerate(self.numbers) if number.flight in (None, flight)]

    def blow(self, point: Floats) -> None:
        """Find what gusts do to what is measured, near a point: a shift, and a covariance."""
        for place, model in enumerate(self.models):
            rows = self._rows[place]
            if not model.has_gusts or rows.start == rows.stop:
                continue
            changed = {self.numbers[i].path: float(point[i]) for i in self._own(place)}
            shift = motion_shift(model, changed.pop(FIRST_MOTION, 0.0))
            found = model.gusty(self.seed + 7919 * (place + 1), changed, shift, GUST_FLIGHTS)
            found = found[np.isfinite(found).all(axis=1)]
            calm = self._predict_one(place, model, point[None, :])[0]
            self._bias[rows] = found.mean(axis=0) - calm
            self._gusts[rows, rows] = np.cov(found.T).reshape(found.shape[1], -1)

    def doubt(self, stand_in: StandIn | None = None) -> Doubt:
        """Return what may part records and model: noise, gusts, and the model's own error.

        To that comes what a stand-in for the model leaves unexplained.
        """
        fixed, growing = self.covariances()
        if stand_in is not None:
            for rows, part in zip(self._rows, stand_in.parts, strict=True):
                fixed[rows, rows] += part.rest
        return doubt_of(fixed, growing, SCALES, scale_weights())

    def covariances(self) -> tuple[Floats, Floats]:
        """Return the covariance of noise and gusts, and that of the model's error at scale one."""
        fixed = self._gusts.copy()
        for place, model in enumerate(self.models):
            rows = self._rows[place]
            fixed[rows, rows] += _noise(model)
        fixed[np.diag_indices_from(fixed)] *= self._louder
        return fixed, self._error()

    def quieten(self, residual: Floats, precision: Floats) -> int:
        """Let readings that fit nothing beside them count less; return how many do so now.

        Each residual is held against what all others make of it. Beyond some deviations its
        variance is made larger, as in a fit by weights that are worked out again and again
        (P. W. Holland, R. E. Welsch, Comm. Stat. A 6 (1977) 813, from memory).
        """
        pull = precision @ residual
        apart = np.abs(pull) / np.sqrt(np.diag(precision))
        self._louder = np.where(apart > FAR_OFF, self._louder * (apart / FAR_KEPT) ** 2,
                                self._louder)  # fmt: skip
        return int((self._louder > 1.0).sum())

    def _error(self) -> Floats:
        """Covariance of the models' own errors for a scale of one [m2], over all ascents."""
        total = np.zeros_like(self._gusts)
        ascents = [model.observed.ascent for model in self.models]
        for i, one in enumerate(ascents):
            for j, other in enumerate(ascents):
                if one is None or other is None:
                    continue
                share = 1.0 if i == j else SHARED_ERROR
                block = smooth_error(one.share, other.share) * _height(one) * _height(other)
                begin, first = self._rows[i].start, self._rows[j].start
                total[begin : begin + len(one.share), first : first + len(other.share)] = (
                    share * block
                )
        return total


FAR_OFF, FAR_KEPT = 4.5, 3.0  # deviations


def _height(ascent: Ascent) -> float:
    """Height that the model's error is a share of [m]: what the apogee about is."""
    return float(np.max(ascent.heights))


N = TypeVar("N", float, Floats)


def motion_shift(model: FlightModel, number: N) -> N:
    """Return how much later than taken the vehicle first moved [s], for standard normal numbers."""
    return MOTION_LATE + max(MOTION_SD, model.observed.sampling) * number


def _numbers(models: Sequence[FlightModel]) -> list[Number]:
    """Return shared fields first, then those of each flight and its first motion."""
    shared = dict.fromkeys(
        path for model in models for path in model.priors if not is_of_the_day(path)
    )
    found = [Number(path, None) for path in shared]
    for place, model in enumerate(models):
        found += [Number(path, place) for path in model.priors if is_of_the_day(path)]
        found.append(Number(FIRST_MOTION, place))
    return found


def _noise(model: FlightModel) -> Floats:
    """Covariance of what is measured in one flight, by its sensors, hands and eyes."""
    observed = model.observed
    variances = []
    size = 0
    if observed.ascent is not None:
        size = len(observed.ascent.heights)
        variances.append(observed.ascent.variance)
    if observed.descent is not None:
        rate = observed.descent
        variances.append(np.array([rate.variance + (RATE_ERROR * rate.rate) ** 2]))
    for each in observed.told:
        error = PLACE_ERROR if each.kind == "place" else 0.0
        variances.append(np.array([each.sd**2 + error**2]))
    total = np.diag(np.concatenate(variances)) if variances else np.zeros((0, 0))
    if observed.ascent is not None:
        total[:size, :size] += observed.ascent.rest_variance
        total[:size, :size] += vent_error(observed.ascent.centres, observed.ascent.climb)
    return total
