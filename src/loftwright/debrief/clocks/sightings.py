"""Bodies sighted from the ground: where they were, and whether the sightings agree.

Two stations with both angles tell a place and have one check to spare: the lines of sight should
meet. Where they pass each other further than their uncertainties let them, one of the angles is
wrong, and nothing is averaged over that. One station alone tells a place only with the plane of the
flight; else it is said that it cannot.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import erfc, hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.clocks.results import Clocks
from loftwright.debrief.clocks.sighting_fit import Plane, Solution, fit_places
from loftwright.debrief.clocks.sighting_groups import Eye, Group, Look, eyes_of, groups_of
from loftwright.debrief.clocks.sighting_results import SightedPosition
from loftwright.debrief.results import LawCheck, Reconstruction
from loftwright.debrief.scoring.landing_places import Pad, landing_place
from loftwright.debrief.scoring.propagation import propagate
from loftwright.documents.flight_record import FlightRecord
from loftwright.physics.sighting import between_lines, sight_direction
from loftwright.units import format_quantity

__all__ = ["height_checks", "sighted"]

Floats = NDArray[np.float64]

NOWHERE = Pad(0.0, 0.0, 0.0)
WIDE = 2.0  # standard deviations that uncertainties leave open, at 95 %
LIKELY = 0.05  # chance of angles so far apart below which they do not agree
# How far a flight strays from the upright plane through pad and landing, in metres and as a share
# of the way to the landing (common practice, no source).
STRAYS, STRAYS_SHARE = 5.0, 0.2
# How fast a body moves while two people call "now" at not quite the same time (common practice, no
# source): a climb near the top, or a fast glide.
MOVES = 15.0  # m/s
BEHIND = "the lines of sight come nearest behind a station: one of the bearings is wrong"
TELLS = 0.5  # of a height that its sd may be before it is said to tell nothing


def sighted(
    record: FlightRecord, clocks: Clocks, *, pad: Pad | None = None
) -> tuple[SightedPosition, ...]:
    """Return where bodies were, by their sightings, moment by moment.

    Parameters
    ----------
    record : FlightRecord
        Stations, sightings and landings.
    clocks : Clocks
        As `clocks.clocks_of` gives them: sightings by time are put together on flight time.
    pad : Pad, optional
        Where the pad stands, for landings by coordinates.

    Returns
    -------
    tuple of SightedPosition
        Also of moments whose sightings give no place; ``says`` tells why.

    Notes
    -----
    Moments that agree are fitted together, so that a compass that is off shows in all of them; a
    moment whose lines do not meet stays by itself and moves no other.
    """
    eyes = eyes_of(record.station)
    groups = [_smeared(group, eyes) for group in groups_of(record, clocks)]
    planes = {group.of: _plane(record, group.of, pad) for group in groups}
    alone = [_alone(group, eyes, planes[group.of]) for group in groups]
    together = [n for n, each in enumerate(alone) if each.position is not None
                and each.agrees is not False and _needs_no_plane(groups[n])]  # fmt: skip
    if len(together) > 1:
        starts = np.array([alone[n].position for n in together])
        fit = fit_places([groups[n] for n in together], eyes, starts)
        for place, n in enumerate(together):
            alone[n] = replace(
                alone[n], position=fit.places[place], covariance=fit.covariance_of(place)
            )
    return tuple(alone)


def _smeared(group: Group, eyes: Mapping[str, Eye]) -> Group:
    """Widen the angles of a group by what the body moves within the doubt of their times."""
    if len(group.looks) < 2 or not any(look.moment_sd for look in group.looks):
        return group
    fit = _fitted(group, eyes, None)
    if fit is None or not fit.determined[0]:
        return group
    looks = []
    for look in group.looks:
        away = float(np.linalg.norm(fit.places[0] - np.array(eyes[look.eye].place)))
        smear = MOVES * look.moment_sd / max(away, 1.0)
        looks.append(
            replace(
                look,
                bearing_sd=hypot(look.bearing_sd, smear),
                elevation_sd=hypot(look.elevation_sd, smear),
            )
        )
    return replace(group, looks=tuple(looks))


def _needs_no_plane(group: Group) -> bool:
    """Whether there are as many angles as a place has numbers, from more than one station."""
    angles = sum(1 + (look.bearing is not None) for look in group.looks)
    return angles >= 3 and len({look.eye for look in group.looks}) > 1


def _plane(record: FlightRecord, of: str, pad: Pad | None) -> Plane | None:
    """Return the upright plane through pad and landing, None where the landing is not known."""
    for told in record.landed:
        if told.of != of:
            continue
        # Coordinates say nothing of a pad that is nowhere.
        landed = told if pad else replace(told, latitude=None, longitude=None)
        found = landing_place(landed, pad or NOWHERE)
        if found is not None and found.place is not None and found.distance > STRAYS:
            across = np.array([found.place[1], -found.place[0]]) / found.distance
            assert found.covariance is not None
            own = sqrt(float(across @ found.covariance @ across))
            bearing = float(np.arctan2(found.place[0], found.place[1]))
            return Plane(bearing, hypot(own, hypot(STRAYS, STRAYS_SHARE * found.distance)))
    return None


def _alone(group: Group, eyes: Mapping[str, Eye], plane: Plane | None) -> SightedPosition:
    """Fit one moment by itself, and say how well its sightings agree."""
    stations = tuple(dict.fromkeys(look.eye for look in group.looks))
    bare = SightedPosition(
        of=group.of,
        moment=group.moment,
        time=group.time,
        stations=stations,
        position=None,
        covariance=None,
        miss=None,
        miss_open=None,
        chance=None,
        agrees=None,
        how="",
        says="",
    )
    if _needs_no_plane(group):
        return _of_stations(bare, group, eyes)
    if plane is None:
        return replace(bare, how="too few angles", says=_too_little(group))
    source = "one station" if len(stations) == 1 else "elevations"
    how = f"{source} and the plane of the flight"
    fit = _fitted(group, eyes, plane)
    if fit is None or not fit.determined[0]:
        return replace(bare, how=how, says="the sighting and the plane of the flight do not cut")
    covariance = fit.covariance_of(0)
    if sqrt(float(covariance[2, 2])) > TELLS * max(abs(float(fit.places[0, 2])), 1.0):
        says = "the line of sight lies so nearly in the plane of the flight that they tell nothing"
        return replace(bare, how=how, says=says)
    says = "by the upright plane through pad and landing, which is supposed, not seen"
    return replace(bare, position=fit.places[0], covariance=covariance, how=how, says=says)


def _too_little(group: Group) -> str:
    if any(look.bearing is not None for look in group.looks):
        return "from one station it may be anywhere along its line: a second one is needed"
    return "elevations alone tell no place: take bearings too, from two stations"


def _fitted(group: Group, eyes: Mapping[str, Eye], plane: Plane | None) -> Solution | None:
    """Fit from the best of several beginnings; angles may have more than one solution."""
    fits = [fit_places([group], eyes, start[None], plane) for start in _starts(group, eyes)]
    good = [fit for fit in fits if np.isfinite(fit.chi_square)]
    return min(good, key=lambda fit: fit.chi_square) if good else None


def _starts(group: Group, eyes: Mapping[str, Eye]) -> list[Floats]:
    """Return where a fit may begin: where lines pass each other, along each, and over the pad."""
    lines = _lines(group, eyes)
    found = []
    for number, one in enumerate(lines):
        for other in lines[number + 1 :]:
            try:
                found.append(np.array(between_lines(*one, *other)[:3]))
            except ValueError:
                continue  # parallel lines begin nowhere
        reach = max(np.hypot(one[0][0], one[0][1]), 10.0)
        found.append(np.array(one[0]) + 1.5 * reach * np.array(one[1]))
    reach = max((np.hypot(*eyes[look.eye].place[:2]) for look in group.looks), default=50.0)
    return [*found, np.array([0.0, 0.0, max(float(reach), 10.0)])]


Line = tuple[tuple[float, float, float], tuple[float, float, float]]


def _lines(group: Group, eyes: Mapping[str, Eye]) -> list[Line]:
    return [
        (
            eyes[look.eye].place,
            sight_direction(look.bearing - eyes[look.eye].zero, look.elevation),
        )
        for look in group.looks
        if look.bearing is not None
    ]


def _of_stations(bare: SightedPosition, group: Group, eyes: Mapping[str, Eye]) -> SightedPosition:
    count = len(bare.stations)
    how = "two stations" if count == 2 else f"{count} stations"
    fit = _fitted(group, eyes, None)
    miss, miss_open, behind = _missed(group, eyes)
    if behind:
        return replace(bare, agrees=False, how=how, says=BEHIND)
    if fit is None or not fit.determined[0]:
        return replace(bare, how=how, says="the lines of sight are too nearly parallel to cut")
    chance = _chance(fit.chi_square, fit.freedom)
    agrees = None if fit.freedom <= 0 else chance >= LIKELY
    found = replace(
        bare,
        position=fit.places[0],
        covariance=fit.covariance_of(0),
        miss=miss,
        miss_open=miss_open,
        chance=chance,
        agrees=agrees,
        how=how,
    )
    return replace(found, says=_agreement(found))


def _chance(chi_square: float, freedom: int) -> float:
    if freedom <= 0:
        return 1.0
    if freedom == 1:
        return erfc(sqrt(0.5 * max(chi_square, 0.0)))
    from scipy.special import chdtrc

    return float(chdtrc(freedom, chi_square))


def _missed(group: Group, eyes: Mapping[str, Eye]) -> tuple[float | None, float | None, bool]:
    """Return by how far two lines pass, how far they may, and whether they meet behind an eye."""
    looks = [look for look in group.looks if look.bearing is not None]
    if len(looks) != 2 or len(group.looks) != 2:
        return None, None, False
    lines = _lines(group, eyes)
    try:
        *_, miss, first, second = between_lines(*lines[0], *lines[1])
    except ValueError:
        return None, None, False
    values, covariance = _angles(looks, eyes)
    _, spread = propagate(_signed_miss, values, covariance)
    return miss, WIDE * sqrt(float(spread[0, 0])), min(first, second) < 0.0


def _angles(looks: Sequence[Look], eyes: Mapping[str, Eye]) -> tuple[Floats, Floats]:
    """Return place, bearing and elevation of two looks, ten numbers, with their covariance.

    A compass's zero goes into the bearing: each of the two has its own.
    """
    values, sds = [], []
    for look in looks:
        eye = eyes[look.eye]
        assert look.bearing is not None
        values += [*eye.place, look.bearing - eye.zero, look.elevation]
        sds += [*eye.place_sd, hypot(look.bearing_sd, eye.zero_sd), look.elevation_sd]
    return np.array(values), np.diag(np.square(sds))


def _signed_miss(given: Floats) -> list[float]:
    """Return the miss with a sign, by which side the second line passes on."""
    one, other = given[:3], given[5:8]
    across = np.cross(
        sight_direction(float(given[3]), float(given[4])),
        sight_direction(float(given[8]), float(given[9])),
    )
    return [float((other - one) @ across) / float(np.linalg.norm(across))]


def _agreement(found: SightedPosition) -> str:
    if found.agrees is None:
        return "nothing is told twice, so the angles cannot be checked against each other"
    if found.agrees:
        return "the lines of sight meet as nearly as their uncertainties let them"
    return (
        "the lines of sight do not meet: one of the angles is wrong, or less sure than was said; "
        "nothing is to be taken from this place"
    )


def height_checks(
    places: Sequence[SightedPosition], log: Reconstruction, *, system: str = "metric"
) -> tuple[LawCheck, ...]:
    """Hold the height of every sighted place of the vehicle against the log's at that moment.

    They agree within two standard deviations of both together, what the body moves within the
    doubt of the moment included. What rides along is where the vehicle is until its release.
    ``system`` is that of the units in the words.
    """
    release = log.event("release")
    gone = release.time.value if release else np.inf
    found = []
    for each in places:
        rides = each.of == "vehicle" or (each.time is not None and each.time.value <= gone)
        if rides and each.position is not None:
            found.append(_height_check(each, log, system))
    return tuple(found)


def _height_check(place: SightedPosition, log: Reconstruction, system: str) -> LawCheck:
    assert place.position is not None
    assert place.height_sd is not None
    name = f"height of {place.moment or 'the sighting'} from {' and '.join(place.stations)}"
    high, high_sd = float(place.position[2]), place.height_sd
    curve = log.curve
    if place.agrees is False:
        return LawCheck(name, None, "the sightings do not agree with each other")
    if place.time is None or not len(curve.time):
        return LawCheck(name, None, "no clock ties the sighting to the log")
    at, doubt = place.time.value, place.time.sd
    if not curve.time[0] <= at <= curve.time[-1]:
        return LawCheck(name, None, "the log does not reach to that moment")
    by_log, sd, before, after = (
        float(np.interp(moment, curve.time, column))
        for moment, column in (
            (at, curve.height),
            (at, curve.height_sd),
            (at - doubt, curve.height),
            (at + doubt, curve.height),
        )
    )
    both = hypot(high_sd, hypot(sd, 0.5 * (after - before)))
    apart = high - by_log
    seen, logged, between, left = (
        str(format_quantity(length, "length", system))
        for length in (high, by_log, abs(apart), WIDE * both)
    )
    return LawCheck(
        name,
        abs(apart) <= WIDE * both,
        f"{seen} seen, {logged} by the log: {between} apart, where both together leave {left} open",
    )
