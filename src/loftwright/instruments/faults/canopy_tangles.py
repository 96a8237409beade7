"""The canopy opens tangled."""

from __future__ import annotations

from loftwright.instruments.fault import VEHICLE, Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


DRAG = "vehicle.canopy.drag_coefficient"


def parts(scene: Scene) -> list[Part]:
    """Return the vehicle, where it has a canopy."""
    return [VEHICLE] if DRAG in scene.values else []


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave a share of its drag."""
    return Effect(values={DRAG: dice.uniform("left", 0.1, 0.5) * scene.value(DRAG)})


FAULT = Fault(
    name="canopy tangles",
    group="canopy",
    says="The canopy of {part} tangles and bears a part of what it should.",
    chance=0.03,
    chance_source=JUDGEMENT,
    parts=parts,
    effect=effect,
)
