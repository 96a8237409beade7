"""Compressed air leaks into a bay once it is pushed."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT
from loftwright.instruments.faults._leak import leaking

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Begin with the first motion, as a seal moves, and end with the pressure."""
    until = dice.uniform("until", 0.1, 1.0)
    return leaking(scene, part, dice, 0.0, until)


FAULT = Fault(
    name="leak into the bay in flight",
    group="sensing",
    says="A seal gives at liftoff, and compressed air leaks into {part}.",
    chance=0.005,
    chance_source=JUDGEMENT,
    parts=each("bay"),
    effect=effect,
)
