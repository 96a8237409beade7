"""``boosters.toml`` and ``upper.toml``: further pressure stages.

Each is a vehicle like that of ``vehicle.toml``, with one table more that says where it sits on the
vehicle, when the two part, and when its own nozzle opens.
"""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, choice, quantity, table, whole
from loftwright.documents.vehicle import Vehicle

__all__ = ["Attach", "Boosters", "Stack", "Upper"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Attach:
    """How the boosters stand around the vehicle, and when they leave it."""

    count: int = whole("Number of equal boosters.", example="2", at_least=2, at_most=6)
    from_nose: Quantity = quantity(
        "length",
        "Nose tip of a booster, aft of the vehicle's nose tip.",
        example="0.30 m",
    )
    offset: Quantity = quantity(
        "length", "Axis of a booster, sideways from the vehicle's axis.", above=0, example="105 mm"
    )
    around: Quantity = quantity(
        "angle",
        "Where the first one stands, clockwise from the side that faces the launch azimuth, seen "
        "from behind; the others follow evenly.",
        default=Quantity(0.0),
        example="0 deg",
    )
    part_when: str = choice(
        "spent",
        "time",
        "apogee",
        "never",
        doc="What parts them from the vehicle: their own jets have ended, a time after liftoff, "
        "the top, or nothing.",
        default="spent",
    )
    time: Quantity | None = quantity(
        "time",
        'Time after liftoff, for part_when = "time".',
        default=None,
        above=0,
        example="0.4 s",
    )
    delay: Quantity = quantity(
        "time",
        "From that moment until they are free.",
        default=Quantity(0.0),
        at_least=0,
        example="0.05 s ± 0.02 s",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """How the upper stage sits on the vehicle, when it leaves, and when it fires."""

    from_nose: Quantity = quantity(
        "length",
        "Nose tip of the upper stage, aft of the vehicle's own nose tip; it lies ahead of it, so "
        "this is negative.",
        example="-0.60 m",
    )
    part_when: str = choice(
        "air out",
        "climb",
        "apogee",
        "time",
        doc="What parts it from the vehicle: the vehicle's jet has ended, a climb speed fallen "
        "below a threshold, the top, or a time after liftoff.",
        default="air out",
    )
    climb: Quantity | None = quantity(
        "speed", 'Climb speed, for part_when = "climb".', default=None, example="20 m/s"
    )
    time: Quantity | None = quantity(
        "time",
        'Time after liftoff, for part_when = "time".',
        default=None,
        above=0,
        example="0.6 s",
    )
    delay: Quantity = quantity(
        "time",
        "From that moment until it is free.",
        default=Quantity(0.0),
        at_least=0,
        example="0.05 s ± 0.02 s",
    )
    fires: str = choice(
        "parting",
        "climb",
        "time",
        "never",
        doc="What opens its nozzle: its parting, a climb speed fallen below a threshold, a time "
        "after liftoff, or nothing.",
        default="parting",
    )
    fires_climb: Quantity | None = quantity(
        "speed", 'Climb speed, for fires = "climb".', default=None, example="15 m/s"
    )
    fires_time: Quantity | None = quantity(
        "time", 'Time after liftoff, for fires = "time".', default=None, above=0, example="0.8 s"
    )
    fires_delay: Quantity = quantity(
        "time",
        "From that moment until its nozzle opens.",
        default=Quantity(0.0),
        at_least=0,
        example="0.1 s ± 0.03 s",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Boosters(Vehicle):
    """Equal pressure stages beside the vehicle: one booster, and how they are attached."""

    attach: Attach = table(Attach, "Where they stand, and when they leave.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Upper(Vehicle):
    """A pressure stage on top of the vehicle."""

    stack: Stack = table(Stack, "Where it sits, when it leaves and when it fires.")
