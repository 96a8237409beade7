"""A sensor reads the end of its range."""

from __future__ import annotations

import numpy as np

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import ANY_TIME, FAR, JUDGEMENT, readers

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it read one end of its range, or the other, from some moment on."""
    when = dice.uniform("when", *ANY_TIME)
    is_high = dice.happens("high", 0.5)
    lanes = {}
    for name in readers(scene, part):
        if part.kind == "barometer":
            low, high, prefix = scene.lane(name, "UNDER"), scene.lane(name, "OVER"), ""
        else:
            high, prefix = scene.lane(name, "PUSH_RANGE"), "PUSH_"
            low = -high
        lanes[name] = {
            f"{prefix}FAIL_FROM": when,
            f"{prefix}FAIL_UNTIL": FAR,
            f"{prefix}FAIL_READS": np.where(is_high, high, low),
        }
    return Effect(lanes=lanes)


FAULT = Fault(
    name="sensor out of range",
    group="sensing",
    says="{part} reads an end of its range.",
    chance=0.002,
    chance_source=JUDGEMENT,
    parts=each("barometer", "accelerometer"),
    effect=effect,
)
