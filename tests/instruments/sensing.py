"""Cases for ``sense``: a nominal instrument, tables made of it, and runs over many samples."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np

from loftwright.compiling.clone import compiled
from loftwright.instruments.kernel import slots
from loftwright.instruments.kernel.sense import begin, sense
from loftwright.instruments.rows import NAMES

LANES = slots.LANES
ROWS = {name: number for number, name in enumerate(NAMES)}
NOMINAL = {
    "FIRST_AT": -2.0, "STEP": 0.02, "STEP_MS": 20.0,
    "PORT_FLOW": 100.0, "WARM_UNTIL": 58.0, "FAIL_READS": float("nan"),
    "BURST": 1.0, "SHARE": 1.0, "DROP_ABOVE": 9.0, "REPEAT_ABOVE": 9.0,
    "LEAST": 3e4, "MOST": 1.1e5, "UNDER": 3e4, "OVER": 1.1e5, "RESOLUTION": 0.25, "FINENESS": 4.0,
    "PUSH_RANGE": 160.0, "LINE_CLOSES": slots.FAR, "VOLTAGE": 3.9, "RESISTANCE": 0.25,
    "OWN_DRAW": 0.06, "FLAT_FROM": slots.FAR, "BROWNOUT": 2.7, "START_UP": 0.5,
    "OPENS_AT": slots.FAR, "OPEN_FOR": 0.05,
}  # fmt: skip
WINDOWS = (
    "GUST", "LEAK", "BURST", "FREEZE", "FAIL", "PUSH_FREEZE", "PUSH_FAIL", "BUMP", "OPEN", "RESET",
)  # fmt: skip
NOMINAL |= {f"{name}_{end}": slots.FAR for name in WINDOWS for end in ("FROM", "UNTIL")}
PARAMETER_NAMES = list(NAMES)


def table(cases: list[Mapping[str, float]]) -> Any:
    """Return the parameters of the cases, one a lane; lanes left over are nominal."""
    p = np.zeros((slots.PARAMETERS, LANES), np.float32)
    for name, value in NOMINAL.items():
        p[ROWS[name]] = value
    for lane, case in enumerate(cases):
        for name, value in case.items():
            p[ROWS[name], lane] = value
    return p.ravel()


@cache
def compiled_sense() -> Any:
    return compiled(sense)


def run(cases, port, push=None, noise=None, draw=None, *, plain=False):
    """Take a sample for each row of ``port`` (samples,) or (samples, LANES).

    Returns a dictionary of arrays (samples, LANES) by the names of what ``sense`` writes.
    """
    p, m = table(cases), np.zeros(slots.MEMORIES * LANES, np.float32)
    begin(p, m)
    samples = len(port)
    wide = np.broadcast_to(np.asarray(port, np.float32).reshape(samples, -1), (samples, LANES))
    push = np.full(samples, 9.80665) if push is None else push
    pushes = np.broadcast_to(np.asarray(push, np.float32).reshape(samples, -1), (samples, LANES))
    noise = np.zeros((samples, slots.NOISE_ROWS)) if noise is None else noise
    deviates = np.repeat(np.asarray(noise, np.float32), LANES, axis=1)
    draws = np.zeros((samples, LANES), np.float32) if draw is None else draw
    floats = {name: np.zeros(LANES, np.float32) for name in ("pressure", "pushed")}
    wholes = {name: np.zeros(LANES, np.int32) for name in ("line", "now", "alive", "restart")}
    out = {name: [] for name in (*floats, *wholes)}
    take = sense if plain else compiled_sense()
    for k in range(samples):
        take(
            k, wide[k].copy(), pushes[k].copy(), deviates[k], draws[k], p, m,
            *floats.values(), *wholes.values(),
        )  # fmt: skip
        for name, values in (floats | wholes).items():
            out[name].append(values.copy())
    return {name: np.array(rows) for name, rows in out.items()}
