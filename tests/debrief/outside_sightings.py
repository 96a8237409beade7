"""Lines of sight, places on the earth and sound beside independently computed values."""

from __future__ import annotations

from functools import cache
from math import degrees, hypot, radians

import numpy as np
from outside import COMPUTED, READ, OutsideCheck, absolute, register

from loftwright.debrief.clocks.sightings import sighted
from loftwright.debrief.clocks.solver import solve_clocks
from loftwright.debrief.scoring.landing_places import Pad, landing_place
from loftwright.documents.flight_record import FlightRecord, Landed, Sighting, Station
from loftwright.physics.geodesy import (
    geocentric,
    geographic,
    ground_offset,
    meridian_radius,
    normal_radius,
)
from loftwright.physics.sighting import bearing_and_elevation, between_lines, sight_direction
from loftwright.physics.sound_travel import sound_delay
from loftwright.units import Quantity


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Sightings and clocks",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- two stations

LINES = "Nearest points of two lines, by least squares"
A, B, TARGET = (0.0, 0.0, 0.0), (200.0, 0.0, 0.0), (80.0, 150.0, 120.0)
SEEN = "stations (0, 0, 0) and (200, 0, 0), target (80, 150, 120) m east, north, up"
for name, station, expected in (
    ("first", A, (28.072487, 35.217593)),
    ("second", B, (321.340192, 31.992817)),
):
    for place, angle in enumerate(("bearing", "elevation")):
        check(
            f"{angle} from the {name} station, degrees",
            SEEN,
            expected[place],
            lambda station=station, place=place: (
                degrees(bearing_and_elevation(station, TARGET)[place]) % 360.0
            ),
            absolute(1e-6),
            LINES,
        )

ROUNDED = ((28.1, 35.2), (321.3, 32.0))
EXACT = ((28.072487, 35.217593), (321.340192, 31.992817))


@cache
def between(angles) -> tuple[float, ...]:
    """Return middle and miss of the two lines."""
    one, other = (sight_direction(*map(radians, pair)) for pair in angles)
    return between_lines(A, one, B, other)


@cache
def fitted() -> tuple[float, ...]:
    """Return the place that the whole way from a record gives, and its miss."""
    sure = Quantity(0.0, 1e-6)
    stations = tuple(
        Station(name=name, east=Quantity(east, 1e-6), north=sure, up=sure, bearing_zero=sure)
        for name, east in (("A", 0.0), ("B", 200.0))
    )
    looks = tuple(
        Sighting(
            station=name,
            moment="apogee",
            bearing=Quantity(radians(bearing), radians(0.1)),
            elevation=Quantity(radians(elevation), radians(0.1)),
        )
        for name, (bearing, elevation) in zip("AB", EXACT, strict=True)
    )
    empty = dict.fromkeys(("evidence", "saw", "stopwatch", "landed"), ())
    record = FlightRecord(name="", station=stations, sighting=looks, **empty)
    (found,) = sighted(record, solve_clocks([]))
    assert found.position is not None
    return (*found.position.tolist(), float(found.miss or 0.0))


AXES = ("east", "north", "up")
for place, expected in enumerate(TARGET):
    check(
        f"{AXES[place]} of what both stations see, m",
        "the angles to six digits",
        expected,
        lambda place=place: between(EXACT)[place],
        absolute(1e-5),
        LINES,
    )
    check(
        f"{AXES[place]} of the fitted place, m",
        "the angles to six digits",
        expected,
        lambda place=place: fitted()[place],
        absolute(1e-4),
        LINES,
    )
for place, expected in enumerate((80.0096, 149.8085, 119.8735, 0.11570)):
    check(
        f"{(*AXES, 'miss')[place]} of what both stations see, m",
        "28.1 and 35.2, 321.3 and 32.0 degrees",
        expected,
        lambda place=place: between(ROUNDED)[place],
        absolute(1e-4),
        LINES,
    )

# ---------------------------------------------------------------- places on the earth

for latitude, longitude, height, expected, source in (
    (
        34.4401061,
        132.4147804,
        233.362,
        (-3551876.829, 3887786.860, 3586946.387),
        "WGS 84; documentation of yoronneko/qzsl6tool",
    ),
    (
        30.14988205,
        91.38733072,
        4031.0,
        (-133728.1037, 5521796.9109, 3186776.4737),
        "WGS 84; tests of cppmap3d",
    ),
):
    for place, value in enumerate(expected):
        check(
            f"{'xyz'[place]} from the earth's centre, m",
            f"{latitude:g}, {longitude:g} degrees, {height:g} m",
            value,
            lambda place=place, a=latitude, b=longitude, c=height: geocentric(
                radians(a), radians(b), c
            )[place],
            absolute(6e-3),  # places of the first are given to seven digits of a degree
            source,
            READ,
        )

FIELD = "pad 52.2, 0.12 degrees, 15 m; 300 m east, 400 m south, 120 m up"
GEODESY = "WGS 84, computed independently"


@cache
def field_place() -> tuple[float, float, float]:
    return geographic(300.0, -400.0, 120.0, radians(52.2), radians(0.12), 15.0)


for place, (name, expected) in enumerate(
    (("latitude", 52.196405171), ("longitude", 0.124387344), ("height", 135.01959))
):
    check(
        f"{name} of a place on the field, {'m' if place == 2 else 'degrees'}",
        FIELD,
        expected,
        lambda place=place: field_place()[place] if place == 2 else degrees(field_place()[place]),
        absolute(1e-5 if place == 2 else 1e-8),
        GEODESY,
    )
check(
    "distance from the pad to a landing by coordinates, m",
    "pad 52.2, 0.12 degrees; landing 52.196405171, 0.124387344 degrees",
    499.98942,
    lambda: hypot(*landing()),
    absolute(0.02),  # the geodesic, against the plane that touches the pad
    GEODESY,
)
check(
    "bearing from the pad to a landing by coordinates, degrees",
    "pad 52.2, 0.12 degrees; landing 52.196405171, 0.124387344 degrees",
    143.130101,
    lambda: degrees(np.arctan2(*landing())),
    absolute(1e-3),
    GEODESY,
)


@cache
def landing() -> tuple[float, float]:
    """Return east and north of a landing by its coordinates."""
    landed = Landed(
        latitude=Quantity(radians(52.196405171)), longitude=Quantity(radians(0.124387344))
    )
    found = landing_place(landed, Pad(radians(52.2), radians(0.12), 15.0))
    assert found is not None
    assert found.place is not None
    return float(found.place[0]), float(found.place[1])


check(
    "metres of a degree of latitude at 45 degrees",
    "height 0",
    111_131.777,
    lambda: radians(1.0) * meridian_radius(radians(45.0)),
    absolute(1e-3),
    GEODESY,
)
check(
    "metres of a degree of longitude at 45 degrees",
    "height 0",
    78_846.835,
    lambda: radians(1.0) * normal_radius(radians(45.0)) * np.cos(radians(45.0)),
    absolute(1e-3),
    GEODESY,
)
check(
    "up of a place at the pad's height 1 km away, m",
    "52.2 degrees, 1 km north",
    -0.0785,
    lambda: ground_offset(
        radians(52.2) + 1000.0 / meridian_radius(radians(52.2)), 0.0, 0.0, radians(52.2), 0.0, 0.0
    )[2],
    absolute(5e-4),
    "curvature of the earth: d²/2R with R 6371 km",
)

# ---------------------------------------------------------------- sound

SOUND = "γ 1.4, R 287.0529: √(γ R T)"
for warmth, speed in ((0.0, 331.32), (15.0, 340.294), (20.0, 343.234), (25.0, 346.148)):
    check(
        "way of a sound in one second, m",
        f"{warmth:g} °C",
        speed,
        lambda warmth=warmth: 100.0 / sound_delay(100.0, warmth + 273.15),
        absolute(0.02),
        SOUND,
    )
check(
    "delay of a sound over 100 m, s",
    "15 °C",
    0.293864,
    lambda: sound_delay(100.0, 288.15),
    absolute(1e-6),
    SOUND,
)
