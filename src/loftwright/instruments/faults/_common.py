"""What several faults share: when things happen, and whom a part concerns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from loftwright.instruments.fault import VEHICLE, Effect, Part, Scene
from loftwright.instruments.kernel.slots import FAR

__all__ = [
    "ANY_TIME",
    "CANOPY_DRAG",
    "FAR",
    "IN_FLIGHT",
    "JUDGEMENT",
    "ON_THE_PAD",
    "actuators_at",
    "controllers_at",
    "readers",
    "sensed",
    "the_canopy",
    "the_vehicle",
]

JUDGEMENT = "judgement"
CANOPY_DRAG = "vehicle.canopy.drag_coefficient"
# s; from first motion to a while after the top of such flights, and before (judgement)
IN_FLIGHT = (0.0, 6.0)
ON_THE_PAD = (-10.0, -1.0)
ANY_TIME = (-5.0, 6.0)


def controllers_at(scene: Scene, part: Part) -> list[str]:
    """Return the controllers that hang on a battery or a connector."""
    return [
        wires.name
        for wires in scene.wiring.controllers.values()
        if part.name == wires.battery or part.name in wires.connectors
    ]


def actuators_at(scene: Scene, part: Part) -> list[str]:
    """Return the actuators that hang on a battery or a connector."""
    return [
        wires.name
        for wires in scene.wiring.actuators.values()
        if part.name == wires.battery or part.name in wires.connectors
    ]


def readers(scene: Scene, part: Part) -> tuple[str, ...]:
    """Return the controllers that read a sensor, or whose barometer sits in a bay."""
    if part.kind == "bay":
        return scene.wiring.in_bay(part.name)
    return scene.wiring.reading(part.name)


def sensed(scene: Scene, part: Part, changes: Mapping[str, Any]) -> Effect:
    """Return the same changes for every controller that reads a sensor or a bay.

    Names of windows that both sensors have are those of the barometer; of an accelerometer they
    are taken with ``PUSH_`` before them.
    """
    prefix = "PUSH_" if part.kind == "accelerometer" else ""
    named = {f"{prefix}{name}": value for name, value in changes.items()}
    return Effect(lanes=dict.fromkeys(readers(scene, part), named))


def the_canopy(scene: Scene) -> list[Part]:
    """Return the vehicle, where it has a canopy."""
    return [VEHICLE] if CANOPY_DRAG in scene.values else []


def the_vehicle(scene: Scene) -> list[Part]:
    """Return the vehicle, as what a fault happens to."""
    return [VEHICLE]
