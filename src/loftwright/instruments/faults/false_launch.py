"""Somebody handles the vehicle on the pad after power-up."""

from __future__ import annotations

import numpy as np

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT, ON_THE_PAD, the_vehicle

__all__ = ["FAULT"]


LINE_PULLED = 0.5  # how often a knock opens the line as well


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Knock it, and pull the line in half of all cases."""
    when = dice.uniform("when", *ON_THE_PAD)
    until = when + dice.spread("length", 0.03, 0.5)
    knock = dice.spread("knock", 20.0, 100.0)
    opens = np.where(dice.happens("line", LINE_PULLED), when, np.inf)
    return Effect(
        lanes={
            name: {
                "BUMP_FROM": when,
                "BUMP_UNTIL": until,
                "BUMP": knock,
                "LINE_OPENS": np.minimum(scene.lane(name, "LINE_OPENS"), opens)
                if wires.switch
                else scene.lane(name, "LINE_OPENS"),
            }
            for name, wires in scene.wiring.controllers.items()
        }
    )


FAULT = Fault(
    name="false launch by handling",
    group="launch",
    says="Somebody knocks {part} on the pad, hard enough to be taken for a launch.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=the_vehicle,
    effect=effect,
)
