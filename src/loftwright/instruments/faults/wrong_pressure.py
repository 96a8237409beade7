"""The vehicle is pressurised wrongly."""

from __future__ import annotations

from loftwright.instruments.fault import Dice, Effect, Fault, Part, Scene
from loftwright.instruments.faults._common import JUDGEMENT, the_vehicle

__all__ = ["FAULT"]


GAUGE = "vehicle.fill.gauge_pressure"


def effect(scene: Scene, part: Part, dice: Dice) -> Effect:
    """Take less, or a little more; what a vessel does beyond its proof test is not flown."""
    return Effect(values={GAUGE: dice.uniform("factor", 0.6, 1.15) * scene.value(GAUGE)})


FAULT = Fault(
    name="wrong pressure",
    group="fill",
    says="{part} is let go with less pressure than planned, or a little more.",
    chance=0.03,
    chance_source=JUDGEMENT,
    parts=the_vehicle,
    effect=effect,
)
