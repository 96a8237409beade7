"""Samples are repeated."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene, each
from loftwright.instruments.faults._common import JUDGEMENT, sensed

__all__ = ["FAULT"]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Repeat the last value in a share of all samples, one here and one there."""
    share = dice.uniform("share", 0.1, 0.7)
    above = np.array([NormalDist().inv_cdf(1.0 - each_share) for each_share in share])
    return sensed(scene, part, {"REPEAT_ABOVE": above})


FAULT = Fault(
    name="samples repeated",
    group="sensing",
    says="{part} gives the same value several times over.",
    chance=0.01,
    chance_source=JUDGEMENT,
    parts=each("barometer"),
    effect=effect,
)
