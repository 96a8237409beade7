"""A battery sags under load: old, cold, or half empty."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT, actuators_at, controllers_at

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Raise its inner resistance several times over."""
    factor = dice.spread("factor", 3.0, 15.0)
    return Effect(
        lanes={
            name: {"RESISTANCE": factor * scene.lane(name, "RESISTANCE")}
            for name in controllers_at(scene, part)
        },
        actuators={
            name: {"resistance": factor * scene.actuators[name].resistance}
            for name in actuators_at(scene, part)
        },
    )


FAULT = Fault(
    name="battery sags",
    group="supply",
    says="{part} sags under load, as an old or a cold one does.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=each("battery"),
    effect=effect,
)
