"""Compressed air that leaks from the vessel into a bay."""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from loftwright.flight.air import air_at_pad
from loftwright.instruments.fault import Dice, Effect, Part, Scene
from loftwright.instruments.faults._common import sensed
from loftwright.physics.atmosphere import R_AIR
from loftwright.physics.pressure_leak import choked_flow

__all__ = ["leaking"]

COEFFICIENT = 0.8  # of a ragged hole (judgement)
NARROWEST, WIDEST = 0.05e-3, 0.5e-3  # m, a pinhole to a seal that does not sit


def leaking(scene: Scene, part: Part, dice: Dice, begin: Any, until: Any) -> Effect:
    """Return the effect of a leak that lasts from one moment to another.

    The flow is that at the pressure of the fill, choked, and stays so until its end: more than
    there is once the vessel empties.
    """
    values = scene.values
    air = air_at_pad(values)
    temperature = values["vehicle.fill.temperature"]
    pressure = air.pressure + values["vehicle.fill.gauge_pressure"]
    area = pi / 4.0 * dice.spread("diameter", NARROWEST, WIDEST) ** 2
    flow = area * np.vectorize(choked_flow, otypes=[float])(1.0, COEFFICIENT, pressure, temperature)
    volume = values[scene.wiring.path("bay", part.name, "volume")]
    effects = sensed(scene, part, {"LEAK_FROM": begin, "LEAK_UNTIL": until})
    lanes = {
        name: dict(changes)
        | {"LEAK": flow * R_AIR * air.temperature / volume * scene.lane(name, "STEP")}
        for name, changes in effects.lanes.items()
    }
    return Effect(lanes=lanes)
