"""Reading a log of ten million rows: seconds, and the most memory that the process ever held.

Run ``python benchmarks/long_log.py [ROWS]``. The log is made up: a wait of hours at a hundred rows
a second, one flight in it, a column of states.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from loftwright.evidence.flight_log import read_flight_log

STEP_MS = 10
AT_ONCE = 100_000


def write(path: Path, rows: int) -> None:
    """Write the log; a block of rows at a time."""
    rng = np.random.default_rng(1)
    liftoff = rows * STEP_MS // 2000 // 1
    with path.open("w", encoding="ascii") as stream:
        stream.write("time_ms,pressure_pa,az (m/s2),stage\n")
        for first in range(0, rows, AT_ONCE):
            ticks = np.arange(first, min(first + AT_ONCE, rows)) * STEP_MS
            since = ticks / 1e3 - liftoff
            height = np.where(since > 0, 60.0 * np.minimum(since, 2.0) - 7.0 * since**2, 0.0)
            height = np.where(since > 2.0, np.maximum(92.0 - 5.0 * (since - 2.0), 0.0), height)
            pressure = 101_000.0 - 12.0 * height + rng.normal(0.0, 2.0, len(ticks))
            lines = (
                f"{t},{p:.1f},9.81,{'PAD' if s < 0 else 'UP'}"
                for t, p, s in zip(ticks.tolist(), pressure.tolist(), since.tolist(), strict=True)
            )
            stream.write("\n".join(lines) + "\n")


def main() -> None:
    """Write, read and tell."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.csv"
        write(path, rows)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        start = time.perf_counter()
        log = read_flight_log(path)
        seconds = time.perf_counter() - start
        after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        size = path.stat().st_size / 1e6
    print(
        f"{rows:,} rows, {size:.0f} MB: {seconds:.1f} s, {len(log.time_s):,} rows kept; "
        f"memory {before:.0f} MB before, {after:.0f} MB at most"
    )
    for warning in log.warnings:
        print(f"  {warning.message}")


if __name__ == "__main__":
    main()
