"""A barometer gives values late and seldom."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT, readers

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it give a value a few times a second, behind a heavier filter than was set."""
    every = dice.spread("every", 0.1, 0.5)
    heavier = dice.spread("filter", 1.0, 8.0)
    return Effect(
        lanes={
            name: {"EVERY": every, "SHARE": scene.lane(name, "SHARE") / heavier}
            for name in readers(scene, part)
        }
    )


FAULT = Fault(
    name="sensor slow",
    group="sensing",
    says="{part} gives values late and seldom, as with the wrong settings.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("barometer"),
    effect=effect,
)
