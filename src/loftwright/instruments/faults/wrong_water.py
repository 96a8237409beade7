"""The vehicle is filled with the wrong amount of water."""

from __future__ import annotations

import numpy as np

from loftwright.flight.masses import vessel_volume
from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT, the_vehicle

__all__ = ["FAULT"]


WATER = "vehicle.fill.water_volume"
FULLEST = 0.9  # of the vessels


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Fill in between a third and half as much again."""
    water = dice.uniform("factor", 0.33, 1.5) * scene.value(WATER)
    return Effect(values={WATER: np.minimum(water, FULLEST * vessel_volume(scene.values))})


FAULT = Fault(
    name="wrong water",
    group="fill",
    says="{part} is filled with much less water than planned, or more.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=the_vehicle,
    effect=effect,
)
