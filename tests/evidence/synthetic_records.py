"""Load-cell records made up with a known impulse: tare, weight ramp, ringing stand, noise."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

GRAVITY = 9.80665


@dataclass(frozen=True)
class Stand:
    """How a made-up stand behaves."""

    rate: float = 1652.0
    tare: float = 0.4
    noise: float = 0.1
    ringing: float = 70.0  # Hz
    damping: float = 0.06  # of critical
    water: float = 1.0  # kg
    offset: float = 0.0  # N, a step of the rest that is not water, halfway through
    seconds: float = 6.0
    onset: float = 2.0


USUAL = Stand()


def thrust_curve(time: NDArray[np.float64], onset: float) -> NDArray[np.float64]:
    """Thrust that falls while water leaves, drops as air breaks through, and tails off, N."""
    t = time - onset
    water = np.where((t >= 0) & (t < 0.17), 110.0 * np.exp(-6.6 * t), 0.0)
    air = np.where((t >= 0.17) & (t < 0.28), 25.0 * (1.0 - (t - 0.17) / 0.11), 0.0)
    return water + air


def known_impulse() -> float:
    """Integral of `thrust_curve`, in closed form, N s."""
    return float(110.0 / 6.6 * (1.0 - np.exp(-6.6 * 0.17)) + 0.5 * 25.0 * 0.11)


def _ring(force: NDArray[np.float64], step: float, stand: Stand) -> NDArray[np.float64]:
    """Reading of a damped spring stand under ``force``: exact steps of the linear oscillator."""
    omega = 2.0 * np.pi * stand.ringing
    damped = omega * np.sqrt(1.0 - stand.damping**2)
    decay, c, s = (
        np.exp(-stand.damping * omega * step),
        np.cos(damped * step),
        np.sin(damped * step),
    )
    ratio = stand.damping * omega / damped
    read = np.zeros_like(force)
    x, v = 0.0, 0.0
    for index in range(1, len(force)):
        f = 0.5 * (force[index] + force[index - 1])
        d = x - f
        x, v = (
            f + decay * (d * (c + ratio * s) + v / damped * s),
            decay * (v * (c - ratio * s) - d * omega**2 / damped * s),
        )
        read[index] = x
    return read


@cache
def _quiet_reading(stand: Stand) -> NDArray[np.float64]:
    """What the stand reads without tare and noise, N."""
    fine = 4  # finer than the sampling, so that the ringing is followed
    time = np.arange(int(stand.seconds * stand.rate) * fine) / (stand.rate * fine)
    thrust = thrust_curve(time, stand.onset)
    flow = np.where(time < stand.onset + 0.17, np.sqrt(thrust), 0.0)
    gone = np.cumsum(flow) / flow.sum()
    weight = stand.water * GRAVITY * gone + stand.offset * (time > stand.onset + 0.14)
    return _ring(thrust + weight, time[1], stand)[::fine]


def record_force(stand: Stand = USUAL, seed: int = 1) -> tuple[NDArray[np.float64], float]:
    """Force as a stand would record it (N), and the true impulse (N s)."""
    read = _quiet_reading(replace(stand, tare=0.0, noise=0.0))
    noise = np.random.default_rng(seed).normal(0.0, stand.noise, len(read))
    return read + stand.tare + noise, known_impulse()


def as_text(
    columns: list[NDArray[np.float64]],
    header: str,
    *,
    delimiter: str = "\t",
    decimal: str = ".",
    end: str = "\r\n",
    digits: int = 4,
) -> str:
    """Write columns as a recorder does."""
    rows = (
        delimiter.join(f"{value:.{digits}f}".replace(".", decimal) for value in row)
        for row in zip(*columns, strict=True)
    )
    return header + end.join(rows) + end


HEADER = (
    "%Cell 1 (N)\tCell 2 (N)\tTotal (N)\tSampling Frequency {rate:g} Hz\r\n"
    "\t% Water:\t1000\tgrams\r\n\t% Pressure:\t40\t(psi)\r\n\t% Temperature:\t15\t(C)\r\n"
    "%Comments:\tbench, calm\r\n\t7\t%5/4/2031 9:30\r\n"
)


def record_bytes(stand: Stand = USUAL, seed: int = 1) -> tuple[bytes, float]:
    """A whole record of two cells and their sum, as bytes, and the true impulse."""
    force, impulse = record_force(stand, seed)
    first, second = np.round(0.55 * force, 3), np.round(0.45 * force, 3)
    header = HEADER.format(rate=stand.rate)
    text = as_text([first, second, first + second], header, digits=3)
    return text.encode(), impulse
