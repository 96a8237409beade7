"""``flights/<name>/flight.toml``: what was flown, what was recorded, what people saw and heard."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, quantity, table, tables, text, whole

__all__ = [
    "BODIES",
    "KINDS",
    "MOMENTS",
    "Conditions",
    "FlightEvidence",
    "FlightRecord",
    "Landed",
    "Saw",
    "Sighting",
    "Station",
    "Stopwatch",
]

# What can be let go, and what it was let go from.
BODIES = ("vehicle", "payload", "payload2", "payload3")
# The kinds of record that a flight may leave behind.
KINDS = ("log", "firing", "sound", "picture", "film", "other")
# The moments that a person, a microphone or a camera can tell.
MOMENTS = (
    "liftoff",
    "water out",
    "release",
    "apogee",
    "canopy open",
    "touchdown",
    "beep",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What was measured at the pad on the day; it counts before what the documents expected."""

    water_volume: Quantity | None = quantity(
        "volume", "Water that was filled in.", default=None, above=0, example="0.60 L ± 0.01 L"
    )
    gauge_pressure: Quantity | None = quantity(
        "gauge_pressure", "Pressure at launch.", default=None, above=0, example="80 psi ± 1 psi"
    )
    pressure: Quantity | None = quantity(
        "absolute_pressure",
        "Absolute air pressure at the pad.",
        default=None,
        at_least=40e3,
        at_most=110e3,
        example="1008 hPa ± 1 hPa",
    )
    temperature: Quantity | None = quantity(
        "temperature",
        "Air temperature.",
        default=None,
        at_least=223.15,
        at_most=333.15,
        example="17 degC ± 1 degC",
    )
    humidity: Quantity | None = quantity(
        "number",
        "Relative humidity, 0 to 1.",
        default=None,
        at_least=0,
        at_most=1,
        example="60 %",
    )
    wind_speed: Quantity | None = quantity(
        "speed", "Mean wind.", default=None, at_least=0, example="6 mph ± 2 mph"
    )
    wind_gust: Quantity | None = quantity(
        "speed", "Peak gust seen beside the mean.", default=None, at_least=0, example="10 mph"
    )
    wind_at_height: Quantity | None = quantity(
        "length",
        "Height above ground at which the wind was measured; the site's when left out.",
        default=None,
        above=0,
        example="2 m",
    )
    wind_from: Quantity | None = quantity(
        "angle",
        "Direction it came from, clockwise from true north.",
        default=None,
        example="240 deg ± 15 deg",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightEvidence:
    """A file that the flight left behind; kept byte for byte."""

    file: str = text("Its name in the folder evidence/.", example="board.csv")
    kind: str = choice(*KINDS, doc="What kind of record it is.")
    sha256: str = text("SHA-256 of its bytes, as they were taken in.", example="9f86d081...")
    size: int = whole("Its bytes.", example="48213")
    source: str | None = text(
        "The controller of the avionics that wrote it.", default=None, example="board"
    )
    clock: str | None = text(
        "The clock that its times are by; its own when left out.", default=None, example="phone"
    )
    reading: str | None = text(
        "The reading of its columns, by its name in readings.toml.", default=None, example="board"
    )
    flight_number: int | None = whole(
        "Which flight in the file this is, where it holds several; from 1.",
        example="2",
        at_least=1,
        at_most=1000,
        default=None,
    )
    said: str | None = text("What is known of it.", default=None, example="From Ana's phone.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw:
    """What somebody saw or heard happen, or not happen."""

    what: str = choice(*MOMENTS, doc="What it was.", example="canopy open")
    of: str = choice(*BODIES, doc="Of which body.", default="vehicle")
    happened: str = choice("yes", "no", doc="Whether it happened.", default="yes")
    how: str = choice("seen", "heard", "felt", doc="By which sense.", default="seen")
    at: Quantity | None = quantity(
        "time", "When, by its clock.", default=None, example="6.4 s ± 0.3 s"
    )
    clock: str = text("The clock that tells when.", default="watch", example="film")
    sure: Quantity = quantity(
        "number",
        "How sure that is, as the chance that it is true.",
        default=Quantity(0.9, 0.0),
        above=0.0,
        at_most=1.0,
        example="95 %",
    )
    by: str | None = text("Who tells it.", default=None, example="Ana")
    said: str | None = text("In their words.", default=None, example="It opened late.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopwatch:
    """A time between two moments, by a watch that was started and stopped by hand."""

    begin: str = choice(*MOMENTS, doc="What it was started at.", default="liftoff")
    end: str = choice(*MOMENTS, doc="What it was stopped at.", example="touchdown")
    of: str = choice(*BODIES, doc="Of which body.", default="vehicle")
    time: Quantity = quantity(
        "time", "What it showed.", above=0, at_most=3600, example="6.4 s ± 0.3 s"
    )
    by: str | None = text("Who held it.", default=None, example="Ben")


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place that was looked from."""

    name: str = text("What it is called.", example="Gate")
    east: Quantity = quantity("length", "East of the pad.", example="-60 m ± 1 m")
    north: Quantity = quantity("length", "North of the pad.", example="25 m ± 1 m")
    up: Quantity = quantity(
        "length", "Height of the eye above the pad.", default=Quantity(1.6, 0.1), example="1.6 m"
    )
    bearing_zero: Quantity = quantity(
        "angle",
        "What its compass or protractor shows towards true north.",
        default=Quantity(0.0, 0.0),
        example="2 deg ± 1 deg",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """Where a body stood in the sky, seen from a station."""

    station: str = text("The station.", example="Gate")
    of: str = choice(*BODIES, doc="Which body.", default="vehicle")
    moment: str | None = choice(
        *MOMENTS, doc="At which moment; or give the time.", default=None, example="apogee"
    )
    at: Quantity | None = quantity(
        "time", "When, by its clock.", default=None, example="6.4 s ± 0.3 s"
    )
    clock: str = text("The clock that tells when.", default="watch", example="film")
    bearing: Quantity | None = quantity(
        "angle", "Clockwise from true north.", default=None, example="74 deg ± 2 deg"
    )
    elevation: Quantity = quantity(
        "angle",
        "Above the horizon.",
        at_least=-1.5707964,
        at_most=1.5707964,
        example="41 deg ± 1 deg",
    )
    by: str | None = text("Who took it.", default=None, example="Ana")


@dataclass(frozen=True, slots=True, kw_only=True)
class Landed:
    """Where a body came down: paced from the pad, or by its coordinates."""

    of: str = choice(*BODIES, doc="Which body.", default="vehicle")
    distance: Quantity | None = quantity(
        "length", "Paced from the pad.", default=None, at_least=0, example="48 m ± 3 m"
    )
    bearing: Quantity | None = quantity(
        "angle",
        "Direction from the pad, clockwise from true north.",
        default=None,
        example="60 deg ± 10 deg",
    )
    latitude: Quantity | None = quantity(
        "angle",
        "Latitude, north positive.",
        default=None,
        at_least=-1.5707964,
        at_most=1.5707964,
        example="52.1003 deg",
    )
    longitude: Quantity | None = quantity(
        "angle",
        "Longitude, east positive.",
        default=None,
        at_least=-3.1415927,
        at_most=3.1415927,
        example="4.9006 deg",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightRecord:
    """A flight: what was flown, what was recorded, what people saw and heard."""

    name: str = text("What the flight is called.", example="First lift")
    flown: str | None = text("When: date, and time of day.", default=None, example="2026-05-03")
    asked: str | None = text(
        "What it was to answer; the campaign's question when left out.",
        default=None,
        example="Does the hold survive?",
    )
    outcome: str = choice(
        "not judged",
        "success",
        "partial",
        "failure",
        doc="How it went, by those who flew it.",
        default="not judged",
    )
    build: str | None = text(
        "SHA-256 over the documents as flown, which lie in the folder build/.",
        default=None,
        example="3a7bd3e2...",
    )
    note: str | None = text(
        "Anything that bears on all of it.", default=None, example="Invented for the demo."
    )
    conditions: Conditions | None = table(Conditions, "Measured on the day.", required=False)
    evidence: tuple[FlightEvidence, ...] = tables(FlightEvidence, "The files.")
    saw: tuple[Saw, ...] = tables(Saw, "What people saw and heard.")
    stopwatch: tuple[Stopwatch, ...] = tables(Stopwatch, "Times between two moments.")
    station: tuple[Station, ...] = tables(Station, "Where bearings were taken from.")
    sighting: tuple[Sighting, ...] = tables(Sighting, "Bearings and elevations.")
    landed: tuple[Landed, ...] = tables(Landed, "Where bodies came down.")
