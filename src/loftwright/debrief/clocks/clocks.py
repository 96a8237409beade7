"""What a flight's record and its logs tell of when things happened, put on one clock."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot, isfinite, sqrt

import numpy as np

from loftwright.debrief.clocks.by_hand import FRAME_SD, PRESS_SD, sd_of
from loftwright.debrief.clocks.results import ClockPrior, Clocks, Moment, Telling
from loftwright.debrief.clocks.solver import solve_clocks
from loftwright.debrief.results import Reconstruction
from loftwright.documents.flight_record import FlightRecord, Saw, Stopwatch
from loftwright.physics.sound_travel import sound_delay

__all__ = ["clocks_of", "moment_of", "stopwatch_clock", "tellings_of"]

WATCH = "watch"  # a clock that everybody has one of
INSTRUMENTS = ("log", "film", "sound", "phone", "camera")  # clocks that are read off later
LEAST_SD = 1e-3  # s; no record is read closer
# A frame rate that a film is said to have, such as 30 for 29.97, is off by so much.
FILM = ClockPrior(1e-3)
STANDARD_DAY, DAY_SD = 288.15, 10.0  # K, where nobody measured
AWAY, AWAY_SD = 20.0, 15.0  # m from the pad, of who hears (common practice, no source)


def clocks_of(record: FlightRecord, reconstructions: Sequence[Reconstruction]) -> Clocks:
    """Put everything that a flight's record tells on the clock of its first log.

    Parameters
    ----------
    record : FlightRecord
        What people saw, heard and stopped, and which files go by which clock.
    reconstructions : sequence of Reconstruction
        Of its logs; the first one's second counts.

    Returns
    -------
    Clocks
    """
    tellings = list(tellings_of(record, reconstructions))
    reference = _log_clock(record, reconstructions[0].log) if reconstructions else None
    film = {each.clock or each.file for each in record.evidence if each.kind == "film"}
    named = {each.clock for each in tellings}
    priors = {clock: FILM for clock in named if clock == "film" or clock in film}
    return solve_clocks(tellings, priors, reference=reference)


def tellings_of(
    record: FlightRecord, reconstructions: Sequence[Reconstruction]
) -> Iterator[Telling]:
    """Yield what is told: by logs, by people and films, by stopwatches.

    What was heard is told when it was made: the way of the sound is taken off, from where the body
    was by the first log to where its hearer stood. That is where the same person took sightings,
    else near the pad.
    """
    for log in reconstructions:
        yield from _of_log(log, _log_clock(record, log.log))
    ears = _Ears(record, reconstructions[0] if reconstructions else None)
    for saw in record.saw:
        if saw.at is not None and saw.happened == "yes":
            yield _of_person(record, saw, ears)
    for number, watch in enumerate(record.stopwatch):
        yield from _of_stopwatch(number, watch)


def moment_of(event: str, of: str) -> Moment:
    """Return a moment under one name: what is carried lifts off with the vehicle.

    The vehicle's release is that of the first payload.
    """
    if event == "release":
        return event, "payload" if of == "vehicle" else of
    if event in ("liftoff", "water out", "beep"):
        return event, "vehicle"
    return event, of


def stopwatch_clock(number: int, watch: Stopwatch) -> str:
    """Name the clock that a stopwatch is: each stopped time is one of its own."""
    return f"stopwatch {number + 1}" + (f" of {watch.by}" if watch.by else "")


def _log_clock(record: FlightRecord, log: str) -> str:
    """Return the clock of a log: as the record says, else it is its own."""
    named = (each.clock for each in record.evidence if each.file == log)
    return next(named, None) or log


def _of_log(log: Reconstruction, clock: str) -> Iterator[Telling]:
    if not isfinite(log.liftoff_s):  # nothing is seen in it
        return
    kinds = {event.kind for event in log.events}
    if "liftoff" not in kinds:
        yield Telling(clock, "liftoff", "vehicle", log.liftoff_s, LEAST_SD)
    for event in log.events:
        if event.commanded:
            continue
        time = log.liftoff_s + event.time.value
        yield Telling(clock, *moment_of(event.kind, "vehicle"), time, max(event.time.sd, LEAST_SD))


def _person_clock(saw: Saw) -> str:
    """Return whose clock it is: a watch is that of who tells it."""
    return f"{WATCH} of {saw.by}" if saw.clock == WATCH and saw.by else saw.clock


def _is_read_later(record: FlightRecord, clock: str) -> bool:
    """Whether a clock is that of a file, whose moments are found afterwards, frame by frame."""
    files = {name for each in record.evidence for name in (each.clock, each.file) if name}
    return clock in files or clock in INSTRUMENTS


def _of_person(record: FlightRecord, saw: Saw, ears: _Ears) -> Telling:
    assert saw.at is not None
    supposed = FRAME_SD if _is_read_later(record, saw.clock) else PRESS_SD
    late, late_sd = ears.delay(saw) if saw.how == "heard" else (0.0, 0.0)
    return Telling(
        _person_clock(saw),
        *moment_of(saw.what, saw.of),
        saw.at.value - late,
        max(hypot(sd_of(saw.at, supposed), late_sd), LEAST_SD),
        saw.sure.value,
    )


def _of_stopwatch(number: int, watch: Stopwatch) -> Iterator[Telling]:
    clock = stopwatch_clock(number, watch)
    sd = sd_of(watch.time, sqrt(2.0) * PRESS_SD) / sqrt(2.0)  # one press of two
    yield Telling(clock, *moment_of(watch.begin, watch.of), 0.0, sd)
    yield Telling(clock, *moment_of(watch.end, watch.of), watch.time.value, sd)


@dataclass(frozen=True, slots=True)
class _Ears:
    """How late things are heard."""

    record: FlightRecord
    log: Reconstruction | None

    def delay(self, saw: Saw) -> tuple[float, float]:
        """Return by how much something was heard late, and how sure that is, s."""
        distance, sd = self._distance(saw)
        told = self.record.conditions.temperature if self.record.conditions else None
        warmth, warmth_sd = (told.value, told.sd) if told else (STANDARD_DAY, DAY_SD)
        late = sound_delay(distance, warmth)
        # The delay goes with one over the root of the temperature.
        return late, hypot(sound_delay(sd, warmth), late * 0.5 * warmth_sd / warmth)

    def _distance(self, saw: Saw) -> tuple[float, float]:
        height, height_sd = self._height(saw)
        stations = {each.station for each in self.record.sighting if each.by and each.by == saw.by}
        place = [each for each in self.record.station if each.name in stations]
        if len(place) == 1:
            level = hypot(place[0].east.value, place[0].north.value)
            level_sd = max(place[0].east.sd, place[0].north.sd, AWAY_SD)  # the body drifts too
        else:
            level, level_sd = AWAY, AWAY_SD
        distance = hypot(level, height)
        if distance <= 0.0:
            return 0.0, level_sd
        return distance, hypot(level * level_sd, height * height_sd) / distance

    def _height(self, saw: Saw) -> tuple[float, float]:
        """Return how high the body was, by the log; on the ground where it does not tell."""
        if self.log is None or saw.what in ("liftoff", "touchdown", "beep"):
            return 0.0, 0.0
        event = self.log.event(saw.what)
        if event is None:
            top = self.log.apogee.value if self.log.apogee else 0.0
            return 0.5 * top, 0.5 * top
        curve, at = self.log.curve, event.time.value
        height, sd = (
            np.interp(at, curve.time, column) for column in (curve.height, curve.height_sd)
        )
        return float(height), float(sd)
