"""The canopy comes out and does not fill."""

from __future__ import annotations

from loftwright.instruments.fault import VEHICLE, Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


DRAG = "vehicle.canopy.drag_coefficient"


def parts(scene: Scene) -> list[Part]:
    """Return the vehicle, where it has a canopy."""
    return [VEHICLE] if DRAG in scene.values else []


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave the drag of a streamer: a few hundredths of a full canopy's."""
    return Effect(values={DRAG: dice.uniform("left", 0.02, 0.06) * scene.value(DRAG)})


FAULT = Fault(
    name="canopy does not fill",
    group="canopy",
    says="The canopy of {part} comes out as a bundle and does not fill.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=parts,
    effect=effect,
)
