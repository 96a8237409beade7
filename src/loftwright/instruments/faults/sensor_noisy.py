"""A sensor is noisy for a while."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import IN_FLIGHT, JUDGEMENT, readers

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Multiply its noise for a part of the flight; an accelerometer's throughout."""
    when = dice.uniform("when", *IN_FLIGHT)
    until = when + dice.spread("length", 0.2, 3.0)
    factor = dice.spread("factor", 5.0, 100.0)
    lanes = {}
    for name in readers(scene, part):
        if part.kind == "barometer":
            lanes[name] = {"BURST_FROM": when, "BURST_UNTIL": until, "BURST": factor}
        else:
            lanes[name] = {"PUSH_NOISE": factor * scene.lane(name, "PUSH_NOISE")}
    return Effect(lanes=lanes)


FAULT = Fault(
    name="sensor noisy",
    group="sensing",
    says="{part} is several times noisier than it should be.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=each("barometer", "accelerometer"),
    effect=effect,
)
