"""A connector opens for a moment under acceleration."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT, actuators_at, controllers_at
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["FAULT"]


SETTLES = 0.3  # s after first motion until nothing shakes it any more


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it open at a few g, and stay open for a while after."""
    bears = dice.uniform("bears", 2.0 * GRAVITY, 8.0 * GRAVITY)
    stays = dice.spread("stays", 0.02, 1.0)
    return Effect(
        lanes={
            name: {"OPENS_AT": bears, "OPEN_FOR": stays} for name in controllers_at(scene, part)
        },
        actuators={
            name: {"dark_from": 0.0, "dark_until": SETTLES + stays}
            for name in actuators_at(scene, part)
        },
    )


FAULT = Fault(
    name="connector opens under acceleration",
    group="supply",
    says="{part} opens for a moment while the vehicle is pushed.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("connector"),
    effect=effect,
)
