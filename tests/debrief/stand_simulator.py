"""A plain simulator of a held bottle, for tests of the fit: three states, fixed steps, no engine.

Water phase: quasi-steady Bernoulli with the approach velocity, polytropic gas (Finney 2000,
Am. J. Phys. 68, 223). Air phase: isentropic convergent nozzle, choked or subsonic (NACA Rep. 1135),
carrying the last water evenly (homogeneous flow, Wallis 1969, chapter 2, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from loftwright.debrief.firings.features import SimulatedFiring

GAS_CONSTANT = 287.05
WATER = 999.1  # kg/m3 at 15 degC
BREAKTHROUGH = "vehicle.nozzle.breakthrough_volume"


@dataclass(frozen=True)
class Bottle:
    """The vessel, its throat and the air around."""

    volume: float = 2.0e-3
    throat: float = 21.0e-3
    neck_to_wall: float = 21.0 / 108.0
    ambient: float = 83.4e3
    temperature: float = 288.15
    exponent: float = 1.3


USUAL = Bottle()


def _jet(ratio: float, gamma: float) -> tuple[float, float]:
    """Mach number and pressure over ambient of a convergent nozzle at p/p_ambient = ratio."""
    critical = ((gamma + 1.0) / 2.0) ** (gamma / (gamma - 1.0))
    if ratio >= critical:
        return 1.0, ratio / critical
    return math.sqrt(max(0.0, 2.0 / (gamma - 1.0) * (ratio ** ((gamma - 1.0) / gamma) - 1.0))), 1.0


def _rates(
    bottle: Bottle, flow: float, speed: float, state: tuple[float, float, float], left: float
) -> tuple[float, float, float, float]:
    """Rates of water mass, gas mass and gas temperature, and the thrust."""
    water, gas, temperature = state
    area = math.pi / 4.0 * bottle.throat**2
    volume = bottle.volume - water / WATER
    pressure = gas * GAS_CONSTANT * temperature / volume
    excess = pressure - bottle.ambient
    gamma = bottle.exponent
    if excess <= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    if water > left:
        jet = math.sqrt(2.0 * excess / WATER / (1.0 - bottle.neck_to_wall**4))
        out = flow * WATER * area * jet
        return -out, 0.0, -(gamma - 1.0) * temperature * out / WATER / volume, out * speed * jet
    mach, over = _jet(pressure / bottle.ambient, gamma)
    exit_temperature = temperature / (1.0 + (gamma - 1.0) / 2.0 * mach**2)
    jet = mach * math.sqrt(gamma * GAS_CONSTANT * exit_temperature)
    density = over * bottle.ambient / (GAS_CONSTANT * exit_temperature)
    out = flow * density * area * jet
    thrust = out * speed * jet + flow * (over - 1.0) * bottle.ambient * area
    load = max(water, 0.0) / gas
    out /= math.sqrt(1.0 + load)
    return -load * out, -out, -(gamma - 1.0) * temperature * out / gas, thrust


def simulate(
    parameters: Mapping[str, float], bottle: Bottle = USUAL, step: float = 1e-3
) -> SimulatedFiring:
    """A held firing by the midpoint rule; the step before break-through ends on it."""
    flow = parameters["vehicle.nozzle.flow_coefficient"]
    speed = parameters["vehicle.nozzle.velocity_coefficient"]
    water = parameters["vehicle.fill.water_volume"] * WATER
    left = min(water, parameters.get(BREAKTHROUGH, 0.5 * math.pi * bottle.throat**3) * WATER)
    temperature = parameters.get("vehicle.fill.temperature", bottle.temperature)
    pressure = bottle.ambient + parameters["vehicle.fill.gauge_pressure"]
    gas = pressure * (bottle.volume - water / WATER) / (GAS_CONSTANT * temperature)
    state, now, water_out = (water, gas, temperature), 0.0, None
    times, thrusts = [], []
    for _ in range(20000):
        *slope, thrust = _rates(bottle, flow, speed, state, left)
        times.append(now)
        thrusts.append(thrust)
        if thrust <= 0.05:
            break
        stride = step
        if water_out is None:  # land on break-through: two strides at most are shortened
            stride = min(step, max((left - state[0]) / slope[0], 1e-9))
        middle = tuple(s + 0.5 * stride * r for s, r in zip(state, slope, strict=True))
        *slope, _ = _rates(bottle, flow, speed, middle, left)
        state = tuple(s + stride * r for s, r in zip(state, slope, strict=True))
        now += stride
        if water_out is None and state[0] <= left * (1.0 + 1e-6) + 1e-9:
            water_out = now
            state = (min(state[0], left), *state[1:])
    return SimulatedFiring(np.array(times), np.array(thrusts), water_out)
