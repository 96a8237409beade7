"""Made-up reconstructions and flight records for tests of what is done with them."""

from __future__ import annotations

import numpy as np

from loftwright.debrief.results import Curve, Descent, FlightEvent, Reconstruction
from loftwright.debrief.scoring.measured_figures import estimate
from loftwright.documents.flight_record import FlightRecord

GRAVITY = 9.81
EVENTS = {
    "liftoff": (0.0, 0.0),
    "water out": (0.15, 0.02),
    "release": (2.5, 0.05),
    "apogee": (4.0, 0.1),
    "canopy open": (4.6, 0.05),
    "touchdown": (24.0, 0.2),
}


def reconstruction(events=EVENTS, apogee=(80.0, 0.5), liftoff_s=12.0) -> Reconstruction:
    """Return a flight that goes up and down on a parabola to 4.6 s, and then falls at 4 m/s."""
    time = np.linspace(0.0, 24.0, 2401)
    top, high = 4.0, apogee[0] if apogee else 80.0
    ballistic = high - 0.5 * GRAVITY * (time - top) ** 2
    at = high - 0.5 * GRAVITY * 0.6**2
    height = np.where(time < 4.6, ballistic, at - 4.0 * (time - 4.6))
    height = np.where(time < 0.2, 0.0, height)
    climb = np.where(time < 4.6, -GRAVITY * (time - top), -4.0)
    flat = np.full_like(time, 0.3)
    return Reconstruction(
        log="board.csv",
        sha256="0" * 64,
        liftoff_s=liftoff_s,
        curve=Curve(time, height, flat, climb, flat, np.full_like(time, -GRAVITY), flat),
        raw_time=time,
        raw_height=height,
        used=np.ones(len(time), bool),
        events=tuple(
            FlightEvent(kind, estimate(*moment), "made up") for kind, moment in events.items()
        ),
        missing=(),
        artefacts=(),
        descents=(Descent("under canopy", 6.0, 24.0, estimate(4.0, 0.1), "made up"),),
        apogee=estimate(*apogee) if apogee else None,
        apogee_time=estimate(4.0, 0.1) if apogee else None,
        max_climb=estimate(39.0, 0.4),
        naive_max_height_m=high,
        naive_max_time_s=top,
    )


def record(**parts) -> FlightRecord:
    """Return a record with some parts and without the others."""
    empty = dict.fromkeys(("evidence", "saw", "stopwatch", "station", "sighting", "landed"), ())
    return FlightRecord(name="made up", **{**empty, **parts})
