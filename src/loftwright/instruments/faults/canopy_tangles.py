"""The canopy opens tangled."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import CANOPY_DRAG, JUDGEMENT, the_canopy

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave a share of its drag."""
    return Effect(values={CANOPY_DRAG: dice.uniform("left", 0.1, 0.5) * scene.value(CANOPY_DRAG)})


FAULT = Fault(
    name="canopy tangles",
    group="canopy",
    says="The canopy of {part} tangles and bears a part of what it should.",
    chance=0.03,
    chance_source=JUDGEMENT,
    parts=the_canopy,
    effect=effect,
)
