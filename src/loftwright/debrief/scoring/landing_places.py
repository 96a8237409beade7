"""Where bodies came down, from what was paced or read off a phone: east and north of the pad."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.clocks.by_hand import BEARING_SD, COORDINATE_SD, PACED_SHARE, sd_of
from loftwright.debrief.scoring.propagation import covariance_of, propagate
from loftwright.documents.flight_record import Landed
from loftwright.documents.site import Site
from loftwright.physics.geodesy import ground_offset, meridian_radius, normal_radius
from loftwright.units import Quantity

__all__ = ["LandingPlace", "Pad", "landing_place", "landing_places", "pad_of"]

Floats = NDArray[np.float64]

LEAST_PACED_SD = 1.0  # m; nobody paces to the step where a body lies (common practice, no source)
WIDEST = radians(60.0)  # sd of a bearing beyond which it tells no direction


@dataclass(frozen=True, slots=True)
class Pad:
    """Where the pad stands: rad, rad, m above the sea."""

    latitude: float
    longitude: float
    elevation: float


def pad_of(site: Site) -> Pad:
    """Return where the pad of a site stands."""
    place = site.place
    return Pad(place.latitude.value, place.longitude.value, place.elevation.value)


@dataclass(frozen=True, slots=True)
class LandingPlace:
    """Where a body came down.

    ``place`` is east and north of the pad [m], with its ``covariance`` (2, 2) [m2]; both are None
    where only the distance is known. ``how`` says what it goes by.
    """

    of: str
    distance: float
    distance_sd: float
    place: Floats | None
    covariance: Floats | None
    how: str


def landing_places(landed: Sequence[Landed], pad: Pad) -> tuple[LandingPlace, ...]:
    """Return the places that can be told, in the order in which they are written."""
    found = (landing_place(each, pad) for each in landed)
    return tuple(each for each in found if each is not None)


def landing_place(landed: Landed, pad: Pad) -> LandingPlace | None:
    """Return where a body came down; None where neither place nor distance is told.

    Coordinates count before paces. How sure they are is as stated, or as `by_hand` supposes.
    """
    if landed.latitude is not None and landed.longitude is not None:
        return _by_coordinates(landed.of, landed.latitude, landed.longitude, pad)
    if landed.distance is None:
        return None
    paced = landed.distance.value
    sd = sd_of(landed.distance, max(PACED_SHARE * paced, LEAST_PACED_SD))
    if landed.bearing is None or landed.bearing.sd > WIDEST:
        return LandingPlace(landed.of, paced, sd, None, None, "paced, without a direction")
    turn = sd_of(landed.bearing, BEARING_SD)
    given = np.array([paced, landed.bearing.value])
    place, covariance = propagate(_from_polar, given, covariance_of([sd, turn]))
    return LandingPlace(landed.of, paced, sd, place, covariance, "paced")


def _from_polar(given: Floats) -> tuple[float, float]:
    distance, bearing = given
    return distance * sin(bearing), distance * cos(bearing)


def _by_coordinates(of: str, latitude: Quantity, longitude: Quantity, pad: Pad) -> LandingPlace:
    to_north = meridian_radius(pad.latitude) + pad.elevation
    to_east = (normal_radius(pad.latitude) + pad.elevation) * cos(pad.latitude)
    sds = [
        sd_of(latitude, COORDINATE_SD / to_north),
        sd_of(longitude, COORDINATE_SD / max(to_east, 1.0)),
    ]

    def offset(given: Floats) -> tuple[float, float]:
        north_of, east_of = (float(each) for each in given)
        here = (pad.latitude, pad.longitude, pad.elevation)
        east, north, _ = ground_offset(north_of, east_of, pad.elevation, *here)
        return east, north

    given = np.array([latitude.value, longitude.value])
    place, covariance = propagate(offset, given, covariance_of(sds))
    distance = hypot(*place)
    along = place / distance if distance > 0.0 else np.array([1.0, 0.0])
    sd = sqrt(float(along @ covariance @ along))
    return LandingPlace(of, distance, sd, place, covariance, "by its coordinates")
