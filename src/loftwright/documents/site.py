"""``site.toml``: the field, its air, its wind, and how the pad is set."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.corners import Corner
from loftwright.documents.fields import Quantity, choice, corners, quantity, table, tables, text

__all__ = ["ASSUMED_WIND_HEIGHT", "Air", "Launch", "Place", "Shape", "Site", "Wind"]

ASSUMED_WIND_HEIGHT = Quantity(2.0)  # m, of a reading in the hand, held up


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the pad stands."""

    name: str | None = text("What the place is called.", default=None, example="North meadow")
    latitude: Quantity = quantity(
        "angle",
        "Latitude, north positive.",
        at_least=-1.5707964,
        at_most=1.5707964,
        example="52.1 deg",
    )
    longitude: Quantity = quantity(
        "angle",
        "Longitude, east positive.",
        at_least=-3.1415927,
        at_most=3.1415927,
        example="4.9 deg",
    )
    elevation: Quantity = quantity(
        "length",
        "Height of the pad above mean sea level.",
        at_least=-500,
        at_most=6000,
        example="35 ft",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air at the pad."""

    pressure: Quantity | None = quantity(
        "absolute_pressure",
        "Absolute pressure at the pad (not reduced to sea level); standard when left out.",
        default=None,
        at_least=40e3,
        at_most=110e3,
        example="1008 hPa ± 1 hPa",
    )
    temperature: Quantity = quantity(
        "temperature",
        "Air temperature.",
        at_least=223.15,
        at_most=333.15,
        example="17 degC ± 1 degC",
    )
    humidity: Quantity = quantity(
        "number",
        "Relative humidity, 0 to 1.",
        default=Quantity(0.5, 0.0),
        at_least=0,
        at_most=1,
        example="60 %",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wind:
    """The wind; a logarithmic profile is drawn through the measured speed."""

    speed: Quantity = quantity("speed", "Mean speed.", at_least=0, example="6 mph ± 2 mph")
    coming_from: Quantity = quantity(
        "angle",
        "Direction it comes from, clockwise from true north.",
        example="240 deg ± 15 deg",
        key="from",
    )
    at_height: Quantity = quantity(
        "length",
        "Height of the measurement above ground.",
        default=ASSUMED_WIND_HEIGHT,
        above=0,
        example="2 m",
    )
    roughness: Quantity = quantity(
        "length",
        "Roughness length of the ground upwind.",
        default=Quantity(0.03),
        above=0,
        at_most=3.0,
        example="0.03 m",
    )
    gust: Quantity | None = quantity(
        "speed",
        "Peak gust seen beside the mean; taken as three standard deviations above it.",
        default=None,
        at_least=0,
        example="10 mph",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Launch:
    """How the pad is set."""

    elevation: Quantity = quantity(
        "angle",
        "Angle of the guide above the horizon.",
        above=0.0,
        at_most=1.5707964,
        example="88 deg ± 0.5 deg",
    )
    azimuth: Quantity = quantity(
        "angle",
        "Direction it leans to, clockwise from true north.",
        default=Quantity(0.0),
        example="240 deg",
    )
    guide_length: Quantity = quantity(
        "length", "How far the guide holds the vehicle straight.", at_least=0, example="1.0 m"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Something on the ground: where things may land, where not, and what catches them."""

    name: str = text("What it is called.", example="North wood")
    kind: str = choice(
        "field edge",
        "trees",
        "building",
        "water",
        "road",
        "people",
        "people line",
        doc="What it is; nobody may be hit on the far side of a people line.",
    )
    corners: tuple[Corner, ...] = corners(
        "Its corners in turn, each once.",
        example='["40 m, -20 m", "40 m, 60 m", "-30 m, 60 m", "-30 m, -20 m"]',
    )
    height: Quantity | None = quantity(
        "length",
        "Height of its top above the pad; trees and buildings catch what flies in below it.",
        default=None,
        above=0,
        at_most=150,
        example="12 m ± 2 m",
    )
    width: Quantity | None = quantity(
        "length",
        "Width of a road or of water whose corners run along its middle.",
        default=None,
        above=0,
        at_most=500,
        example="6 m",
    )
    people: Quantity | None = quantity(
        "number",
        "How many people stand in it.",
        default=None,
        at_least=0,
        at_most=100_000,
        example="20 ± 5",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Place, air, wind, pad, and what lies around it."""

    place: Place = table(Place, "Where the pad stands.")
    air: Air = table(Air, "The air at the pad.")
    wind: Wind = table(Wind, "The wind.")
    launch: Launch = table(Launch, "How the pad is set.")
    shape: tuple[Shape, ...] = tables(Shape, "What lies on the ground.")
