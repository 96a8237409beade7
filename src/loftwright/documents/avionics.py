"""``avionics.toml``: what senses, decides and acts on board, and how it is wired together.

Parts refer to each other by their names. A field that names several parts is one text with the
names between commas.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from loftwright.documents.fields import Quantity, choice, quantity, tables, text, whole

__all__ = [
    "KINDS",
    "WORKS",
    "Accelerometer",
    "Actuator",
    "Avionics",
    "Barometer",
    "Battery",
    "Bay",
    "Connector",
    "Controller",
    "FaultChance",
    "Indicator",
    "Switch",
    "names_in",
    "parts",
]

# What an actuator can work: a payload's hold or the canopy.
WORKS = ("payload", "payload2", "payload3", "canopy")
# The tables of parts that have a name, in the order in which they stand in the document.
KINDS = (
    "bay",
    "battery",
    "connector",
    "barometer",
    "accelerometer",
    "switch",
    "controller",
    "actuator",
    "indicator",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """A closed room inside the vehicle that breathes through its vents; barometers sit in it."""

    name: str = text("What the bay is called.", example="nose bay")
    volume: Quantity = quantity("volume", "Air inside.", above=0, example="180 mL ± 10 mL")
    vent_count: int = whole("Number of vents.", example="4", at_least=1, at_most=64)
    vent_diameter: Quantity = quantity(
        "length", "Diameter of one vent.", above=0, example="2 mm ± 0.1 mm"
    )
    vent_coefficient: Quantity = quantity(
        "number",
        "Flow through a vent over the loss-free flow.",
        default=Quantity(0.6, 0.05),
        above=0,
        at_most=1.0,
        example="0.6 ± 0.05",
    )
    port_coefficient: Quantity = quantity(
        "number",
        "Pressure at the vents above that of the air around, over the dynamic pressure.",
        default=Quantity(0.0, 0.03),
        at_least=-2.0,
        at_most=1.0,
        example="0 ± 0.03",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """A source of current, with the resistance that makes its voltage sag."""

    name: str = text("What the battery is called.", example="main cell")
    voltage: Quantity = quantity(
        "voltage", "Voltage without load, as charged for the flight.", above=0, example="3.9 V"
    )
    resistance: Quantity = quantity(
        "resistance",
        "Inner resistance: voltage lost for each ampere.",
        default=Quantity(0.2, 0.1),
        at_least=0,
        example="0.25 ohm ± 0.05 ohm",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """A plug, clip or holder that current goes through, and that may open."""

    name: str = text("What the connector is called.", example="bay plug")
    bears: Quantity | None = quantity(
        "acceleration",
        "Acceleration at which it opens for a moment; never by itself when left out.",
        default=None,
        above=0,
        example="80 g ± 15 g",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Barometer:
    """A sensor of the pressure in its bay."""

    name: str = text("What the sensor is called.", example="baro")
    bay: str = text("Name of the bay that it sits in.", example="nose bay")
    noise: Quantity = quantity(
        "pressure_difference",
        "Standard deviation of one value before the filter.",
        default=Quantity(1.5, 0.0),
        at_least=0,
        example="1.5 Pa",
    )
    resolution: Quantity = quantity(
        "pressure_difference",
        "Step between neighbouring values.",
        default=Quantity(0.2, 0.0),
        above=0,
        example="0.2 Pa",
    )
    filter: int = whole(
        "Coefficient of the sensor's own filter: how many parts the last value weighs, the new one "
        "among them; 1 is off.",
        example="4",
        at_least=1,
        at_most=256,
        default=1,
    )
    every: Quantity = quantity(
        "time",
        "Time from one new value to the next; in between the last one is read again.",
        default=Quantity(0.0, 0.0),
        at_least=0,
        at_most=10.0,
        example="20 ms",
    )
    jitter: Quantity = quantity(
        "time",
        "Standard deviation of when a value is taken.",
        default=Quantity(0.0, 0.0),
        at_least=0,
        at_most=1.0,
        example="0.5 ms",
    )
    temperature_drift: Quantity = quantity(
        "temperature_drift",
        "How far it reads wrong for each kelvin of warming.",
        default=Quantity(0.0, 1.5),
        example="0 Pa/K ± 1.5 Pa/K",
    )
    warming: Quantity = quantity(
        "temperature_difference",
        "How much warmer it gets within the minute after power-up.",
        default=Quantity(0.0, 2.0),
        example="2 K ± 2 K",
    )
    least: Quantity = quantity(
        "absolute_pressure",
        "Lowest pressure that it can read.",
        default=Quantity(30e3, 0.0),
        above=0,
        example="30 kPa",
    )
    most: Quantity = quantity(
        "absolute_pressure",
        "Highest pressure that it can read.",
        default=Quantity(110e3, 0.0),
        above=0,
        example="110 kPa",
    )
    error_pressure: Quantity | None = quantity(
        "absolute_pressure",
        "What it reports outside that range; the limit itself when left out.",
        default=None,
        at_least=0,
        example="0 Pa",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Accelerometer:
    """A sensor of the push along the vehicle's axis, gravity's opposite included."""

    name: str = text("What the sensor is called.", example="accel")
    range: Quantity = quantity(
        "acceleration", "Largest push that it can read, either way.", above=0, example="16 g"
    )
    bias: Quantity = quantity(
        "acceleration",
        "How far it reads wrong, always.",
        default=Quantity(0.0, 0.980665),
        example="0 g ± 0.1 g",
    )
    noise: Quantity = quantity(
        "acceleration",
        "Standard deviation of one value.",
        default=Quantity(0.4903325, 0.0),
        at_least=0,
        example="0.05 g",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """A line that is closed on the pad and opens at liftoff: a wire, a plug, a lever."""

    name: str = text("What the line is called.", example="pad line")


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """What runs a release program."""

    name: str = text("What the controller is called.", example="main")
    program: str = text("File of its program.", example="program-main.toml")
    battery: str = text("Name of the battery that feeds it.", example="main cell")
    through: str | None = text(
        "Names of the connectors between the two.", default=None, example="bay plug, nose plug"
    )
    senses: str = text("Names of the sensors that it reads.", example="baro, accel, pad line")
    draw: Quantity = quantity(
        "current", "Current that it takes.", default=Quantity(0.06, 0.0), at_least=0,
        example="60 mA",
    )  # fmt: skip
    brownout: Quantity = quantity(
        "voltage",
        "Voltage below which it stops, and starts anew once there is more.",
        default=Quantity(2.7, 0.1),
        at_least=0,
        example="2.7 V ± 0.1 V",
    )
    start_up: Quantity = quantity(
        "time",
        "Time from power to its first sample.",
        default=Quantity(0.5, 0.0),
        at_least=0,
        at_most=60.0,
        example="0.5 s",
    )
    clock_drift: Quantity = quantity(
        "number",
        "How much faster than time its clock runs.",
        default=Quantity(0.0, 0.005),
        above=-0.5,
        at_most=0.5,
        example="0 ± 0.005",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Actuator:
    """What moves when a controller says so: a latch, a burning wire, a spring's catch."""

    name: str = text("What the actuator is called.", example="latch")
    controller: str = text("Name of the controller that commands it.", example="main")
    output: str = text("Output of that controller's program.", example="latch")
    battery: str = text("Name of the battery that drives it.", example="main cell")
    through: str | None = text(
        "Names of the connectors between the two.", default=None, example="bay plug"
    )
    works: str = choice(
        *WORKS, doc="What it lets go: a payload, by the document's role, or the canopy."
    )
    delay: Quantity = quantity(
        "time",
        "From the command to the start of its motion.",
        default=Quantity(0.03, 0.01),
        at_least=0,
        example="30 ms ± 8 ms",
    )
    travel_time: Quantity = quantity(
        "time",
        "Time of its motion until things are free, at the battery's full voltage.",
        default=Quantity(0.1, 0.02),
        at_least=0,
        example="90 ms ± 20 ms",
    )
    draw: Quantity = quantity(
        "current",
        "Current while it moves.",
        default=Quantity(0.5, 0.1),
        at_least=0,
        example="0.5 A",
    )
    stall_draw: Quantity | None = quantity(
        "current",
        "Current while it pushes and does not move; as while it moves when left out.",
        default=None,
        at_least=0,
        example="1.2 A",
    )
    least_voltage: Quantity = quantity(
        "voltage",
        "Voltage below which it does not move.",
        default=Quantity(0.0, 0.0),
        at_least=0,
        example="2.9 V",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Indicator:
    """What tells people on the ground: it moves nothing."""

    name: str = text("What the indicator is called.", example="beeper")
    kind: str = choice("beeper", "light", doc="Heard or seen.")
    controller: str = text("Name of the controller that works it.", example="main")
    output: str = text("Output of that controller's program.", example="beeper")


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultChance:
    """How likely a fault of the library is on this vehicle."""

    name: str = text("Name of the fault, as the library has it.", example="vent blocked")
    part: str | None = text(
        "Name of the part that it happens to; every such part when left out.",
        default=None,
        example="nose bay",
    )
    chance: Quantity = quantity(
        "number", "Share of flights in which it happens.", at_least=0, at_most=1.0, example="0.01"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Avionics:
    """What senses, decides and acts on board."""

    name: str = text("What the avionics are called.", example="Sedge electronics")
    pad_wait: Quantity = quantity(
        "time",
        "From power-up of the controllers to first motion.",
        default=Quantity(20.0, 5.0),
        at_least=1.0,
        at_most=3600.0,
        example="20 s ± 5 s",
    )
    bay: tuple[Bay, ...] = tables(Bay, "Rooms that barometers sit in.")
    battery: tuple[Battery, ...] = tables(Battery, "Sources of current.")
    connector: tuple[Connector, ...] = tables(Connector, "Plugs, clips and holders.")
    barometer: tuple[Barometer, ...] = tables(Barometer, "Sensors of pressure.")
    accelerometer: tuple[Accelerometer, ...] = tables(Accelerometer, "Sensors of push.")
    switch: tuple[Switch, ...] = tables(Switch, "Lines that open at liftoff.")
    controller: tuple[Controller, ...] = tables(Controller, "What runs a program.")
    actuator: tuple[Actuator, ...] = tables(Actuator, "What moves.")
    indicator: tuple[Indicator, ...] = tables(Indicator, "What is heard or seen.")
    fault: tuple[FaultChance, ...] = tables(FaultChance, "Chances other than the library's.")


def names_in(text: str | None) -> tuple[str, ...]:
    """Return the names that stand in one text between commas.

    >>> names_in("bay plug, nose plug")
    ('bay plug', 'nose plug')
    """
    return tuple(name.strip() for name in (text or "").split(",") if name.strip())


def parts(avionics: Avionics) -> Iterator[tuple[str, int, Any]]:
    """Yield ``(kind, index, part)`` of every part that has a name."""
    for kind in KINDS:
        for index, part in enumerate(getattr(avionics, kind)):
            yield kind, index, part
