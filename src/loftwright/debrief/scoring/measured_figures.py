"""The figures of a flight that its record shows, under the names that forecasts give them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import hypot, sqrt

import numpy as np

from loftwright.debrief.clocks.by_hand import PRESS_SD, sd_of
from loftwright.debrief.clocks.results import Clocks
from loftwright.debrief.results import Estimate, Reconstruction
from loftwright.debrief.scoring.landing_places import LandingPlace, Pad, landing_places
from loftwright.documents.flight_record import BODIES, FlightRecord, Stopwatch

__all__ = ["EVENT_FIGURES", "FIGURES", "estimate", "measured_figures"]

# What a figure is called in a sentence, in the order in which figures are shown.
FIGURES = {
    "apogee_m": "apogee",
    "apogee_time_s": "time of the apogee",
    "max_climb_m_s": "largest climb",
    "water_out_s": "end of the water",
    "release_time_s": "time of the release",
    "release_height_m": "height of the release",
    "release_climb_m_s": "climb at the release",
    "canopy_open_s": "opening of the canopy",
    "canopy_open_height_m": "height at which the canopy opens",
    "canopy_rate_m_s": "rate of descent under canopy",
    "touchdown_vehicle_time_s": "landing time",
    "touchdown_payload_time_s": "payload's landing time",
    "time_aloft_s": "payload's time aloft",
}
PLACES = {
    "distance_m": "distance from the pad",
    "east_m": "landing place, east",
    "north_m": "landing place, north",
}
FIGURES |= {
    f"touchdown_{body}_{key}": f"{body}'s {words}"
    for body in BODIES
    for key, words in PLACES.items()
}
EVENT_FIGURES = {
    "water out": "water_out_s",
    "release": "release_time_s",
    "canopy open": "canopy_open_s",
    "touchdown": "touchdown_vehicle_time_s",
}
# Moments that several sources tell together, where the log does not.
MOMENT_FIGURES = {
    ("water out", "vehicle"): "water_out_s",
    ("release", "payload"): "release_time_s",
    ("apogee", "vehicle"): "apogee_time_s",
    ("canopy open", "vehicle"): "canopy_open_s",
    ("touchdown", "vehicle"): "touchdown_vehicle_time_s",
    ("touchdown", "payload"): "touchdown_payload_time_s",
}
# What is scored of the curve at a moment, besides the moment: heights and climbs.
HEIGHTS = {"release": "release_height_m", "canopy open": "canopy_open_height_m"}
CLIMBS = {"release": "release_climb_m_s"}
NINE_IN_TEN = 1.6448536  # standard deviations to either side


def estimate(value: float, sd: float) -> Estimate:
    """Return an estimate with a normal 90 % interval."""
    return Estimate(value, sd, value - NINE_IN_TEN * sd, value + NINE_IN_TEN * sd)


def measured_figures(
    reconstruction: Reconstruction, record: FlightRecord, pad: Pad, clocks: Clocks | None = None
) -> dict[str, Estimate]:
    """Return what a log, watches and paces show of a flight, by figure, SI.

    What people and films tell counts where the log tells nothing, never instead of it: on the one
    clock of ``clocks`` if that is given, then as it was stopped by hand. Names that are not in the
    result are not shown by this record.
    """
    found: dict[str, Estimate] = {}
    told = () if clocks is None else _of_moments(reconstruction, clocks)
    for name, value in (*_of_log(reconstruction), *told, *_of_watches(record)):
        found.setdefault(name, value)
    found |= _of_landings(landing_places(record.landed, pad))
    return {name: found[name] for name in FIGURES if name in found}


def _of_log(log: Reconstruction) -> Iterator[tuple[str, Estimate]]:
    for name, value in (
        ("apogee_m", log.apogee),
        ("apogee_time_s", log.apogee_time),
        ("max_climb_m_s", log.max_climb),
    ):
        if value is not None:
            yield name, value
    for event in log.events:
        if event.commanded:  # what was told to happen may happen later, or never
            continue
        if event.kind in EVENT_FIGURES:
            yield EVENT_FIGURES[event.kind], event.time
        yield from _on_the_way(log, event.kind, event.time)
    canopy = [each for each in log.descents if each.phase == "under canopy"]
    if canopy:
        yield "canopy_rate_m_s", max(canopy, key=lambda each: each.end_s - each.begin_s).rate_m_s


def _on_the_way(log: Reconstruction, kind: str, time: Estimate) -> Iterator[tuple[str, Estimate]]:
    """Yield where the vehicle was at a moment, and how fast it climbed, as far as that counts."""
    for names, read in ((HEIGHTS, _height), (CLIMBS, _climb)):
        at = read(log, time) if kind in names else None
        if at is not None:
            yield names[kind], at


def _height(log: Reconstruction, at: Estimate) -> Estimate | None:
    curve = log.curve
    return _on_curve(log, at, lambda t: np.interp(t, curve.time, curve.height),
                     lambda t: np.interp(t, curve.time, curve.height_sd))  # fmt: skip


def _climb(log: Reconstruction, at: Estimate) -> Estimate | None:
    curve = log.curve
    return _on_curve(log, at, lambda t: np.interp(t, curve.time, curve.climb),
                     lambda t: np.interp(t, curve.time, curve.climb_sd))  # fmt: skip


def _on_curve(
    log: Reconstruction,
    at: Estimate,
    read: Callable[[float], float],
    spread: Callable[[float], float],
) -> Estimate | None:
    """Read a curve at a moment that is not sure itself."""
    time = log.curve.time
    if not len(time) or not time[0] <= at.value <= time[-1]:
        return None
    moved = 0.5 * (read(at.value + at.sd) - read(at.value - at.sd))
    return estimate(float(read(at.value)), hypot(float(spread(at.value)), float(moved)))


def _of_moments(log: Reconstruction, clocks: Clocks) -> Iterator[tuple[str, Estimate]]:
    for moment, name in MOMENT_FIGURES.items():
        if moment in clocks.moments:
            time = clocks.moments[moment]
            yield name, time
            yield from _on_the_way(log, moment[0], time)


def _of_watches(record: FlightRecord) -> Iterator[tuple[str, Estimate]]:
    for watch in record.stopwatch:
        name = _told_by(watch)
        if name is not None:
            sd = sd_of(watch.time, sqrt(2.0) * PRESS_SD)
            yield name, estimate(watch.time.value, sd)


def _told_by(watch: Stopwatch) -> str | None:
    """Return the figure that a stopped time is, if it is one."""
    if watch.of == "vehicle" and watch.begin == "liftoff":
        return {**EVENT_FIGURES, "apogee": "apogee_time_s"}.get(watch.end)
    if watch.of == "payload" and (watch.begin, watch.end) == ("release", "touchdown"):
        return "time_aloft_s"
    return None


def _of_landings(places: tuple[LandingPlace, ...]) -> dict[str, Estimate]:
    """Return places as figures: both ways where a place is known, else how far."""
    found: dict[str, Estimate] = {}
    for each in places:
        begin = f"touchdown_{each.of}_"
        if each.place is None or each.covariance is None:
            found[f"{begin}distance_m"] = estimate(each.distance, each.distance_sd)
            continue
        for axis, name in enumerate(("east_m", "north_m")):
            sd = sqrt(float(each.covariance[axis, axis]))
            found[begin + name] = estimate(float(each.place[axis]), sd)
    return found
