"""The vessel loses pressure before launch."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT, the_vehicle

__all__ = ["FAULT"]


GAUGE = "vehicle.fill.gauge_pressure"


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Lose a share of the gauge pressure on the pad; the leak in the short push is small."""
    return Effect(values={GAUGE: dice.uniform("left", 0.2, 0.9) * scene.value(GAUGE)})


FAULT = Fault(
    name="vessel leaks",
    group="fill",
    says="The vessel of {part} leaks on the pad and is let go all the same.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=the_vehicle,
    effect=effect,
)
