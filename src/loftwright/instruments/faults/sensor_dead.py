"""A sensor stops answering."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import ANY_TIME, FAR, JUDGEMENT, sensed

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let it read nothing from some moment on."""
    when = dice.uniform("when", *ANY_TIME)
    failed = {"FAIL_FROM": when, "FAIL_UNTIL": FAR, "FAIL_READS": float("nan")}
    return sensed(scene, part, failed)


FAULT = Fault(
    name="sensor dead",
    group="sensing",
    says="{part} stops answering.",
    chance=0.003,
    chance_source=JUDGEMENT,
    parts=each("barometer", "accelerometer"),
    effect=effect,
)
