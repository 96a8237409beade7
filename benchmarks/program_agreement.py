"""Over how many random streams the ways of executing a release program decide alike, to the bit.

    python benchmarks/program_agreement.py [--programs N] [--streams N]

Needs gcc. The first program is one that could fly, every other is made up, over all that the table
form allows; streams hold gaps, spikes, values that stick, bits at random, and power cuts. Compared
after every sample: stage, height, climb, the levels of all outputs.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from loftwright.program.runner import Decisions, run

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

SAMPLES = 60
AT_ONCE = 50  # programs in one library
INTERPRETED = 4  # streams of each program that the interpreter is given too


def differing(one: Decisions, other: Decisions) -> int:
    """Number of streams that differ in any sample."""
    from program.agreement import bits

    pairs: list[tuple[Any, Any]] = [(one.stage, other.stage), (one.levels, other.levels)]
    pairs += [
        (bits(getattr(one, name)), bits(getattr(other, name))) for name in ("height", "climb")
    ]
    return int(np.any([np.any(a != b, axis=1) for a, b in pairs], axis=0).sum())


def measure(programs: int, count: int) -> list[str]:
    """Compare; return the lines of the table."""
    from program.agreement import interpret, streams
    from program.builds import load, run_library
    from program.made_up import demo, readings, table

    in_c = interpreted = left = 0
    start = time.perf_counter()
    for first in range(0, programs, AT_ONCE):
        tables = [table(seed) for seed in range(first, min(first + AT_ONCE, programs))]
        tables = [demo(), *tables[1:]] if first == 0 else tables
        with tempfile.TemporaryDirectory() as folder:
            library = load(tables, Path(folder))
            for number, program in enumerate(tables):
                shown = readings(first + number, count, SAMPLES, program.step_ms)
                ours = run(program, streams(shown), every_sample=True)
                in_c += differing(ours, run_library(library, number, shown))
                left += int((ours.stage != ours.stage[:, :1]).any(axis=1).sum())
                few = readings(first + number + programs, INTERPRETED, SAMPLES, program.step_ms)
                mine = run(program, streams(few), every_sample=True)
                interpreted += differing(mine, interpret(program, few))
        print(f"... {first + len(tables)} programs", file=sys.stderr)
    total, plain = programs * count, programs * INTERPRETED
    return [
        f"{programs} programs, {SAMPLES} samples a stream, {time.perf_counter() - start:.0f} s",
        "| compared with the compiled runner | streams | samples | streams that differ |",
        "|---|---|---|---|",
        f"| emitted C, gcc | {total} | {total * SAMPLES} | {in_c} |",
        f"| the interpreter | {plain} | {plain * SAMPLES} | {interpreted} |",
        "",
        f"{left} of the {total} streams change their stage at least once.",
    ]


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--programs", type=int, default=500)
    parser.add_argument("--streams", type=int, default=2000)
    asked = parser.parse_args()
    print("\n".join(measure(asked.programs, asked.streams)))
