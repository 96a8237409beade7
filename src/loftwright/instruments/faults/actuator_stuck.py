"""An actuator pushes and does not move."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it stall at the start, with the current that takes."""
    return Effect(actuators={part.name: {"holds": 0.0}})


FAULT = Fault(
    name="actuator stuck",
    group="actuators",
    says="{part} pushes and does not move.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("actuator"),
    effect=effect,
)
