"""A plausible campaign, flight, ensemble and firing, made without the flight engine (seeded)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign, CampaignFile
from loftwright.documents.payload import Carried, Glide, Hold, Payload, Release, Toss
from loftwright.documents.site import Air, Launch, Place, Site, Wind
from loftwright.documents.vehicle import (
    Body,
    Canopy,
    Fill,
    Fins,
    LaunchTube,
    Mass,
    Nose,
    Nozzle,
    Tail,
    Vehicle,
    Vessel,
)
from loftwright.flight.kernel import slots
from loftwright.flight.results import Band, Ensemble, Firing, Flight, Provenance, Track
from loftwright.units import Quantity

Floats = NDArray[np.float64]
Q = Quantity
G = 9.80665
DEGREE = math.pi / 180
NASTY = '<b>&"'


def provenance(seed: int | None = None, flights: int | None = None) -> Provenance:
    names = ("campaign.toml", "vehicle.toml", "payload.toml", "site.toml")
    return Provenance(
        documents={name: f"{k:x}" * 64 for k, name in enumerate(names, start=10)},
        model="0.1.0",
        seed=seed,
        flights=flights,
        relative_tolerance=1e-6,
        laws=("loftwright.report.decimate.simplify", "loftwright.report.theme.contrast_ratio"),
    )


def vehicle(name: str = "Tern 3") -> Vehicle:
    return Vehicle(
        name=name,
        mass=Mass(dry=Q(0.236, 0.002), balance_from_nose=Q(0.46, 0.005)),
        vessel=(
            Vessel(
                volume=Q(2.0e-3, 2e-5), diameter=Q(0.108), length=Q(0.31), from_nose=Q(0.47),
                wall=Q(0.3e-3), proof_gauge_pressure=Q(8.3e5),
            ),
        ),
        nozzle=Nozzle(throat_diameter=Q(0.0215), from_nose=Q(0.78)),
        launch_tube=LaunchTube(outer_diameter=Q(0.021), length=Q(0.20)),
        fill=Fill(
            water_volume=Q(0.65e-3, 2e-5), gauge_pressure=Q(4.8e5, 1.4e4), temperature=Q(288.15)
        ),
        nose=Nose(profile="ogive", length=Q(0.20)),
        body=Body(diameter=Q(0.11), length=Q(0.78)),
        tail=Tail(diameter=Q(0.034), length=Q(0.09)),
        fins=(
            Fins(
                count=4, root_chord=Q(0.12), tip_chord=Q(0.06), span=Q(0.09), sweep=Q(0.07),
                thickness=Q(0.002), from_nose=Q(0.60),
            ),
        ),
        canopy=Canopy(diameter=Q(0.6)),
    )  # fmt: skip


def payload(name: str = "Wren") -> Payload:
    return Payload(
        name=name,
        kind="glider",
        mass=Q(0.038, 0.0005),
        carried=Carried(
            from_nose=Q(0.40), offset=Q(0.065), length=Q(0.28), width=Q(0.05), thickness=Q(0.02)
        ),
        glide=Glide(wing_area=Q(0.04), glide_ratio=Q(4.5, 0.5)),
        hold=Hold(strength=Q(6.0, 0.8)),
        release=Release(when="climb", climb=Q(15.24)),
        toss=Toss(speed=Q(1.5, 0.3)),
    )


def site() -> Site:
    return Site(
        place=Place(name="Long meadow", latitude=Q(0.91), longitude=Q(0.09), elevation=Q(11.0)),
        air=Air(temperature=Q(290.15, 1.0)),
        wind=Wind(speed=Q(2.7, 0.9), coming_from=Q(240 * DEGREE, 15 * DEGREE)),
        launch=Launch(elevation=Q(88 * DEGREE, 0.5 * DEGREE), guide_length=Q(1.0)),
    )


def campaign(units: str = "metric", *, name: str = "Evening lifts", bare: bool = False) -> Campaign:
    """A full campaign; ``bare`` has no payload, canopy, tail or launch tube."""
    rocket = vehicle(NASTY if name == NASTY else "Tern 3")
    if bare:
        rocket = replace(rocket, canopy=None, tail=None, launch_tube=None, fins=())
    return Campaign(
        folder=Path("."),
        head=CampaignFile(
            name=name,
            question="Does Wren let go cleanly, and does everything land inside the meadow?",
            units=units,
            vehicle="vehicle.toml",
            payload=None if bare else "payload.toml",
            site="site.toml",
        ),
        vehicle=rocket,
        payload=None if bare else payload(NASTY if name == NASTY else "Wren"),
        site=site(),
        hashes=dict(provenance().documents),
    )


def check() -> dict[str, object]:
    """Figures as the check hands them on."""
    return {
        "liftoff_mass_kg": 0.924,
        "dry_mass_kg": 0.236,
        "balance_from_nose_m": {"full": 0.562, "empty": 0.451},
        "aerodynamic_centre_from_nose_m": 0.618,
        "stability_calibres": {"full": 0.51, "empty": 1.52},
        "hoop_stress_pa": 8.6e7,
        "proof_margin": 1.73,
        "stored_energy_j": 812.0,
        "warnings": [
            {
                "code": "check-stability",
                "severity": "warning",
                "message": "stability is only 0.51 calibres with the water in",
                "where": {
                    "file": "vehicle.toml",
                    "line": 31,
                    "column": 1,
                    "field": "fins.0",
                    "value": None,
                },
                "mend": "larger fins, fins further aft, or mass in the nose",
            }
        ],
    }


@dataclass(frozen=True)
class Course:
    """The few numbers that a made-up flight hangs on."""

    speed: float = 31.0  # m/s at the end of thrust
    burn: float = 0.19  # s
    water: float = 0.11  # s
    sink: float = 5.2  # m/s under the canopy
    glide_sink: float = 2.1
    pressure: float = 4.8e5

    @property
    def apogee_time(self) -> float:
        return self.burn + self.speed / (G * 1.25)

    @property
    def release_time(self) -> float:
        return self.burn + (self.speed - 15.24) / (G * 1.25)

    @property
    def apogee(self) -> float:
        return float(self.height(np.array([self.apogee_time]))[0])

    @property
    def open_time(self) -> float:
        return self.apogee_time + 0.6

    @property
    def touchdown(self) -> float:
        return self.open_time + self._coast(self.open_time) / self.sink

    @property
    def payload_touchdown(self) -> float:
        return self.release_time + self._coast(self.release_time) / self.glide_sink

    def _coast(self, t: float) -> float:
        since = t - self.burn
        return 0.5 * self.speed * self.burn + self.speed * since - 0.625 * G * since**2

    def height(self, t: Floats) -> Floats:
        boost = 0.5 * self.speed / self.burn * np.clip(t, 0, self.burn) ** 2
        since = np.clip(t, self.burn, self.open_time) - self.burn
        coast = self.speed * since - 0.625 * G * since**2
        fall = self.sink * np.clip(t - self.open_time, 0, None)
        return np.clip(boost + coast - fall, 0, None)

    def climb(self, t: Floats) -> Floats:
        boost = self.speed / self.burn * np.clip(t, 0, self.burn)
        since = np.clip(t, self.burn, self.open_time) - self.burn
        free = boost - 1.25 * G * since
        under = -self.sink + (free + self.sink) * np.exp(
            -np.clip(t - self.open_time, 0, None) / 0.15
        )
        out = np.where(t > self.open_time, under, free)
        return np.where(t < self.touchdown, out, 0.0)

    def acceleration(self, t: Floats) -> Floats:
        push = self.speed / self.burn * (1.5 - 1.0 * t / self.burn)
        coast = -1.25 * G
        opening = 60 * np.exp(-(((t - self.open_time - 0.08) / 0.06) ** 2))
        base = np.where(t < self.burn, push, np.where(t < self.open_time, coast, 0.0))
        return base + np.where(t > self.burn, opening, 0.0)

    def gauge(self, t: Floats) -> Floats:
        left = np.clip(1 - 0.62 * t / self.water, 0.38, 1)
        tail = np.exp(-np.clip(t - self.water, 0, None) / 0.03)
        return self.pressure * left * tail

    def payload_height(self, t: Floats) -> Floats:
        glide = self._coast(self.release_time) - self.glide_sink * (t - self.release_time)
        glide = glide + 1.2 * np.sin(2.2 * (t - self.release_time)) * np.exp(
            -0.15 * np.clip(t - self.release_time, 0, None)
        )
        return np.where(t < self.release_time, self.height(t), np.clip(glide, 0, None))


def clock(end: float, n: int = 500) -> Floats:
    """Fine in the boost, coarse afterwards."""
    return np.unique(np.concatenate((np.linspace(0, 0.5, n // 2), np.linspace(0.5, end, n // 2))))


def track(course: Course, body: str, n: int = 500, *, with_payload: bool = True) -> Track:
    late = course.touchdown if body == "vehicle" else course.payload_touchdown
    t = clock(late, n)
    up = course.height(t) if body == "vehicle" else course.payload_height(t)
    zeros = np.zeros_like(t)
    climb = course.climb(t) if body == "vehicle" else np.gradient(up, t)
    events = {"liftoff": 0.0}
    if with_payload:
        events["release"] = course.release_time
    if body == "vehicle":
        events |= {
            "tube clear": 0.035,
            "water out": course.water,
            "guide exit": 0.118,
            "air out": course.burn,
            "apogee": course.apogee_time,
            "canopy open": course.open_time,
        }
    events["touchdown"] = late
    nan = np.full_like(t, np.nan)
    vessel = body == "vehicle"
    return Track(
        body=body,
        time=t,
        position=np.stack((1.4 * t, 0.8 * t, up), axis=1),
        velocity=np.stack((zeros + 1.4, zeros + 0.8, climb), axis=1),
        acceleration=np.stack((zeros, zeros, course.acceleration(t) if vessel else zeros), axis=1),
        attitude=np.tile([1.0, 0.0, 0.0, 0.0], (t.size, 1)),
        rates=np.zeros((t.size, 3)),
        water_mass=np.clip(0.65 * (1 - t / course.water), 0, None) if vessel else nan,
        gas_mass=np.full_like(t, 0.009) if vessel else nan,
        gas_temperature=np.full_like(t, 270.0) if vessel else nan,
        gauge_pressure=course.gauge(t) if vessel else nan,
        thrust=zeros if vessel else nan,
        events=events,
    )


def touchdown(course: Course, body: str, wind: float, side: float) -> dict[str, float]:
    late = course.touchdown if body == "vehicle" else course.payload_touchdown
    speed = course.sink if body == "vehicle" else 6.3
    mass = 0.236 if body == "vehicle" else 0.038
    along = wind * late * (1.0 if body == "vehicle" else 0.7)
    return {
        "time_s": late,
        "east_m": along * math.sin(60 * DEGREE) + side,
        "north_m": along * math.cos(60 * DEGREE) - side,
        "speed_m_s": speed,
        "energy_j": 0.5 * mass * speed**2,
    }


def figures(course: Course) -> dict[str, float | None]:
    return {
        "apogee_m": course.apogee,
        "apogee_time_s": course.apogee_time,
        "max_speed_m_s": course.speed + 0.3,
        "max_acceleration_m_s2": 1.5 * course.speed / course.burn,
        "water_out_s": course.water,
        "burnout_s": course.burn,
        "burnout_speed_m_s": course.speed,
        "guide_exit_speed_m_s": 18.0,
        "release_time_s": course.release_time,
        "release_height_m": course._coast(course.release_time),
        "release_climb_m_s": 15.24,
    }


def flight(course: Course | None = None, *, with_payload: bool = True) -> Flight:
    course = course or Course()
    bodies = ["vehicle", "payload"] if with_payload else ["vehicle"]
    known = figures(course)
    if not with_payload:
        known |= {"release_time_s": None, "release_height_m": None, "release_climb_m_s": None}
    return Flight(
        tracks={body: track(course, body, with_payload=with_payload) for body in bodies},
        figures=known,
        touchdown={body: touchdown(course, body, 2.0, 0.0) for body in bodies},
        outcome="Flew and came down.",
        provenance=provenance(),
    )


def ensemble(count: int = 2000, seed: int = 7, *, with_payload: bool = True) -> Ensemble:
    rng = np.random.default_rng(seed)
    courses = [
        Course(
            speed=31 + 1.6 * a, burn=0.19 * (1 + 0.04 * b), sink=5.2 * (1 + 0.06 * c),
            water=0.11 * (1 + 0.04 * b), glide_sink=2.1 * (1 + 0.1 * d), pressure=4.8e5 + 1.4e4 * a,
        )
        for a, b, c, d in rng.standard_normal((count, 4))
    ]  # fmt: skip
    bodies = ["vehicle", "payload"] if with_payload else ["vehicle"]
    columns = _columns(courses, bodies, rng)
    if not with_payload:
        columns |= {k: np.full(count, np.nan) for k in columns if k.startswith("release")}
    return Ensemble(
        columns=columns | {"outcome": np.full(count, float(slots.LANDED))},
        drawn={
            "vehicle.fill.gauge_pressure": np.array([c.pressure for c in courses]),
            "site.wind.speed": np.abs(2.7 + 0.9 * rng.standard_normal(count)),
        },
        statistics={key: _statistics(column) for key, column in columns.items()},
        drivers={
            "apogee_m": {
                "vehicle.drag.coefficient": 0.55, "vehicle.fill.gauge_pressure": 0.24,
                "vehicle.fill.water_volume": 0.11, "vehicle.vessel.0.volume": 0.04, "rest": 0.06,
            },
            "touchdown_vehicle_east_m": {
                "site.wind.speed": 0.70, "site.wind.from": 0.18, "vehicle.canopy.delay": 0.03,
                "rest": 0.09,
            },
            "touchdown_vehicle_north_m": {
                "site.wind.from": 0.52, "site.wind.speed": 0.36, "rest": 0.12,
            },
            "release_height_m": {"vehicle.fill.gauge_pressure": 0.8, "rest": 0.2},
        },
        band=_band(courses[:400], with_payload),
        nominal=flight(with_payload=with_payload),
        provenance=provenance(seed, count),
    )  # fmt: skip


def _columns(
    courses: list[Course], bodies: list[str], rng: np.random.Generator
) -> dict[str, Floats]:
    rows = [figures(c) for c in courses]
    columns = {key: np.array([row[key] for row in rows], dtype=float) for key in rows[0]}
    for body in bodies:
        wind = np.abs(2.0 + 0.7 * rng.standard_normal(len(courses)))
        side = 7.0 * rng.standard_normal(len(courses))
        ends = [touchdown(c, body, w, s) for c, w, s in zip(courses, wind, side, strict=True)]
        for key in ends[0]:
            columns[f"touchdown_{body}_{key}"] = np.array([end[key] for end in ends])
    return columns


def _statistics(column: Floats) -> dict[str, float]:
    if not np.isfinite(column).any():
        return dict.fromkeys(("p05", "p50", "p95", "mean", "sd"), math.nan)
    low, mid, high = np.nanpercentile(column, (5, 50, 95))
    return {
        "p05": float(low), "p50": float(mid), "p95": float(high),
        "mean": float(np.nanmean(column)), "sd": float(np.nanstd(column)),
    }  # fmt: skip


def _band(courses: list[Course], with_payload: bool) -> Band:
    end = max(c.payload_touchdown if with_payload else c.touchdown for c in courses)
    t = clock(end, 600)
    makers = {
        "height_m": Course.height,
        "climb_m_s": Course.climb,
        "acceleration_m_s2": Course.acceleration,
        "gauge_pressure_pa": Course.gauge,
    }
    if with_payload:
        makers["payload_height_m"] = Course.payload_height
    share = (5, 25, 50, 75, 95)
    lanes = {
        lane: np.percentile([make(c, t) for c in courses], share, axis=0).T
        for lane, make in makers.items()
    }
    return Band(time=t, lanes=lanes)


def firing() -> Firing:
    t = np.linspace(0, 0.5, 600)
    course = Course(water=0.24)
    thrust = np.where(
        t < 0.24, 380 * course.gauge(t) / 4.8e5, 120 * np.exp(-np.clip(t - 0.24, 0, None) / 0.04)
    )
    return Firing(
        time=t,
        thrust=thrust,
        gauge_pressure=course.gauge(t),
        gas_temperature=288 - 45 * np.clip(t / 0.24, 0, 1) - 60 * np.clip((t - 0.24) / 0.2, 0, 1),
        water_mass=np.clip(0.65 * (1 - t / 0.24), 0, None),
        gas_mass=np.full_like(t, 0.009),
        events={"valve open": 0.0, "water out": 0.24, "air out": 0.42},
        figures={
            "peak_thrust_n": 380.0,
            "impulse_n_s": 71.0,
            "water_out_s": 0.24,
            "air_out_s": 0.42,
            "pressure_at_water_out_pa": 2.8e5,
            "temperature_at_water_out_k": 243.0,
            "initial_air_mass_kg": 0.0095,
        },
        provenance=provenance(),
    )


@dataclass(frozen=True)
class Record:
    """A measured firing, as the debrief hands it on."""

    name: str
    time: Floats
    thrust: Floats
    impulse_n_s: float
    impulse_sd_n_s: float
    duration_s: float
    duration_sd_s: float
    peak_thrust_n: float
    peak_thrust_sd_n: float


def records(count: int = 3, seed: int = 3) -> list[Record]:
    rng = np.random.default_rng(seed)
    base = firing()
    noise = rng.standard_normal((count, base.time.size))
    return [
        Record(
            name=f"stand-{k + 1}.csv",
            time=base.time,
            thrust=base.thrust * (1 + 0.03 * rng.standard_normal()) + 6 * noise[k],
            impulse_n_s=70.0 + k,
            impulse_sd_n_s=0.8,
            duration_s=0.41,
            duration_sd_s=0.006,
            peak_thrust_n=120.0,
            peak_thrust_sd_n=9.0,
        )
        for k in range(count)
    ]
