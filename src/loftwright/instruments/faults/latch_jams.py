"""What an actuator has let go jams."""

from __future__ import annotations

import numpy as np

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it come free late; in one of four flights not at all."""
    late = dice.spread("late", 0.1, 5.0)
    never = dice.happens("never", 0.25)
    return Effect(actuators={part.name: {"sticks": np.where(never, np.inf, late)}})


FAULT = Fault(
    name="latch jams",
    group="actuators",
    says="{part} has moved, and what it should free sticks for a while.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=each("actuator"),
    effect=effect,
)
