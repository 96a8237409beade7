"""What sightings come to: places with their covariance, and how well the lines of sight meet."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.results import Estimate

__all__ = ["SightedPosition"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SightedPosition:
    """A body that was sighted at a moment, from one station or several.

    ``position`` is east, north and up of the pad [m] with its ``covariance`` (3, 3) [m2], both None
    where the sightings do not give one. ``miss`` is by how far two lines of sight pass each other,
    ``miss_open`` how far their uncertainties let them (95 %); None unless two stations have both
    angles. ``chance`` is that of angles at least as far apart if all uncertainties are right.
    ``agrees`` is False where that is below one in twenty, or lines come nearest behind a station;
    None where nothing is told twice.
    """

    of: str
    moment: str | None
    time: Estimate | None  # s from first motion; None where no clock ties it
    stations: tuple[str, ...]
    position: Floats | None
    covariance: Floats | None
    miss: float | None
    miss_open: float | None
    chance: float | None
    agrees: bool | None
    how: str  # "two stations", "one station and the plane of the flight" ...
    says: str

    @property
    def height_sd(self) -> float | None:
        """Standard deviation of the height, m."""
        return None if self.covariance is None else sqrt(float(self.covariance[2, 2]))
