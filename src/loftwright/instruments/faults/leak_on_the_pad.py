"""Compressed air leaks into a bay on the pad."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import FAR, JUDGEMENT
from loftwright.instruments.faults._leak import leaking

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leak from the filling on, until the vessel is spent."""
    until = dice.uniform("until", 0.1, 0.4)
    return leaking(scene, part, dice, -FAR, until)


FAULT = Fault(
    name="leak into the bay on the pad",
    group="sensing",
    says="Compressed air leaks into {part} from before power-up until the vessel is spent.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("bay"),
    effect=effect,
)
