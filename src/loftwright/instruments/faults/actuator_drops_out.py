"""An actuator loses its current for a while."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import IN_FLIGHT, JUDGEMENT

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave it without current at some moment of the flight."""
    when = dice.uniform("when", *IN_FLIGHT)
    until = when + dice.spread("length", 0.2, 5.0)
    return Effect(actuators={part.name: {"dark_from": when, "dark_until": until}})


FAULT = Fault(
    name="actuator drops out",
    group="actuators",
    says="The wire to {part} is broken for a while.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("actuator"),
    effect=effect,
)
