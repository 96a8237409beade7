"""How many samples a second instruments are followed at, on one thread.

Run it: ``python benchmarks/sensing_speed.py``.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from instruments.sensing import table

from loftwright.compiling.clone import compiled
from loftwright.instruments.kernel import slots
from loftwright.instruments.kernel.sense import begin, sense

LANES = slots.LANES
EXACT = True
SAMPLES = 200_000


def drive(samples, port, push, noise, draw, p, m, pressure, pushed, line, now, alive, restart):
    """Take samples one after the other."""
    total = 0
    for k in range(samples):
        sense(k, port, push, noise, draw, p, m, pressure, pushed, line, now, alive, restart)
        total += now[k % LANES]
    return total


def main() -> None:
    """Print the best of five runs."""
    p, m = table([{"NOISE": 1.5, "SHARE": 0.25}] * LANES), np.zeros(slots.MEMORIES * LANES, "f4")
    begin(p, m)
    port, push = np.full(LANES, 1e5, np.float32), np.full(LANES, 9.8, np.float32)
    noise = np.random.default_rng(1).standard_normal(slots.NOISE_ROWS * LANES, np.float32)
    singles = [np.zeros(LANES, np.float32) for _ in range(3)]
    wholes = [np.zeros(LANES, np.int32) for _ in range(4)]
    run = compiled(drive)
    best = float("inf")
    for _ in range(6):
        start = time.perf_counter()
        run(SAMPLES, port, push, noise, singles[0], p, m, *singles[1:], *wholes)
        best = min(best, time.perf_counter() - start)
    print(f"{SAMPLES * LANES / best / 1e6:.0f} million samples a second")


if __name__ == "__main__":
    main()
