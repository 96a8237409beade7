"""A battery is empty before the flight is over."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import (
    ANY_TIME,
    FAR,
    JUDGEMENT,
    actuators_at,
    controllers_at,
)

__all__ = ["FAULT"]


LEFT = 0.5  # share of its voltage


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let its voltage fall to half, at some moment around the flight."""
    when = dice.uniform("when", *ANY_TIME)
    return Effect(
        lanes={
            name: {"FLAT_FROM": when, "FLAT_VOLTAGE": LEFT * scene.lane(name, "VOLTAGE")}
            for name in controllers_at(scene, part)
        },
        actuators={
            name: {"dark_from": when, "dark_until": FAR} for name in actuators_at(scene, part)
        },
    )


FAULT = Fault(
    name="battery flat",
    group="supply",
    says="{part} is empty before the flight is over.",
    chance=0.005,
    chance_source=JUDGEMENT,
    parts=each("battery"),
    effect=effect,
)
