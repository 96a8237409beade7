"""A gust blows across the vents."""

from __future__ import annotations

import numpy as np

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import ANY_TIME, JUDGEMENT, sensed

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Raise or lower the pressure at the vents for a moment: 100 Pa is a gust of 13 m/s."""
    when = dice.uniform("when", *ANY_TIME)
    until = when + dice.spread("length", 0.1, 1.0)
    size = dice.spread("size", 10.0, 150.0)
    pressure = np.where(dice.happens("raises", 0.5), size, -size)
    return sensed(scene, part, {"GUST_FROM": when, "GUST_UNTIL": until, "GUST": pressure})


FAULT = Fault(
    name="gust across the vents",
    group="sensing",
    says="A gust across the vents shakes the pressure in {part}.",
    chance=0.05,
    chance_source=JUDGEMENT,
    parts=each("bay"),
    effect=effect,
)
