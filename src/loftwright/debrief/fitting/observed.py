"""What of a recorded flight counts for a fit: numbers measured, each with how sure it is."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import pi

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.moments import Moments, moments_of, named
from loftwright.debrief.fitting.sensor import Barometer, barometer_of
from loftwright.debrief.fitting.windows import (
    Ascent,
    Descent,
    Heights,
    ascent_of,
    descent_of,
    heights_of,
    standing_alone,
    top_of,
)
from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.flatten import flatten
from loftwright.documents.flight_record import FlightRecord, Landed
from loftwright.evidence.flight_log import FlightLog
from loftwright.flight.carried import riders
from loftwright.physics.geodesy import ground_offset
from loftwright.rehearsal.recorded import pressure_truth

__all__ = ["FitInput", "Observed", "Told", "observe"]

Floats = NDArray[np.float64]

NOT_YET_TOP = 0.3  # s before its end within which a record's highest reading may not be the top
BEFORE = 0.06  # s that an ascent ends before something leaves, for its moment is not that sure
REACTION = 0.2  # s, of a hand on a watch (common practice, no source)
PACED = 3.0  # m, and ...
PACED_SHARE = 0.05  # ... of a distance that was stepped off, where nothing is said
AIMED = 0.15  # rad, of a bearing from the pad, where nothing is said
PLACED = 5.0  # m, of a place by its coordinates, where nothing is said
# Between which moments of the vehicle a watch counts: figure at the end less figure at the start.
LEAST_STEP = {"pressure_pa": 1.0, "height_m": 0.1}  # noise that any reading may have
WATCHED = ("liftoff", "water out", "apogee", "touchdown")


@dataclass(frozen=True, slots=True)
class FitInput:
    """A flight to learn from: the documents as flown, and what it left behind.

    ``controller`` names the one whose barometer wrote the log; the first of the avionics where
    it is None. ``liftoff_s`` is first motion by the log's clock, found in the log where None.
    """

    name: str
    campaign: Campaign
    record: FlightRecord
    log: FlightLog | None = None
    controller: str | None = None
    liftoff_s: float | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """A number that somebody measured: a time on a watch [s], or a place where it landed [m].

    A place counts along a direction, ``angle`` clockwise from north [rad].
    """

    kind: str  # "watch" or "place"
    value: float
    sd: float
    begin: str = ""
    end: str = ""
    angle: float = 0.0


@dataclass(frozen=True, slots=True)
class Observed:
    """All that counts of a flight, in the order ascent, descent, told."""

    given: FitInput
    barometer: Barometer
    moments: Moments
    ascent: Ascent | None
    descent: Descent | None
    told: tuple[Told, ...]
    used: tuple[str, ...]
    warnings: tuple[str, ...]
    sampling: float = 0.02  # s, of the log: how unsure first motion is at least
    spikes: int = 0
    sha256: str = field(default="")

    @property
    def measured(self) -> Floats:
        """The numbers, (k,)."""
        parts = [] if self.ascent is None else [self.ascent.heights]
        if self.descent is not None:
            parts.append(np.array([self.descent.rate]))
        parts.append(np.array([each.value for each in self.told]))
        found: Floats = np.concatenate(parts) if parts else np.empty(0)
        return found


def observe(given: FitInput) -> Observed:
    """Choose what of a flight counts.

    Raises ``ProblemError`` where the log shows no liftoff.
    """
    barometer = barometer_of(given.campaign, given.controller)
    if given.log is None:
        moments = moments_of(given.campaign, given.record, None, 0.0)
        told, words = _told(given, moments)
        nothing = () if told else ("nothing was measured in this flight that a fit can use",)
        return Observed(given, barometer, moments, None, None, told, words, nothing)
    return _with_log(given, given.log, barometer)


def _with_log(given: FitInput, log: FlightLog, barometer: Barometer) -> Observed:
    log, spikes = _without_spikes(log)
    truth = pressure_truth(log, liftoff_s=given.liftoff_s)
    heights = heights_of(truth)
    spikes += heights.spikes
    moments = moments_of(given.campaign, given.record, log, truth.liftoff_s)
    top, _ = top_of(heights)
    end, why = _end(given.campaign, moments, top, float(heights.time[-1]))
    values, _, _ = flatten(given.campaign)
    jitter = values.get(barometer.jitter_path, 0.0)
    ascent = ascent_of(heights, end, top, jitter)
    used, warnings = [], []
    if ascent is None:
        warnings.append("the record shows too little of the ascent to learn from it")
    else:
        used.append(f"ascent to {end:.2f} s, {why}, as {len(ascent.heights)} means of readings")
    descent, said = _descent(given.campaign, moments, heights, top)
    used += [said] if descent is not None else []
    warnings += [said] if descent is None and said else []
    if spikes:
        used.append(f"{spikes} readings that stand alone were left out")
    used += moments.words
    used.append(
        f"read through the barometer of {barometer.name}, as its documents describe it"
        if barometer.name
        else "the recorder is not described: it is taken to read the pressure outside without lag"
    )
    told, words = _told(given, moments)
    return Observed(
        given, barometer, moments, ascent, descent, told, (*used, *words), tuple(warnings),
        float(np.median(np.diff(truth.time_s))), spikes, log.sha256,
    )  # fmt: skip


def _without_spikes(log: FlightLog) -> tuple[FlightLog, int]:
    """Return a log without readings that stand alone, which would hide its liftoff; how many."""
    name = "height_m" if log.pressure_pa is None else "pressure_pa"
    values = getattr(log, name)
    there = np.isfinite(values)
    alone = standing_alone(values[there], LEAST_STEP[name])
    if not alone.any():
        return log, 0
    cleaned = values.copy()
    cleaned[np.flatnonzero(there)[alone]] = np.nan
    return replace(log, **{name: cleaned}), int(alone.sum())


def _end(campaign: Campaign, moments: Moments, top: float, last: float) -> tuple[float, str]:
    """When the ascent stops to be that of the vehicle as described, and why.

    ``top`` is when the record is highest, ``last`` when it ends.
    """
    _, _, words = flatten(campaign)
    end, why = top, "the apogee" if top < last - NOT_YET_TOP else "where the record ends"
    for thing in (*riders(words, "vehicle"), "canopy"):
        moment = moments.of(thing)
        if moment is not None and moment - BEFORE < end:
            end = moment - BEFORE
            why = "before the canopy opened" if thing == "canopy" else f"before {named(thing)} left"
    return end, why


def _descent(
    campaign: Campaign, moments: Moments, heights: Heights, top: float
) -> tuple[Descent | None, str]:
    """Return the steady way down, and what is to be said of it."""
    canopy = campaign.vehicle.canopy
    if canopy is None:
        return None, ""
    opened = moments.of("canopy")
    if "canopy" in moments.failed:
        return None, "the canopy did not open: the way down says nothing of it"
    if opened is not None and np.isnan(opened):
        return None, "the program opened no canopy within the record: the way down does not count"
    opened = top + canopy.delay.value if opened is None else opened + canopy.delay.value
    found = descent_of(heights, max(opened, top))
    if found is None:
        return None, "no part of the way down is steady: it was not held against the canopy"
    return found, f"descent from {found.begin:.1f} s to {found.end:.1f} s, as one mean rate"


def _told(given: FitInput, moments: Moments) -> tuple[tuple[Told, ...], tuple[str, ...]]:
    """Return what watches and places say, and what of it counts in words."""
    told: list[Told] = []
    words = []
    no_canopy = "canopy" in moments.failed
    for watch in given.record.stopwatch:
        known = watch.of == "vehicle" and {watch.begin, watch.end} <= set(WATCHED)
        if not known or (no_canopy and "touchdown" in (watch.begin, watch.end)):
            continue
        sd = float(np.hypot(watch.time.sd, REACTION))
        told.append(Told("watch", watch.time.value, sd, watch.begin, watch.end))
        words.append(f"stopwatch from {watch.begin} to {watch.end}")
    for landed in given.record.landed:
        if landed.of == "vehicle" and not no_canopy:
            told += _place(landed, given.campaign)
            words.append("where the vehicle landed")
        elif landed.of in PAYLOADS:
            words.append(
                f"where the {landed.of} landed did not count: only the vehicle is flown here"
            )
    return tuple(told), tuple(words)


def _place(landed: Landed, campaign: Campaign) -> list[Told]:
    """Return a landing place along two directions square to each other, independent of another."""
    if landed.latitude is not None and landed.longitude is not None:
        place = campaign.site.place
        pad = place.latitude.value, place.longitude.value, place.elevation.value
        there = landed.latitude.value, landed.longitude.value, place.elevation.value
        east, north, _ = ground_offset(*there, *pad)
        return [
            Told("place", value=east, sd=PLACED, angle=0.5 * pi),
            Told("place", value=north, sd=PLACED, angle=0.0),
        ]
    if landed.distance is None or landed.bearing is None:
        return []
    distance, bearing = landed.distance.value, landed.bearing.value
    along = landed.distance.sd or float(np.hypot(PACED, PACED_SHARE * distance))
    across = max((landed.bearing.sd or AIMED) * distance, 1.0)
    return [
        Told("place", value=distance, sd=along, angle=bearing),
        Told("place", value=0.0, sd=across, angle=bearing + 0.5 * pi),
    ]
