"""Places from lines of sight: all sightings of a flight fitted together.

Unknown are the place of each moment, and of each station what is unsure about it: where the eye
was and what its compass shows towards north. A station's error is the same in all of its sightings,
so places that were seen from the same stations are wrong together; their covariance says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.clocks.sighting_groups import Eye, Group, Look

__all__ = ["Plane", "Solution", "fit_places"]

Floats = NDArray[np.float64]

EYE = 4  # unknowns of a station: east, north, up, zero
CHECK = 1e-8  # relative; a singular value below it leaves a place undetermined


@dataclass(frozen=True, slots=True)
class Plane:
    """An upright plane through the pad in which the flight is taken to lie, give or take ``sd``."""

    bearing: float  # rad, clockwise from true north
    sd: float  # m, across


@dataclass(frozen=True, slots=True)
class Solution:
    """Places of groups, (k, 3) [m], the covariance of all of them (3 k, 3 k), and their misfit.

    ``determined`` tells of each group whether its sightings give a place at all.
    """

    places: Floats
    covariance: Floats
    determined: tuple[bool, ...]
    chi_square: float
    freedom: int

    def covariance_of(self, group: int) -> Floats:
        """Return the covariance of one place, (3, 3)."""
        own = slice(3 * group, 3 * group + 3)
        return self.covariance[own, own]


def fit_places(
    groups: Sequence[Group], eyes: Mapping[str, Eye], starts: Floats, plane: Plane | None = None
) -> Solution:
    """Fit places to sightings.

    Parameters
    ----------
    groups : sequence of Group
        Sightings moment by moment.
    eyes : mapping
        Stations by name.
    starts : (k, 3) array
        Where to begin, m.
    plane : Plane, optional
        What is supposed of every place besides.

    Notes
    -----
    Weighted least squares of angles, with what is held of stations as observations of their own.
    Standard uncertainties are those stated; the covariance is that of the linear fit at its end.
    """
    from scipy.optimize import least_squares

    used = list(dict.fromkeys(look.eye for group in groups for look in group.looks))
    problem = _Problem(groups, [eyes[name] for name in used], plane)
    begin = np.concatenate([starts.ravel(), np.zeros(EYE * len(used))])
    found = least_squares(problem, begin, x_scale=problem.scales(), method="trf")
    places = found.x[: 3 * len(groups)].reshape(-1, 3)
    covariance, determined = _spread(found.jac, problem.scales(), len(groups))
    freedom = len(found.fun) - len(begin)
    return Solution(places, covariance, determined, float(2.0 * found.cost), freedom)


class _Problem:
    """Residuals in standard deviations, as a function of places and of what stations are off."""

    def __init__(self, groups: Sequence[Group], eyes: Sequence[Eye], plane: Plane | None) -> None:
        self._groups, self._plane = groups, plane
        self._eyes = {eye.name: (number, eye) for number, eye in enumerate(eyes)}
        self._sds = np.array([[*eye.place_sd, eye.zero_sd] for eye in eyes]).ravel()

    def scales(self) -> Floats:
        """Return about how large each unknown is."""
        return np.concatenate([np.full(3 * len(self._groups), 10.0), np.maximum(self._sds, 1e-9)])

    def __call__(self, unknown: Floats) -> Floats:
        count = 3 * len(self._groups)
        places, off = unknown[:count].reshape(-1, 3), unknown[count:].reshape(-1, EYE)
        rows = [
            residual
            for group, place in zip(self._groups, places, strict=True)
            for look in group.looks
            for residual in self._look(look, place, off)
        ]
        if self._plane is not None:
            across = cos(self._plane.bearing), -sin(self._plane.bearing)
            rows += [(p[0] * across[0] + p[1] * across[1]) / self._plane.sd for p in places]
        return np.concatenate([rows, off.ravel() / self._sds])

    def _look(self, look: Look, place: Floats, off: Floats) -> list[float]:
        number, eye = self._eyes[look.eye]
        east, north, up = place - np.array(eye.place) - off[number, :3]
        level = hypot(east, north)
        rows = [(look.elevation - atan2(up, level)) / look.elevation_sd]
        if look.bearing is not None:
            shown = atan2(east, north) + eye.zero + off[number, 3]
            apart = (look.bearing - shown + pi) % (2.0 * pi) - pi
            rows.append(apart / look.bearing_sd)
        return rows


def _spread(jacobian: Floats, scales: Floats, groups: int) -> tuple[Floats, tuple[bool, ...]]:
    """Return the covariance of the places, and which of them are determined."""
    _, sizes, ways = np.linalg.svd(jacobian * scales, full_matrices=True)
    least = CHECK * (sizes[0] if len(sizes) else 1.0)
    full = np.zeros(len(scales))
    full[: len(sizes)] = sizes
    loose = ways[full <= least] * scales
    moved = (
        np.abs(loose[:, : 3 * groups]).reshape(len(loose), groups, 3).max(axis=(0, 2), initial=0.0)
    )
    weights = np.where(full > least, 1.0 / np.maximum(full, least + 1e-300), 0.0)
    root = (ways * weights[:, None]).T * scales[:, None]
    covariance = (root @ root.T)[: 3 * groups, : 3 * groups]
    return covariance, tuple(bool(each <= 1e-6) for each in moved)
