"""The vents of a bay are blocked."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT, sensed

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let nothing through: the bay keeps the air that it was closed with."""
    return sensed(scene, part, {"PORT_FLOW": 0.0})


FAULT = Fault(
    name="vent blocked",
    group="sensing",
    says="The vents of {part} are blocked, by tape or by a lining that slipped.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("bay"),
    effect=effect,
)
