"""Recorded flights made up: a wait, a climb, a fall under canopy; written in any layout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
PAD_PRESSURE = 100_650.0
TOP = 84.0  # m
LIFTOFF = 10.0  # s


@dataclass(frozen=True)
class Flown:
    """A made-up flight: time (s), height over the pad (m), pressure (Pa), push (m/s2)."""

    time: Floats
    height: Floats
    pressure: Floats
    push: Floats


def flown(step: float = 0.02, seconds: float = 40.0, noise: float = 1.5, seed: int = 1) -> Flown:
    """Ten seconds of rest, three of climb, then down at 6 m/s."""
    time = np.arange(round(seconds / step)) * step
    since = time - LIFTOFF
    up = np.clip(since, 0.0, 3.0) / 3.0
    height = TOP * (1.0 - (1.0 - up) ** 2)
    height = np.where(since > 3.0, np.maximum(TOP - 6.0 * (since - 3.0), 0.0), height)
    rng = np.random.default_rng(seed)
    # ISO 2533:1975 above a pad of 15 degC, from memory.
    pressure = PAD_PRESSURE * (1.0 - 0.0065 * height / 288.15) ** 5.25588
    pressure += rng.normal(0.0, noise, len(time))
    push = np.where((since >= 0.0) & (since < 0.5), 95.0, 0.0)
    push = np.where(since < 0.0, 9.80665, push) + rng.normal(0.0, 0.2, len(time))
    return Flown(time, height, pressure, push)


def written(
    columns: Sequence[Sequence[float | str]],
    names: Sequence[str] = (),
    *,
    delimiter: str = ",",
    decimal: str = ".",
    digits: Sequence[int] = (),
    end: str = "\n",
    above: Sequence[str] = (),
) -> str:
    """Write columns as a recorder does; words stay as they are."""
    places = [*digits, *[3] * len(columns)]
    lines = [*above, delimiter.join(names)] if names else [*above]
    for row in zip(*columns, strict=True):
        cells = [
            cell if isinstance(cell, str) else f"{cell:.{place}f}".replace(".", decimal)
            for cell, place in zip(row, places, strict=False)
        ]
        lines.append(delimiter.join(cells))
    return end.join([*lines, ""])
