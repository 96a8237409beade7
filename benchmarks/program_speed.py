"""How fast release programs are executed, as ratios to the plain interpreter in the same run.

    python benchmarks/program_speed.py

A sample is one reading of one controller: estimate, conditions, stages and outputs.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from loftwright.compiling.clone import compiled
from loftwright.program.flatten import flat, new_state
from loftwright.program.interpreter import Reading, power_up, step
from loftwright.program.kernel.decide import decide
from loftwright.program.kernel.slots import LANES
from loftwright.program.kernel.streams import run_streams
from loftwright.program.table import Estimator, Table

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

EXACT = True  # of what is compiled here
SAMPLES = 500  # ten seconds: with their readings of all lanes they stay in the processor's cache
ROUNDS = 200


def decide_only(count, ints, floats, whole, single, pressures, pushed, line, now, alive, restart,
                pressure):  # fmt: skip
    """Take ``count`` samples in every lane; only the pressure and the clock change."""
    for k in range(count):
        for lane in range(LANES):
            pressure[lane] = pressures[k * LANES + lane]
            now[lane] = k * 20
        decide(k, ints, floats, whole, single, pressure, pushed, line, now, alive, restart)


def flights(table: Table, spread: float) -> dict[str, np.ndarray[Any, Any]]:
    """Readings of LANES flights side by side, lifting off within ``spread`` seconds."""
    random = np.random.default_rng(1)
    size = (SAMPLES, LANES)
    since = np.arange(SAMPLES)[:, None] * table.step_ms / 1e3 - 1.0 - spread * random.random(LANES)
    flown = np.maximum(since, 0.0)
    height = np.maximum(35.0 * flown - 4.9 * flown**2, 0.0)
    pressure = 101_325.0 * (1.0 - height / 44_330.0) ** 5.2559 + random.normal(0.0, 1.5, size)
    return {
        "pressure": pressure.astype(np.float32),
        "push": np.where((since > 0) & (since < 0.3), 90.0, 9.8).astype(np.float32),
    }


def best(work: Callable[[], object], samples: int, rounds: int) -> float:
    """Samples a second, of the quickest of several rounds."""
    shortest = np.inf
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        shortest = min(shortest, time.perf_counter() - start)
    return samples / shortest


def of_decide(table: Table, shown: dict[str, Any]) -> float:
    """Samples a second of ``decide`` by itself, the push that of the pad."""
    kernel, program, fresh = compiled(decide_only), flat(table), new_state(table)
    floats, whole = np.full(LANES, 9.8, np.float32), np.zeros(LANES, np.int32)
    ones, room = np.ones(LANES, np.int32), np.zeros(LANES, np.float32)
    pressure, now, restart = shown["pressure"].ravel(), whole.copy(), whole.copy()

    def work() -> None:
        kernel(SAMPLES, *program, *fresh.copy(), pressure, floats, whole, now, ones, restart, room)

    work()
    return best(work, SAMPLES * LANES, ROUNDS)


def of_streams(table: Table, shown: dict[str, Any]) -> float:
    """Samples a second of the runner, which brings every reading from its stream."""
    kernel, program, fresh = compiled(run_streams), flat(table), new_state(table)
    size = SAMPLES * LANES
    now = np.repeat(np.arange(SAMPLES, dtype=np.int32) * table.step_ms, LANES)
    none, ones = np.zeros(size, np.int32), np.ones(size, np.int32)
    given = [shown["pressure"].ravel(), shown["push"].ravel(), none, now, ones, none.copy()]
    room = [np.zeros(LANES, each.dtype) for each in given]
    noted = [np.zeros(0, kind) for kind in ("i4", "f4", "f4", "i4")]

    def work() -> None:
        kernel(SAMPLES, *program, *fresh.copy(), *given, *room, *noted)

    work()
    return best(work, size, ROUNDS)


def of_interpreter(table: Table, shown: dict[str, Any]) -> float:
    """Samples a second of the plain interpreter, over the first lane."""
    pressure, push = (shown[name][:, 0].tolist() for name in ("pressure", "push"))
    readings = [
        Reading(p, q, 0, k * table.step_ms)
        for k, (p, q) in enumerate(zip(pressure, push, strict=True))
    ]

    def work() -> None:
        state = power_up(table)
        for reading in readings:
            step(table, state, reading)

    return best(work, SAMPLES, 20)


def measure() -> list[str]:
    """Measure; return the lines of the table."""
    from dataclasses import replace

    from program.made_up import demo

    lines = [
        "| program, samples a second on one thread | million | times the interpreter |",
        "|---|---|---|",
    ]
    for estimator in Estimator:
        table = replace(demo(), estimator=estimator, name=estimator.name.lower())
        together, apart = flights(table, 0.0), flights(table, 3.0)
        plain = of_interpreter(table, together)
        for name, rate in (
            ("decide, lanes together", of_decide(table, together)),
            ("decide, lanes lift off within 3 s", of_decide(table, apart)),
            ("runner, lanes together", of_streams(table, together)),
        ):
            lines.append(f"| {table.name}, {name} | {rate / 1e6:.0f} | {rate / plain:.0f} |")
        lines.append(f"| {table.name}, the interpreter | {plain / 1e6:.3f} | 1 |")
    return lines


if __name__ == "__main__":
    print("\n".join(measure()))
