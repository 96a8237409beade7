"""How soon the workbench shows its first page, and what it weighs.

    python benchmarks/web_start.py [DIR] [--runs N]

For each run: a new process of ``loftwright serve``; from its start until the first page has come
whole, and how long the second takes; then the memory of the process. The first run is told apart:
it may have to read everything from a cold disk. Wanted is a first page within a second.
"""

from __future__ import annotations

import argparse
import os
import re
import signal
import statistics
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "examples" / "sedge-lift-flown"
WANTED = 1.0  # s


def one(home: Path) -> dict[str, float]:
    """Start the workbench, ask for its first page twice, and end it; times in s, memory in MB."""
    command = [sys.executable, "-m", "loftwright", "serve", str(home), "--port", "0", "--no-open"]
    began = time.perf_counter()
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src"), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as server:
        assert server.stdout is not None
        said = ""
        while "http://" not in said:
            said = server.stdout.readline()
            assert said, "the workbench did not start"
        address = re.search(r"http://[^\s/]+/", said).group()
        asked = time.perf_counter()
        fetch(address)
        first = time.perf_counter()
        fetch(address)
        second = time.perf_counter()
        memory, busy = resident(server.pid), processor(server.pid)
        server.send_signal(signal.SIGTERM)
    return {
        "listens": asked - began,
        "first page": first - began,
        "second page": second - first,
        "processor": busy,
        "memory": memory,
    }


def fetch(address: str) -> None:
    with urllib.request.urlopen(address) as answer:
        assert b"<main" in answer.read()


def resident(pid: int) -> float:
    """Return what a process holds in memory, MB; NaN where the system does not tell."""
    try:
        text = Path(f"/proc/{pid}/status").read_text(encoding="ascii", errors="replace")
    except OSError:
        return float("nan")
    return int(re.search(r"VmRSS:\s+(\d+)", text).group(1)) / 1000.0


def processor(pid: int) -> float:
    """Return what a process has had of processors so far, s; a busy machine changes little."""
    try:
        text = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace")
    except OSError:
        return float("nan")
    fields = text.rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("folder", nargs="?", type=Path, default=DEMO)
    parser.add_argument("--runs", type=int, default=7)
    asked = parser.parse_args()
    runs = [one(asked.folder) for _ in range(asked.runs + 1)]
    print(f"{asked.folder.name}, {asked.runs} runs, warm (the first of all: "
          f"{runs[0]['first page']:.2f} s)")  # fmt: skip
    for name in runs[0]:
        own = sorted(run[name] for run in runs[1:])
        unit = "MB" if name == "memory" else "s"
        middle = statistics.median(own)
        print(f"  {name:12} {middle:7.2f} {unit}   {own[0]:.2f} to {own[-1]:.2f}")
    first = statistics.median(run["first page"] for run in runs[1:])
    print(f"first page within {WANTED:g} s: {'yes' if first <= WANTED else 'no'}")
    return 0 if first <= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())
