"""How many flights fit: wall time, memory and rate of ensembles, each in a process of its own.

    python benchmarks/scale.py [FLIGHTS ...] [--parquet] [--workers N]

``--parquet`` writes the flights to a file on the way, ``--workers`` flies them on a cluster of so
many processes on this machine.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

HOME = Path(__file__).resolve().parent.parent
CAMPAIGN = HOME / "examples" / "sedge-lift"
MIB = 2**20


def peak_memory() -> float:
    """Largest resident memory that this process ever had, in MiB."""
    import resource

    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / MIB


def fly(flights: int, *, parquet: bool, workers: int) -> dict[str, float]:
    """Fly one ensemble in this process; the engine is loaded before the clock starts."""
    from loftwright.documents import read_campaign
    from loftwright.flight.forecast import forecast

    campaign = read_campaign(CAMPAIGN)
    forecast(campaign)
    before = peak_memory()
    with ExitStack() as stack:
        address = None
        if workers:
            from distributed import LocalCluster

            cluster = LocalCluster(workers, threads_per_worker=1, dashboard_address=":0")
            address = stack.enter_context(cluster).scheduler_address
        folder = Path(stack.enter_context(TemporaryDirectory()))
        file = folder / "flights.parquet" if parquet else None
        start = time.perf_counter()
        found = forecast(campaign, flights=flights, parquet=file, cluster=address)
        seconds = time.perf_counter() - start
        size = file.stat().st_size / MIB if file else 0.0
    return {
        "flights": flights,
        "seconds": seconds,
        "flights_a_second": flights / seconds,
        "memory_before_mib": before,
        "peak_memory_mib": peak_memory(),
        "file_mib": size,
        "apogee_p50_m": found.statistics["apogee_m"]["p50"],
    }


def measure(flights: int, words: list[str]) -> dict[str, float]:
    """Fly one ensemble in a new process."""
    done = subprocess.run(
        [sys.executable, __file__, str(flights), "--here", *words],
        check=True,
        stdout=subprocess.PIPE,
    )
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("flights", nargs="*", type=int, default=[10_000, 100_000])
    parser.add_argument("--parquet", action="store_true")
    parser.add_argument("--workers", type=int, default=0)
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.here:
        print(json.dumps(fly(asked.flights[0], parquet=asked.parquet, workers=asked.workers)))
        return
    words = ["--parquet"] * asked.parquet + ["--workers", str(asked.workers)]
    print("| flights | wall time | flights a second | memory before | peak | file |")
    print("|---|---|---|---|---|---|")
    for flights in asked.flights:
        row = measure(flights, words)
        print(
            f"| {flights} | {row['seconds']:.1f} s | {row['flights_a_second']:.0f} | "
            f"{row['memory_before_mib']:.0f} MiB | {row['peak_memory_mib']:.0f} MiB | "
            f"{row['file_mib']:.0f} MiB |",
            flush=True,
        )


if __name__ == "__main__":
    main()
