"""The line that tells of liftoff never opens."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import FAR, JUDGEMENT, sensed

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Keep it closed."""
    return sensed(scene, part, {"LINE_OPENS": FAR})


FAULT = Fault(
    name="launch missed",
    group="launch",
    says="{part} stays closed, so that it does not tell of the launch.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=each("switch"),
    effect=effect,
)
