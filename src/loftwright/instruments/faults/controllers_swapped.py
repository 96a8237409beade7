"""Two controllers are exchanged when the vehicle is put together."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT
from loftwright.instruments.rows import sampled, true_step

__all__ = ["FAULT"]


AND = " and "


def parts(scene: Scene) -> list[Part]:
    """Return every two controllers."""
    return [Part("controllers", AND.join(two)) for two in combinations(scene.wiring.controllers, 2)]


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Let each run the other's program, in its own place and on its own wires."""
    one, other = next(
        two for two in combinations(scene.wiring.controllers, 2) if AND.join(two) == part.name
    )
    programs = {one: scene.programs[other], other: scene.programs[one]}
    lanes = {name: _at_pace(scene, name, scene.steps[programs[name]]) for name in programs}
    return Effect(lanes=lanes, programs=programs)


def _at_pace(scene: Scene, name: str, step_ms: int) -> dict[str, Any]:
    """Return what changes when a controller samples at another pace."""
    wires = scene.wiring.controllers[name]
    step = np.broadcast_to(true_step(scene.values, wires, step_ms), scene.flights)
    ratio = step / scene.lane(name, "STEP")
    changes: dict[str, Any] = {"STEP": step, "STEP_MS": float(step_ms)}
    changes |= {each: ratio * scene.lane(name, each) for each in ("PORT_FLOW", "HEATING", "LEAK")}
    if wires.barometer and np.any(ratio != 1.0):
        changes |= sampled(scene.values, scene.words, scene.wiring, wires, step)
    return changes


FAULT = Fault(
    name="controllers swapped",
    group="assembly",
    says="{part} are exchanged, so that each runs the program of the other.",
    chance=0.005,
    chance_source=JUDGEMENT,
    parts=parts,
    effect=effect,
)
