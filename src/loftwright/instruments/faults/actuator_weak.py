"""An actuator is only just strong enough, or not."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it need about the voltage that it has under load."""
    own = scene.actuators[part.name]
    needs = dice.uniform("needs", 0.8, 1.05) * own.loaded
    slower = dice.uniform("slower", 1.0, 2.0)
    return Effect(
        actuators={part.name: {"least_voltage": needs, "travel_time": slower * own.travel_time}}
    )


FAULT = Fault(
    name="actuator weak",
    group="actuators",
    says="{part} is only just strong enough, so that a weak battery stalls it.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("actuator"),
    effect=effect,
)
