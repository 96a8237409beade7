"""What a flight, a firing or an ensemble hands on: columns of numbers, SI, and what made them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Band",
    "Carrying",
    "Ensemble",
    "Firing",
    "Flight",
    "GliderModes",
    "Provenance",
    "Retainer",
    "Track",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Provenance:
    """What made a result: enough to make it again.

    ``documents`` maps file names to SHA-256; ``laws`` lists the laws that ran, as
    ``module.function`` names whose docstrings hold the sources.
    """

    documents: dict[str, str]
    model: str
    seed: int | None = None
    flights: int | None = None
    relative_tolerance: float | None = None
    laws: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Track:
    """Time-stamped states of one body, all arrays with ``n`` rows, SI.

    Ground frame: east, north, up from the pad. Time zero is first motion.
    ``events`` maps the trade's words ("liftoff", "tube clear", "guide exit", "water out",
    "air out", "release", "apogee", "canopy open", "touchdown") to times in s.
    Columns that a body does not have are NaN (a payload holds no water).
    """

    body: str  # "vehicle", "payload" ..., "upper", "booster1" ...
    time: Floats  # (n,) s
    position: Floats  # (n, 3) m
    velocity: Floats  # (n, 3) m/s
    acceleration: Floats  # (n, 3) m/s2, of the centre of mass, gravity included
    attitude: Floats  # (n, 4) quaternion body to ground, scalar first
    rates: Floats  # (n, 3) rad/s, body frame
    water_mass: Floats  # (n,) kg
    gas_mass: Floats  # (n,) kg
    gas_temperature: Floats  # (n,) K
    gauge_pressure: Floats  # (n,) Pa, inside the vessel
    thrust: Floats  # (n,) N
    events: dict[str, float]
    # by what is carried: share of its hold's strength that it takes, 0 once it has left
    hold_use: dict[str, Floats] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class GliderModes:
    """The trimmed glide and the modes about it; None where there is none.

    A time constant is the time in which a departure falls to 37 %; in a negative one, taken
    positive, it grows e-fold.
    """

    trims: bool
    says: str  # what is to be said about it, in a sentence or two
    speed_m_s: float | None = None
    incidence_rad: float | None = None
    glide_ratio: float | None = None
    sink_m_s: float | None = None
    phugoid_period_s: float | None = None
    phugoid_damping: float | None = None
    short_period_s: float | None = None
    short_period_damping: float | None = None
    roll_time_constant_s: float | None = None
    spiral_time_constant_s: float | None = None
    dutch_roll_period_s: float | None = None
    dutch_roll_damping: float | None = None


@dataclass(frozen=True, slots=True)
class Retainer:
    """What the flight asks of a payload's hold, and how nearly that is too much.

    The largest load is that of the hold and of the body beneath it together; the margin is that
    of the moment at which the hold is nearest to giving way: by how much, as a share, all loads
    could grow. It is 0 where the hold gives way, and None where nobody has said what it bears.
    """

    max_load_n: float | None = None
    max_load_time_s: float | None = None
    margin: float | None = None
    margin_time_s: float | None = None
    tear_off_probability: float | None = None  # 0 or 1 of one flight
    tear_off_interval: tuple[float, float] | None = None  # 95 %, of many flights


@dataclass(frozen=True, slots=True)
class Carrying:
    """What the payloads do to the vehicle while they are on; angles in degrees, SI else.

    ``carry_trim_deg`` is the largest angle to the flow at which moments balance, from the end of
    the push until the first payload leaves or the top; ``trim_parts_deg`` is what each cause adds
    to it then. ``veer_m`` is how far to the side the climb passes, at the height of the release, of
    that of the same vehicle without payloads; ``veer_parts`` what each effect does alone.
    None stands for what never comes about.
    """

    carry_trim_deg: float | None = None
    carry_trim_time_s: float | None = None
    trim_parts_deg: dict[str, float] = field(default_factory=dict)
    veer_m: float | None = None
    veer_east_m: float | None = None
    veer_north_m: float | None = None
    veer_parts_m: dict[str, float] = field(default_factory=dict)
    veer_without_spin_m: float | None = None
    spin_turns: float | None = None
    apogee_loss_m: float | None = None
    apogee_held_m: float | None = None
    time: Floats = field(default_factory=lambda: np.zeros(0))  # (n,) s, of the next two
    trim_deg: Floats = field(default_factory=lambda: np.zeros(0))
    incidence_deg: Floats = field(default_factory=lambda: np.zeros(0))  # as flown, in mean wind


@dataclass(frozen=True, slots=True)
class Flight:
    """One flight: a track for each body, and the figures of ``forecast --json``.

    ``figures`` keys are the summary's names with units (``apogee_m`` ...); a figure that did not
    occur is None. ``touchdown`` maps a body to ``time_s, east_m, north_m, speed_m_s, energy_j``.
    """

    tracks: dict[str, Track]
    figures: dict[str, float | None]
    touchdown: dict[str, dict[str, float]]
    outcome: str  # a sentence of flight.outcomes
    provenance: Provenance
    carrying: Carrying | None = None  # what payloads do to the climb
    gliders: dict[str, GliderModes] = field(default_factory=dict)  # by root, those with a wing
    retainers: dict[str, Retainer] = field(default_factory=dict)  # by root of what is held


@dataclass(frozen=True, slots=True)
class Band:
    """Percentiles over an ensemble on a common clock: each lane is (n, 5) for 5, 25, 50, 75, 95 %.

    Lanes: "height_m", "climb_m_s", "acceleration_m_s2", "gauge_pressure_pa" of the vehicle and
    "payload_height_m". Flights that have ended hold their last value (height 0).
    """

    time: Floats
    lanes: dict[str, Floats]


@dataclass(frozen=True, slots=True)
class Ensemble:
    """Many flights as columns, one row a flight.

    ``columns`` holds every figure of a single flight, NaN where it did not occur, and for each
    body ``touchdown_<body>_<key>``. ``drawn`` holds what was drawn, by document path
    ("vehicle.fill.water_volume"), SI. ``drivers`` maps a figure to the share of its variance that
    each drawn input explains, largest first, with the unexplained rest under "rest". Columns of
    very many flights lie on disk and are read when they are asked for, each time anew.
    """

    columns: Mapping[str, Floats]
    drawn: Mapping[str, Floats]
    statistics: dict[str, dict[str, float]]  # figure -> p05, p50, p95, mean, sd
    drivers: dict[str, dict[str, float]]
    band: Band
    nominal: Flight
    provenance: Provenance
    retainers: dict[str, Retainer] = field(
        default_factory=dict
    )  # medians, and how often each tears
    veers: Floats = field(default_factory=lambda: np.zeros(0))  # m, of the first flights


@dataclass(frozen=True, slots=True)
class Firing:
    """A static firing: the vehicle held, nozzle down. Arrays have ``n`` rows, SI.

    ``figures`` keys: peak_thrust_n, impulse_n_s, water_out_s, air_out_s,
    pressure_at_water_out_pa (absolute), temperature_at_water_out_k, initial_air_mass_kg.
    """

    time: Floats
    thrust: Floats
    gauge_pressure: Floats
    gas_temperature: Floats
    water_mass: Floats
    gas_mass: Floats
    events: dict[str, float]
    figures: dict[str, float | None]
    provenance: Provenance = field(default_factory=lambda: Provenance({}, ""))
