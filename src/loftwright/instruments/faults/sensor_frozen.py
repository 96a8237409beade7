"""A sensor goes on with its last value."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import ANY_TIME, FAR, JUDGEMENT, sensed

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it repeat its last value from some moment on."""
    when = dice.uniform("when", *ANY_TIME)
    return sensed(scene, part, {"FREEZE_FROM": when, "FREEZE_UNTIL": FAR})


FAULT = Fault(
    name="sensor frozen",
    group="sensing",
    says="{part} goes on with its last value.",
    chance=0.003,
    chance_source=JUDGEMENT,
    parts=each("barometer", "accelerometer"),
    effect=effect,
)
