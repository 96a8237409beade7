"""What a debrief hands on: the flight as it must have been, in SI, time zero at first motion."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Artefact",
    "Curve",
    "Descent",
    "Estimate",
    "FlightEvent",
    "LawCheck",
    "Missing",
    "Reconstruction",
]

Floats = NDArray[np.float64]
FAILED = ("dropout", "out of range", "frozen", "repeated")  # artefacts of a barometer that fails


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value, its standard deviation, and the bounds of its 90 % interval."""

    value: float
    sd: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class FlightEvent:
    """A moment of the flight. ``kind`` is the trade's word; ``how`` says what shows it.

    One that is ``commanded`` is when a controller told something to happen, which it may not have.
    """

    kind: str  # "liftoff", "water out", "release", "apogee", "canopy open", "touchdown"
    time: Estimate  # s, from first motion
    how: str
    commanded: bool = False


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that this record does not show. ``why`` ends the words "not visible ..."."""

    kind: str
    why: str


@dataclass(frozen=True, slots=True)
class Artefact:
    """Readings that are not the flight: from when to when, and by how much they would mislead."""

    kind: str  # "boost pressure", "canopy shock", "impact spike", "spike", "dropout", "saturated" …
    time_s: float
    until_s: float
    size_m: float
    says: str


@dataclass(frozen=True, slots=True)
class Descent:
    """A part of the way down at a nearly steady rate (positive downwards)."""

    phase: str  # "under canopy", "falling"
    begin_s: float
    end_s: float
    rate_m_s: Estimate
    says: str


@dataclass(frozen=True, slots=True)
class LawCheck:
    """A law that the record should obey, held against it. ``agrees`` is None where it cannot tell.

    ``name`` is a word of ours ("stopwatch law"), ``says`` the sentence with the figures.
    """

    name: str
    agrees: bool | None
    says: str


@dataclass(frozen=True, slots=True)
class Curve:
    """The smoothed flight: ``(n,)`` arrays, each with its standard deviation."""

    time: Floats  # s, from first motion
    height: Floats  # m, above the pad
    height_sd: Floats
    climb: Floats  # m/s
    climb_sd: Floats
    acceleration: Floats  # m/s2, upwards, of the motion (free fall is -g)
    acceleration_sd: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Reconstruction:
    """A flight, reconstructed from one log.

    ``liftoff_s`` is first motion by the log's clock. ``used`` tells of each row of the log whether
    it counted, ``(rows,)``. None stands for what the record does not show; ``missing`` says why.
    """

    log: str
    sha256: str
    liftoff_s: float
    curve: Curve
    raw_time: Floats  # (rows,) s, from first motion
    raw_height: Floats  # (rows,) m, as the log has it, over its rest
    used: NDArray[np.bool_]
    events: tuple[FlightEvent, ...]
    missing: tuple[Missing, ...]
    artefacts: tuple[Artefact, ...]
    descents: tuple[Descent, ...]
    apogee: Estimate | None  # m
    apogee_time: Estimate | None  # s
    max_climb: Estimate | None  # m/s
    naive_max_height_m: float
    naive_max_time_s: float
    checks: tuple[LawCheck, ...] = ()
    notes: tuple[str, ...] = ()
    assumed: tuple[str, ...] = field(default_factory=tuple)  # of the instrument, in words

    @property
    def unsound(self) -> tuple[str, ...]:
        """Why the record is not to be relied on, in words; empty where nothing speaks against it.

        A law is broken, or readings of the barometer are lost, repeated, frozen or at an end of
        their range while it is in the air.
        """
        down = self.event("touchdown")
        end = float("inf") if down is None else down.time.value
        broken = [each.says for each in self.checks if each.agrees is False]
        failed = [
            each.says
            for each in self.artefacts
            if each.kind in FAILED and each.until_s > 0.0 and each.time_s < end
        ]
        return (*broken, *failed)

    def event(self, kind: str) -> FlightEvent | None:
        """Return the event called ``kind``, None where the record does not show it."""
        return next((each for each in self.events if each.kind == kind), None)
