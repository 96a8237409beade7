"""How fast rehearsals are: nominal flights, many faults, and where their time goes.

    python benchmarks/rehearsal_speed.py [--flights N] [--write]

``--flights`` is how many of each case; ``--write`` puts the table into docs/speed.md.
"""

from __future__ import annotations

import argparse
import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np

from loftwright.documents import read_campaign
from loftwright.rehearsal import block, hearing, run
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.rehearse import known_happenings
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.trials import BLOCK, count_trials, run_trials

HOME = Path(__file__).resolve().parent.parent
CAMPAIGN = HOME / "examples" / "sedge-lift-rehearsed"
FLIGHTS = 10_000
PARTS_FLIGHTS = 4  # blocks that times of parts are taken over

# Twenty faults at parts that leave what flies alone until something is let go: those of the backup,
# which almost never show, and those of the main controller, its sensors and its servos.
FAULTS = (
    ("battery flat", "timer cell"),
    ("battery sags", "timer cell"),
    ("controller resets in flight", "timer"),
    ("launch missed", "pad line"),
    ("actuator slow", "timer servo"),
    ("actuator stuck", "timer servo"),
    ("actuator drops out", "timer servo"),
    ("latch jams", "timer servo"),
    ("battery flat", "cell"),
    ("battery sags", "cell"),
    ("connector opens under acceleration", "bay plug"),
    ("controller resets in flight", "board"),
    ("sensor dead", "accel"),
    ("sensor frozen", "baro"),
    ("samples dropped", "baro"),
    ("samples repeated", "baro"),
    ("gust across the vents", "nose bay"),
    ("vent blocked", "nose bay"),
    ("actuator slow", "latch servo"),
    ("actuator stuck", "door servo"),
)


def cases(plan: Plan) -> list[Trial]:
    """Return the nominal case, then one for each of `FAULTS`."""
    known = {(each.fault.name, each.part.name): each for each in known_happenings(plan)}
    return [Trial(), *(Trial((known[each],)) for each in FAULTS)]


def wall(plan: Plan, trials: Sequence[Trial], flights: int) -> float:
    """Seconds that a person waits for every case on all processors."""
    start = time.perf_counter()
    count_trials(plan, trials, flights)
    return time.perf_counter() - start


def branches(plan: Plan, trials: Sequence[Trial], flights: int) -> int:
    """How many flights differ from the nominal case of the same number."""
    return sum(
        len(flown.settled.branches.flight) - flown.block.count
        for _, flown in run_trials(plan, trials, flights)
    )


# ---------------------------------------------------------------- where time goes


class Watch:
    """Seconds of the processor by part; what runs inside another part is taken off that one."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self._inside: list[float] = []

    def watching(self, part: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """Return ``work`` with its time noted."""

        def timed(*args: Any, **options: Any) -> Any:
            start = time.thread_time()
            self._inside.append(0.0)
            try:
                return work(*args, **options)
            finally:
                whole = time.thread_time() - start
                inner = self._inside.pop()
                self.seconds[part] = self.seconds.get(part, 0.0) + whole - inner
                if self._inside:
                    self._inside[-1] += whole

        return timed


# What each part of the work is called in the table, and where it is done.
PARTS: Mapping[str, Sequence[tuple[Any, str]]] = {
    "draws and ascents": [(block.Block, "__init__"), (block.Block, "ascend")],
    "vehicles to listen to": [(block.Shared, "vehicles")],
    "what is true on board": [(hearing, "truth")],
    "noise": [(hearing.Noise, "up_to")],
    "sensing and deciding": [(hearing, "hear")],
    "lanes, actuators, branches": [(run, "settle"), (run, "inputs"), (run, "scene_of")],
    "all bodies to the ground": [(block.Block, "flights")],
    "words": [(run, "judge")],
}


@contextmanager
def watched() -> Iterator[Watch]:
    """Note the time of each of `PARTS` while it lasts."""
    watch = Watch()
    patches = [
        mock.patch.object(place, name, watch.watching(part, getattr(place, name)))
        for part, places in PARTS.items()
        for place, name in places
    ]
    for patch in patches:
        patch.start()
    try:
        yield watch
    finally:
        for patch in patches:
            patch.stop()


def shares(plan: Plan, trials: Sequence[Trial]) -> dict[str, float]:
    """Milliseconds of one processor that each part takes for a flight of all cases."""
    fly_block(plan, trials, 0, BLOCK)
    with watched() as watch:
        for number in range(PARTS_FLIGHTS):
            fly_block(plan, trials, number * BLOCK, BLOCK)
    flights = PARTS_FLIGHTS * BLOCK
    return {part: 1e3 * watch.seconds.get(part, 0.0) / flights for part in PARTS}


# ---------------------------------------------------------------- memory


def memory(flights: int) -> float:
    """Largest memory of a process that rehearses all cases [MB]."""
    told = subprocess.run(
        [sys.executable, __file__, "--memory-of", str(flights)],
        check=True,
        capture_output=True,
        text=True,
    )
    return float(told.stdout)


def tell_memory(flights: int) -> None:
    """Rehearse, and print the largest memory so far [MB]."""
    plan = plan_of(read_campaign(CAMPAIGN), 1)
    count_trials(plan, cases(plan), flights)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0)


# ---------------------------------------------------------------- the table


def measure(flights: int) -> list[str]:
    """Measure everything; return the lines of the table."""
    plan = plan_of(read_campaign(CAMPAIGN), 1)
    trials = cases(plan)
    fly_block(plan, trials, 0, 4)
    nominal = wall(plan, trials[:1], flights)
    whole = wall(plan, trials, flights)
    few = min(flights, 1000)
    differ = branches(plan, trials, few) / few * flights
    one = nominal / flights
    bound = 3.0 * nominal + differ * one
    each = f"{len(FAULTS)} × {flights:,} = {len(FAULTS) * flights:,}".replace(",", " ")
    least, most = (memory(number) for number in (flights // 5, flights))
    alone, together = shares(plan, trials[:1]), shares(plan, trials)
    lines = [
        "| closed loop, all processors | measured |",
        "|---|---|",
        f"| {flights} nominal flights | {nominal:.1f} s: {1e3 * one:.2f} ms each |",
        f"| the same and {each} with a fault | {whole:.1f} s: "
        f"{1e3 * whole / flights / len(trials):.2f} ms each |",
        f"| of these differ from the nominal flight, by the first {few} of each | {differ:.0f}, "
        f"{100.0 * differ / flights / len(FAULTS):.0f} % |",
        f"| over three times nominal and those that differ | **{whole / bound:.2f}** |",
        f"| largest memory, {flights // 5} and {flights} flights of each case | "
        f"{least:.0f} and {most:.0f} MB |",
        "",
        f"| part of a flight, one processor | nominal | with {len(FAULTS)} faults |",
        "|---|---|---|",
    ]
    for part in PARTS:
        lines.append(
            f"| {part} | {alone[part]:.2f} ms, {100 * alone[part] / sum(alone.values()):.0f} % | "
            f"{together[part]:.2f} ms, {100 * together[part] / sum(together.values()):.0f} % |"
        )
    return lines


BEGIN, END = "<!-- rehearsal -->\n", "<!-- end rehearsal -->"


def write(text: str) -> None:
    """Put the table into docs/speed.md, between its own marks."""
    page = HOME / "docs" / "speed.md"
    before, _, rest = page.read_text(encoding="utf-8").partition(BEGIN)
    _, _, after = rest.partition(END)
    page.write_text(f"{before}{BEGIN}{text}\n\n{END}{after}", encoding="utf-8")


def main() -> None:
    """Measure, print, and write the table where asked."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--flights", type=int, default=FLIGHTS, help="of each case")
    parser.add_argument("--write", action="store_true", help="put the table into docs/speed.md")
    parser.add_argument("--memory-of", type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.memory_of is not None:
        tell_memory(asked.memory_of)
        return
    table = "\n".join(measure(asked.flights))
    machine = (
        f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}, "
        f"Python {platform.python_version()}, NumPy {np.__version__}"
    )
    print(f"{machine}\n{table}")
    if asked.write:
        write(f"Measured on {machine}.\n\n{table}")


if __name__ == "__main__":
    main()
