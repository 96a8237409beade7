"""What holds a payload gives way early."""

from __future__ import annotations

from loftwright.documents.campaign import PAYLOADS
from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT

__all__ = ["FAULT"]


PIECES = ("along", "across", "peel", "preload")


def parts(scene: Scene) -> list[Part]:
    """Return the payloads that something holds."""
    return [Part("payload", root) for root in PAYLOADS if _strengths(scene, root)]


def _strengths(scene: Scene, root: str) -> list[str]:
    pieces = f"{root}.retainer."
    return [
        path
        for path in scene.values
        if path == f"{root}.hold.strength"
        or (path.startswith(pieces) and path.rpartition(".")[2] in PIECES)
    ]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Leave a share of every strength, as of a cracked hook or a tired band."""
    left = dice.uniform("left", 0.1, 0.7)
    return Effect(values={path: left * scene.value(path) for path in _strengths(scene, part.name)})


FAULT = Fault(
    name="hold gives way early",
    group="hold",
    says="What holds {part} gives way under a share of the load that it was tested to.",
    chance=0.02,
    chance_source=JUDGEMENT,
    parts=parts,
    effect=effect,
)
