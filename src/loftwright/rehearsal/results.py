"""What a rehearsal hands on: counted outcomes of every case, and single flights to look at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from dataclasses import field as dataclass_field

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.chance import Chance
from loftwright.flight.results import Provenance

__all__ = [
    "COUNTED",
    "FIELD",
    "NO_FAULT",
    "PAYLOAD",
    "VEHICLE",
    "Case",
    "CommonCause",
    "CutSet",
    "Mend",
    "Noted",
    "Rehearsal",
    "Shift",
    "Stay",
    "Watched",
    "Writing",
]

Floats = NDArray[np.float64]

# What can become of a payload, of the vehicle, and where they come down; worst last. Each is
# defined in the docs (rehearsal).
PAYLOAD = (
    "released well",
    "too fast",
    "slow or inverted",
    "too low",
    "struck the vehicle",
    "torn off early",
    "on the pad",
    "never",
)
VEHICLE = ("under canopy", "canopy too fast", "canopy too late", "on the pad", "ballistic")
COUNTED = ("good", "lost", "endangers")  # what is counted of a flight besides, each true or not
NO_FAULT = "no fault"  # name of the case in which nothing fails
FIELD = ("inside", "in trees", "outside", "over the people line")


@dataclass(frozen=True, slots=True)
class Noted:
    """Flights behind one count: numbers of the first ones in order, and of that which fared worst.

    Each can be flown again by its number (``one_flight.fly_again``).
    """

    first: tuple[int, ...]
    worst: int


@dataclass(frozen=True, slots=True)
class Case:
    """What a fault, two faults, or none at all does to the flights.

    ``happens`` is how likely the fault is in one flight; 1 for the nominal case. Chances are given
    that it has happened. ``severity`` and ``risk`` are words of the matrix that the docs name,
    ``likelihood`` its letter. ``noted`` holds flights behind the counts, by column (``"payload"``,
    ``"vehicle"``, ``"field"``, ``"counted"``) and word; of what did not occur nothing. ``first``
    tells by the words of ``COUNTED`` in which of the first thousand flights it was so
    (``tally.bits_of``): two rehearsals of the same seed are compared flight by flight.
    """

    faults: tuple[str, ...]  # none: the nominal case
    says: str  # one sentence: what happens
    happens: float
    payload: dict[str, Chance]  # by the words of PAYLOAD; empty without a payload
    vehicle: dict[str, Chance]
    field: dict[str, Chance]  # of the body that fares worst; empty where no field is described
    good: Chance  # everything as wanted
    lost: Chance  # the vehicle comes down so that it does not fly again
    # A body hard enough to injure, over the people line or outside; None where the site draws none.
    endangers: Chance | None
    severity: str
    likelihood: str
    risk: str
    energy_j: dict[str, tuple[float, float]]  # by body: median and 95 % at the ground
    worst: tuple[int, ...] = ()  # numbers of the flights that fared worst, the worst first
    is_single_point: bool = False
    part: str = ""  # of the avionics that it happens to, or of the vehicle
    noted: dict[str, dict[str, Noted]] = dataclass_field(default_factory=dict)
    first: dict[str, str] = dataclass_field(default_factory=dict)

    @property
    def name(self) -> str:
        """The faults in words; `NO_FAULT` for the nominal case."""
        return " and ".join(self.faults) or NO_FAULT

    @property
    def endangered(self) -> float:
        """Share of flights that are known to endanger people."""
        return self.endangers.share if self.endangers else 0.0


@dataclass(frozen=True, slots=True)
class CutSet:
    """A smallest set of faults that loses the vehicle or endangers people, and its share."""

    faults: tuple[str, ...]
    chance: float  # of a flight in which all of it happens and does that
    share: float  # of the chance of all cut sets together (Fussell and Vesely)


@dataclass(frozen=True, slots=True)
class CommonCause:
    """What takes several things along at once, by the wiring: one battery, connector or bay."""

    part: str
    kind: str  # "battery", "connector", "bay"
    takes_along: tuple[str, ...]  # names of controllers, sensors and actuators
    leaves_no_way_down: bool  # whether no canopy opens without it


@dataclass(frozen=True, slots=True)
class Shift:
    """How a chance changes, flight by flight on the same draws, with its 95 % interval."""

    before: Chance
    after: Chance
    difference: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Writing:
    """What a change writes into one document: fields by their path, and tables behind its end.

    A new document holds nothing but ``added``.
    """

    file: str
    values: Mapping[str, str | int] = dataclass_field(default_factory=dict)
    added: str = ""
    is_new: bool = False


@dataclass(frozen=True, slots=True)
class Mend:
    """A change that was tried, and what it does, fault by fault.

    ``writings`` are what makes it so in the documents; none where that is left to the person.
    """

    words: str  # "a second battery for the canopy's actuator"
    how: str  # what to write, and where
    lost: dict[str, Shift]  # by case name; of the cases that it is meant to mend, and of `NO_FAULT`
    good: Shift  # of the nominal case
    writings: tuple[Writing, ...] = ()


@dataclass(frozen=True, slots=True)
class Stay:
    """One stay in a stage of a program."""

    stage: str
    start: float  # s
    end: float
    why: str = ""  # which way out ended it: "climb < 50 ft/s", "backup"


@dataclass(frozen=True, slots=True)
class Watched:
    """One flight on one clock: what happened, what was sensed, believed and done. SI arrays.

    Time zero is first motion; the wait on the pad lies before it. ``truth`` holds ``time_s``,
    ``height_m``, ``climb_m_s`` and ``push_m_s2`` of the vehicle; ``sensed`` holds ``time_s``,
    ``pressure_pa``, ``height_m`` (that pressure as height above the pad) and ``push_m_s2``;
    ``believed`` holds ``time_s``, ``height_m`` and ``climb_m_s``; of a controller without a
    barometer both lack pressure, height and climb. ``sensed``, ``believed``, ``stays`` are by
    controller. ``commands`` and ``acts`` are moments by what is commanded or
    moves; ``outcome`` one sentence. ``levels`` are the stretches of time in which an output is
    on; ``supplies`` hold ``time_s`` and ``volts``, by controller; both may be left out.
    """

    case: str
    flight: int
    truth: dict[str, Floats]
    sensed: dict[str, dict[str, Floats]]
    believed: dict[str, dict[str, Floats]]
    stays: dict[str, tuple[Stay, ...]]
    commands: dict[str, float]
    acts: dict[str, float]
    events: dict[str, float]
    outcome: str
    levels: dict[str, tuple[tuple[float, float], ...]] = field(default_factory=dict)
    supplies: dict[str, dict[str, Floats]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """All that a rehearsal found.

    ``faults`` are sorted by risk, then by how often they lose the vehicle. ``single_points`` are
    those whose chance of losing it, or of endangering people, lies above ``level``.
    """

    flights: int
    seed: int
    level: float
    nominal: Case
    faults: tuple[Case, ...]
    provenance: Provenance
    pairs: tuple[Case, ...] = ()
    cut_sets: tuple[CutSet, ...] = ()
    common_causes: tuple[CommonCause, ...] = ()
    mends: tuple[Mend, ...] = ()
    watched: tuple[Watched, ...] = ()  # the nominal flight, then the worst of each fault
    wanted: dict[str, float] = field(default_factory=dict)  # what counts as well, SI
    truth_from: str = ""  # file whose pressures stood in for the flight; empty: the flight itself

    @property
    def single_points(self) -> tuple[Case, ...]:
        """The faults that alone lose the vehicle or endanger people too often."""
        return tuple(case for case in self.faults if case.is_single_point)
