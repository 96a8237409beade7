"""Made-up flights of things that are carried: holds that bear or tear, gliders, stages."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from report import synthetic
from report.synthetic import Floats

from loftwright.documents import read_campaign
from loftwright.documents.campaign import Campaign
from loftwright.flight.results import Carrying, Ensemble, Flight, GliderModes, Track
from loftwright.flight.statistics import statistics

STAGED = Path(__file__).resolve().parents[1] / "documents" / "staged"


def carrying(**changed: Any) -> Carrying:
    """What a payload does to a climb, in round numbers."""
    time = np.linspace(0.2, 1.7, 20)
    known = Carrying(
        carry_trim_deg=0.8,
        carry_trim_time_s=1.0,
        trim_parts_deg={"air on what is carried": 1.0, "drag of the body past the balance": -0.2},
        veer_m=5.0,
        veer_east_m=0.0,
        veer_north_m=-5.0,
        veer_parts_m={"its mass beside the axis": 3.0, "its drag beside the axis": 1.5},
        veer_without_spin_m=6.0,
        spin_turns=1.5,
        apogee_loss_m=4.0,
        apogee_held_m=38.0,
        time=time,
        trim_deg=np.full(20, 0.8),
        incidence_deg=np.linspace(6.0, 0.8, 20),
    )
    return replace(known, **changed)


def glider(**changed: Any) -> GliderModes:
    known = GliderModes(
        trims=True, says="it trims", speed_m_s=5.0, incidence_rad=0.07, glide_ratio=4.5,
        sink_m_s=1.1, phugoid_period_s=3.0, phugoid_damping=0.11, short_period_s=0.9,
        short_period_damping=0.8, roll_time_constant_s=0.05, spiral_time_constant_s=10.0,
        dutch_roll_period_s=0.9, dutch_roll_damping=0.2,
    )  # fmt: skip
    return replace(known, **changed)


def held(loads: Floats, strength: float = 6.0, prefix: str = "") -> dict[str, Floats]:
    """Columns of a hold that is asked these loads and bears ``strength``, N."""
    torn = loads >= strength
    return {
        f"{prefix}hold_load_n": np.minimum(loads, strength),
        f"{prefix}hold_load_time_s": np.full(loads.size, 0.11),
        f"{prefix}hold_use_time_s": np.full(loads.size, 0.11),
        f"{prefix}hold_margin": np.where(torn, 0.0, strength / loads - 1.0),
        f"{prefix}torn_off": torn.astype(float),
        f"{prefix}release_time_s": np.where(torn, 0.11, 1.46),
        f"{prefix}release_height_m": np.where(torn, 0.9, 38.0),
        f"{prefix}release_climb_m_s": np.where(torn, 17.0, 15.24),
        f"{prefix}fin_clearance_m": np.full(loads.size, 0.04),
        f"{prefix}body_clearance_m": np.full(loads.size, 0.05),
        f"{prefix}recontact": np.zeros(loads.size),
    }


def first(columns: dict[str, Floats]) -> dict[str, float | None]:
    """Figures of the first flight, as a single one has them."""
    return {k: float(v[0]) if np.isfinite(v[0]) else None for k, v in columns.items()}


def one(load: float, *, strength: float = 6.0, **changed: Any) -> Flight:
    """One flight whose hold is asked ``load`` N."""
    plain = synthetic.flight()
    figures = plain.figures | first(held(np.array([load]), strength))
    track = plain.tracks["vehicle"]
    use = np.where(track.time < (figures["release_time_s"] or 0.0), load / strength, 0.0)
    tracks = plain.tracks | {"vehicle": replace(track, hold_use={"payload": np.minimum(use, 1.0)})}
    return replace(plain, figures=figures, tracks=tracks, carrying=carrying(), **changed)


def many(loads: Floats, *, strength: float = 6.0, **columns: Floats) -> Ensemble:
    """An ensemble whose hold is asked these loads, N; the nominal flight is asked their median."""
    plain = synthetic.ensemble(loads.size)
    known = dict(plain.columns) | held(loads, strength) | columns
    return replace(
        plain,
        nominal=one(float(np.median(loads)), strength=strength),
        columns=known,
        statistics=statistics(known),
    )


@cache
def staged_campaign() -> Campaign:
    """The documents of a vehicle with two boosters, an upper stage and three payloads."""
    return read_campaign(STAGED)


def staged(count: int = 60, seed: int = 5) -> Ensemble:
    """An ensemble of the whole stack: a payload let go, one kept, one torn off the upper stage."""
    rng = np.random.default_rng(seed)
    plain = synthetic.ensemble(count)
    columns = dict(plain.columns)
    columns |= held(np.full(count, 4.0))
    columns |= held(np.full(count, 9.0), prefix="payload3_")
    kept = held(np.full(count, 4.0), prefix="payload2_")
    columns |= {k: v if "hold_load" in k else np.full(count, np.nan) for k, v in kept.items()}
    for root, at in (("boosters", 0.12), ("upper", 0.16)):
        columns |= {
            f"{root}_release_time_s": np.full(count, at),
            f"{root}_release_height_m": np.full(count, 2.4),
            f"{root}_release_climb_m_s": np.full(count, 26.0),
            f"{root}_release_speed_m_s": np.full(count, 26.0),
        }
    columns |= {
        "upper_start_s": np.where(np.arange(count) < 3, np.nan, 0.3),
        "upper_apogee_m": 90.0 + rng.standard_normal(count),
        "upper_apogee_time_s": np.full(count, 4.1),
    }
    bodies = ("upper", "booster1", "booster2", "payload3")
    for far, body in enumerate(bodies, start=1):
        for key in ("time_s", "east_m", "north_m", "speed_m_s", "energy_j"):
            base = plain.columns[f"touchdown_payload_{key}"]
            columns[f"touchdown_{body}_{key}"] = base * (1.0 + 0.1 * far)
    return replace(
        plain,
        columns=columns,
        statistics=statistics(columns),
        nominal=_staged_flight(plain.nominal, columns, bodies),
    )


def _staged_flight(plain: Flight, columns: dict[str, Floats], bodies: tuple[str, ...]) -> Flight:
    known = {k: v for k, v in columns.items() if not k.startswith("touchdown_") and k != "outcome"}
    ends = {
        body: {
            key: float(columns[f"touchdown_{body}_{key}"][0])
            for key in ("time_s", "east_m", "north_m", "speed_m_s", "energy_j")
        }
        for body in ("vehicle", "payload", *bodies)
    }
    vehicle = plain.tracks["vehicle"]
    events = vehicle.events | {"release of boosters": 0.12, "release of upper": 0.16}
    use = np.where(vehicle.time < 1.46, 0.6, 0.0)
    tracks: dict[str, Track] = {
        "vehicle": replace(vehicle, events=events, hold_use={"payload": use}),
        "payload": plain.tracks["payload"],
    }
    for body in bodies:
        begun = {"release": 0.16, "touchdown": ends[body]["time_s"]}
        begun |= (
            {"start": 0.3, "apogee": 4.1, "release of payload3": 0.3} if body == "upper" else {}
        )
        tracks[body] = replace(plain.tracks["payload"], body=body, events=begun)
    return replace(
        plain, figures=first(known), touchdown=ends, tracks=tracks, carrying=carrying(),
        gliders={"payload": glider()},
    )  # fmt: skip
