"""An actuator moves slowly."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Multiply its travel time."""
    slower = dice.spread("factor", 2.0, 10.0)
    return Effect(
        actuators={part.name: {"travel_time": slower * scene.actuators[part.name].travel_time}}
    )


FAULT = Fault(
    name="actuator slow",
    group="actuators",
    says="{part} is several times slower than it should be, as in the cold.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=each("actuator"),
    effect=effect,
)
