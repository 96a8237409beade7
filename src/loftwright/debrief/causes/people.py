"""What people saw, heard, timed and paced, as evidence: chances of what they say, and numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, hypot

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flight_record import FlightRecord, Landed, Saw
from loftwright.flight.draws import generator
from loftwright.flight.figures import prefix_of
from loftwright.physics.geodesy import ground_offset

__all__ = ["Measured", "Said", "measured_of", "said_of"]

Floats = NDArray[np.float64]
Columns = Mapping[str, Floats]

OUTCOME_SURE = 0.98  # that a flight which is called a failure was not as wanted (judgement)
REACTION = 0.15  # s, of a thumb on a watch, where no spread is given (judgement)
PACED = 0.05  # of a paced distance, where no spread is given (judgement)
COMPASS = 0.17  # rad, of a bearing by eye, where no spread is given (judgement)
FIX = 5.0  # m, of coordinates, where no spread is given (judgement)
# Whether somebody calls a canopy open that bears only a share of its drag: a bundle seldom, a
# tangle mostly (judgement).
SHARE, CALLED_OPEN = (0.0, 0.06, 0.5, 1.0), (0.05, 0.15, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class Said:
    """Something that was said to have happened, or not; ``sure`` is the chance that it is so."""

    what: str  # of the words of the flight record, or "as wanted"
    of: str
    happened: bool
    sure: float
    heard: bool = False

    def is_known(self, truth: Columns) -> bool:
        """Tell whether the truth says anything about it."""
        return self.what == "as wanted" or moment(self.what, self.of) in truth

    def chance(self, truth: Columns) -> Floats:
        """How likely it is said in each flight, (n,)."""
        shown = seen_chance(self.what, self.of, truth)
        true = shown if self.happened else 1.0 - shown
        return true * self.sure + (1.0 - true) * (1.0 - self.sure)


def seen_chance(what: str, of: str, truth: Columns) -> Floats:
    """Chance that somebody who looks sees something happen in each flight, (n,)."""
    if what == "as wanted":
        return truth["good"].astype(float)
    happened = np.isfinite(truth[moment(what, of)]).astype(float)
    if what == "canopy open":
        happened *= np.interp(truth["canopy_share"], SHARE, CALLED_OPEN)
    return happened


def moment(what: str, of: str) -> str:
    """Name the column of the truth that tells when something happened."""
    if what == "release":
        return f"{prefix_of('payload' if of == 'vehicle' else of)}release_time_s"
    if what == "touchdown":
        return f"touchdown_{of}_time_s"
    return {
        "liftoff": "liftoff_s",
        "water out": "water_out_s",
        "apogee": "apogee_time_s",
        "canopy open": "canopy_open_s",
        "beep": "beep_s",
    }[what]


@dataclass(frozen=True, slots=True)
class Measured:
    """Numbers that people took, one or two a thing.

    ``kind`` is "time" (from ``begin`` to ``end``, columns of the truth) or "place" (``end`` is the
    body). ``values`` and ``sds`` are s; or distance [m] and bearing [rad], the bearing's left out
    where nobody took one.
    """

    name: str
    kind: str
    begin: str
    end: str
    values: tuple[float, ...]
    sds: tuple[float, ...]

    def names(self) -> tuple[str, ...]:
        """Names of its features."""
        return (
            (self.name,) if self.kind == "time" else (f"{self.name}: east", f"{self.name}: north")
        )

    def told(self) -> dict[str, float]:
        """Its features as they were taken."""
        if self.kind == "time":
            return {self.name: self.values[0]}
        if len(self.values) == 1:
            return {f"{self.name}: east": self.values[0], f"{self.name}: north": np.nan}
        distance, bearing = self.values
        east, north = distance * np.sin(bearing), distance * np.cos(bearing)
        return dict(zip(self.names(), (east, north), strict=True))

    def simulated(self, truth: Columns, seed: int) -> dict[str, Floats]:
        """Its features as somebody would have taken them in each flight, (n,) each."""
        count = len(truth["liftoff_s"])
        noise = generator(seed, f"people/{self.name}", 0).standard_normal((2, count))
        if self.kind == "time":
            taken = truth[self.end] - truth[self.begin] + self.sds[0] * noise[0]
            return {self.name: taken}
        east, north = (truth[f"touchdown_{self.end}_{axis}_m"] for axis in ("east", "north"))
        distance = np.hypot(east, north) + self.sds[0] * noise[0]
        if len(self.values) == 1:
            return {f"{self.name}: east": distance, f"{self.name}: north": np.full(count, np.nan)}
        bearing = np.arctan2(east, north) + self.sds[1] * noise[1]
        taken_at = distance * np.sin(bearing), distance * np.cos(bearing)
        return dict(zip(self.names(), taken_at, strict=True))


def said_of(record: FlightRecord, known: Columns) -> tuple[Said, ...]:
    """Return what was said of a flight; ``known`` are the columns of its simulated truth."""
    found = []
    if record.outcome != "not judged":
        found.append(Said("as wanted", "", record.outcome == "success", OUTCOME_SURE))
    for saw in record.saw:
        if saw.what in ("liftoff", "water out") or moment(saw.what, saw.of) not in known:
            continue
        sure = min(saw.sure.value, 0.995)  # nobody is never wrong
        found.append(Said(saw.what, saw.of, saw.happened == "yes", sure, saw.how == "heard"))
    return tuple(found)


def measured_of(record: FlightRecord, campaign: Campaign, known: Columns) -> tuple[Measured, ...]:
    """Return the numbers that people took of a flight."""
    found = [*_watched(record, known), *_clocked(record, known)]
    for landed in record.landed:
        if f"touchdown_{landed.of}_east_m" in known:
            values, sds = _place(landed, campaign)
            if values:
                found.append(Measured(f"{landed.of} lies", "place", "", landed.of, values, sds))
    return tuple(found)


def _watched(record: FlightRecord, known: Columns) -> list[Measured]:
    found = []
    for number, watch in enumerate(record.stopwatch, start=1):
        begin, end = moment(watch.begin, watch.of), moment(watch.end, watch.of)
        if begin in known and end in known:
            name = f"stopwatch {number}: {watch.begin} to {watch.end} of {watch.of}"
            sd = watch.time.sd or REACTION
            found.append(Measured(name, "time", begin, end, (watch.time.value,), (sd,)))
    return found


def _clocked(record: FlightRecord, known: Columns) -> list[Measured]:
    """Times by a clock that also tells when the vehicle lifted off."""
    zero: dict[str, Saw] = {
        saw.clock: saw for saw in record.saw if saw.what == "liftoff" and saw.at is not None
    }
    found = []
    for number, saw in enumerate(record.saw, start=1):
        began = zero.get(saw.clock)
        if saw.at is None or began is None or saw is began or saw.happened == "no":
            continue
        end = moment(saw.what, saw.of)
        if end not in known:
            continue
        assert began.at is not None
        sd = hypot(saw.at.sd or REACTION, began.at.sd or REACTION)
        name = f"clock {number}: {saw.what} of {saw.of}"
        value = saw.at.value - began.at.value
        found.append(Measured(name, "time", "liftoff_s", end, (value,), (sd,)))
    return found


def _place(landed: Landed, campaign: Campaign) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return distance and bearing of a landing place, with their spreads."""
    if landed.distance is not None:
        sd = landed.distance.sd or max(1.0, PACED * landed.distance.value)
        if landed.bearing is None:
            return (landed.distance.value,), (sd,)
        return (
            (landed.distance.value, landed.bearing.value),
            (sd, landed.bearing.sd or COMPASS),
        )
    place = campaign.site.place
    if landed.latitude is None or landed.longitude is None:
        return (), ()
    east, north, _ = ground_offset(
        landed.latitude.value,
        landed.longitude.value,
        0.0,
        place.latitude.value,
        place.longitude.value,
        0.0,
    )
    distance = hypot(east, north)
    return (distance, atan2(east, north)), (FIX, FIX / max(distance, FIX))
