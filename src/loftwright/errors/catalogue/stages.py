"""Codes of boosters and upper stages that do not fit the vehicle."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

_ATTACH = """[attach]
count = 2
from_nose = "0.35 m"
offset = "102 mm\""""
_STACK = """[stack]
from_nose = "-0.44 m"   # ahead of the vehicle's nose tip
part_when = "air out\""""

ENTRIES = (
    Entry(
        "stage-inside",
        "The boosters reach into the vehicle",
        "The offset between the axes is smaller than the two radii together.",
        "Offset and radius set how far the boosters' masses lie from the axis.",
        "Measure from axis to axis.",
        _ATTACH,
    ),
    Entry(
        "stage-overlap",
        "Two stages take up the same place",
        "Neighbouring boosters reach into each other, or the upper stage reaches into the "
        "vehicle's body behind its nose.",
        "It cannot be built like this; something was measured wrong.",
        "Correct offset or count in [attach], or from_nose in [stack].",
        _ATTACH,
    ),
    Entry(
        "stage-apart",
        "A stage does not touch the vehicle",
        "The boosters do not stand beside the body, or the upper stage ends ahead of its nose tip.",
        "What does not touch cannot be carried.",
        "Measure from the vehicle's nose tip: aft is positive, ahead is negative.",
        _STACK,
    ),
    Entry(
        "stage-not-ahead",
        "The upper stage is not ahead of the vehicle",
        "from_nose in [stack] is the upper stage's nose tip seen from the vehicle's own; it must "
        "be negative.",
        "The upper stage sits on the vehicle's nose and hides it from the air.",
        "Give about its length, with a minus.",
        _STACK,
    ),
    Entry(
        "stage-on-fins",
        "A booster stands where a fin stands",
        "Along the body and around it, a booster and a fin of the vehicle take up the same place.",
        "It cannot be built like this; something was measured wrong.",
        "Turn the boosters with around, move them forward, or correct the fins.",
        '[attach]\naround = "0 deg"    # fins at 45, 135, 225 and 315 degrees',
    ),
)
