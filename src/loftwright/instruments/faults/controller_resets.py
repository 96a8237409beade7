"""A controller resets in flight."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import IN_FLIGHT, JUDGEMENT

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Hold it in reset for a moment; it then starts as it did on the pad."""
    when = dice.uniform("when", *IN_FLIGHT)
    until = when + dice.spread("length", 0.02, 0.2)
    return Effect(lanes={part.name: {"RESET_FROM": when, "RESET_UNTIL": until}})


FAULT = Fault(
    name="controller resets in flight",
    group="supply",
    says="{part} resets in flight and begins anew, as if on the pad.",
    chance=0.005,
    chance_source=JUDGEMENT,
    parts=each("controller"),
    effect=effect,
)
