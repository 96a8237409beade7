"""A connector comes apart at liftoff."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import FAR, JUDGEMENT, actuators_at, controllers_at

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Open it with the first motion, for good."""
    return Effect(
        lanes={name: {"OPEN_FROM": 0.0, "OPEN_UNTIL": FAR} for name in controllers_at(scene, part)},
        actuators={
            name: {"dark_from": 0.0, "dark_until": FAR} for name in actuators_at(scene, part)
        },
    )


FAULT = Fault(
    name="connector opens at liftoff",
    group="supply",
    says="{part} comes apart at liftoff and stays open.",
    chance=0.005,
    chance_source=JUDGEMENT,
    parts=each("connector"),
    effect=effect,
)
