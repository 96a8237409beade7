"""Which sightings are of one moment, and what each of them observed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from loftwright.debrief.clocks.by_hand import BEARING_SD, ELEVATION_SD, PRESS_SD, sd_of
from loftwright.debrief.clocks.clocks import moment_of
from loftwright.debrief.clocks.results import Clocks
from loftwright.debrief.results import Estimate
from loftwright.documents.flight_record import FlightRecord, Sighting, Station

__all__ = ["Eye", "Group", "Look", "eyes_of", "groups_of"]

# What is supposed of a station where nobody says: paced, and a zero that nobody took (common
# practice, no source).
PLACE_SD, EYE_SD, ZERO_SD = 1.0, 0.1, 0.05  # m, m, rad
TOGETHER = 0.25  # s; calls of "now" that are no further apart are one


@dataclass(frozen=True, slots=True)
class Eye:
    """A station: east, north, up of the eye [m] and the compass's zero [rad], with their sds."""

    name: str
    place: tuple[float, float, float]
    place_sd: tuple[float, float, float]
    zero: float
    zero_sd: float


@dataclass(frozen=True, slots=True)
class Look:
    """One sighting: angles from true north and the horizon [rad]; a bearing may be missing."""

    eye: str
    bearing: float | None
    bearing_sd: float
    elevation: float
    elevation_sd: float
    moment_sd: float = 0.0  # s; how unsure it is that it was taken with the others


@dataclass(frozen=True, slots=True)
class Group:
    """Sightings of one body at one moment."""

    of: str
    moment: str | None
    time: Estimate | None
    looks: tuple[Look, ...]


def eyes_of(stations: Sequence[Station]) -> dict[str, Eye]:
    """Return stations by name, with what is supposed of them where they do not say."""
    return {
        each.name: Eye(
            each.name,
            (each.east.value, each.north.value, each.up.value),
            (
                sd_of(each.east, PLACE_SD),
                sd_of(each.north, PLACE_SD),
                sd_of(each.up, EYE_SD),
            ),
            each.bearing_zero.value,
            sd_of(each.bearing_zero, ZERO_SD),
        )
        for each in stations
    }


def groups_of(record: FlightRecord, clocks: Clocks) -> list[Group]:
    """Put sightings of one moment together, in the order in which they are written.

    Those that name a moment belong to it. Those that give a time belong together where their
    clocks, on flight time, leave it open that they were taken at once.
    """
    known = {each.name for each in record.station}
    found: list[tuple[str, str | None, Estimate | None, list[Look]]] = []
    for each in record.sighting:
        if each.station not in known:
            continue
        moment, of = moment_of(each.moment, each.of) if each.moment else (None, each.of)
        time = _time_of(each, clocks)
        place = next((row for row in found if _is_one(row, of, moment, time)), None)
        if place is None:
            found.append((of, moment, time, [_look(each, time)]))
        else:
            place[3].append(_look(each, time))
    return [Group(of, moment, time, tuple(looks)) for of, moment, time, looks in found]


def _time_of(sighting: Sighting, clocks: Clocks) -> Estimate | None:
    if sighting.moment is not None:
        if sighting.moment == "liftoff":
            return Estimate(0.0, 0.0, 0.0, 0.0)
        return clocks.moments.get(moment_of(sighting.moment, sighting.of))
    if sighting.at is None:
        return None
    clock = sighting.clock
    if clock == "watch" and sighting.by:
        clock = f"watch of {sighting.by}"
    return clocks.to_flight(clock, sighting.at.value, sd_of(sighting.at, PRESS_SD))


def _is_one(
    row: tuple[str, str | None, Estimate | None, list[Look]],
    of: str,
    moment: str | None,
    time: Estimate | None,
) -> bool:
    if row[0] != of or row[1] != moment:
        return False
    if moment is not None:
        return True
    if row[2] is None or time is None:
        return False
    return abs(row[2].value - time.value) <= max(TOGETHER, 2.0 * hypot(row[2].sd, time.sd))


def _look(sighting: Sighting, time: Estimate | None) -> Look:
    bearing = sighting.bearing
    return Look(
        sighting.station,
        None if bearing is None else bearing.value,
        BEARING_SD if bearing is None else sd_of(bearing, BEARING_SD),
        sighting.elevation.value,
        sd_of(sighting.elevation, ELEVATION_SD),
        time.sd if sighting.moment is None and time is not None else 0.0,
    )
