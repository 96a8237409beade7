"""A payload that is let go is not pushed off."""

from __future__ import annotations

from loftwright.documents.campaign import PAYLOADS
from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


def parts(scene: Scene) -> list[Part]:
    """Return the payloads that are pushed off."""
    return [Part("payload", root) for root in PAYLOADS if f"{root}.toss.speed" in scene.values]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave it where it is, to slide along the vehicle."""
    return Effect(values={f"{part.name}.toss.speed": 0.0})


FAULT = Fault(
    name="payload is not pushed off",
    group="hold",
    says="{part} comes free and is not pushed off, so that it may meet the vehicle again.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=parts,
    effect=effect,
)
