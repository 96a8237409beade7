"""The canopy comes out and does not fill."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import CANOPY_DRAG, JUDGEMENT, the_canopy

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave the drag of a streamer: a few hundredths of a full canopy's."""
    return Effect(values={CANOPY_DRAG: dice.uniform("left", 0.02, 0.06) * scene.value(CANOPY_DRAG)})


FAULT = Fault(
    name="canopy does not fill",
    group="canopy",
    says="The canopy of {part} comes out as a bundle and does not fill.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=the_canopy,
    effect=effect,
)
