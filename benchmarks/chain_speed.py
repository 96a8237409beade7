"""How fast controllers listen to flights: instruments, estimator and program, sample by sample.

    python benchmarks/chain_speed.py [--write]

The demo campaign's cases listen to flights of it: compiled, and in plain Python by the interpreter
that says what a program means and by the instruments that tests hold the compiled ones against.
``--write`` puts the table into docs/speed.md.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from ensemble import CAMPAIGN, SEED
from flight_speed import HOME, busy

from loftwright.compiling.clone import compiled
from loftwright.documents import read_campaign
from loftwright.flight.kernel.body import Flown
from loftwright.instruments.cases import inputs, scene_of
from loftwright.instruments.kernel import slots
from loftwright.instruments.kernel.sense import begin, sense
from loftwright.instruments.rows import NAMES
from loftwright.program.flatten import flat, new_state
from loftwright.program.interpreter import Reading, power_up, step
from loftwright.program.kernel.decide import decide
from loftwright.program.table import Table
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import unique
from loftwright.rehearsal.hearing import Ears, Hearer, Part
from loftwright.rehearsal.listening import Lanes, Streams, hear
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.rehearse import known_happenings

sys.path.insert(0, str(HOME / "tests"))  # for instruments in plain Python

from instruments.plain_sense import Plain

FLIGHTS = 32
REPEATS = 60
LANES = slots.LANES
EXACT = True  # what is compiled here rounds as the loop does
MARKS = ("<!-- chain -->\n", "<!-- end chain -->")


class Chain(NamedTuple):
    """What controllers of one program have to listen to."""

    table: Table
    streams: Streams
    lanes: Lanes


def chain(cases: int) -> Chain:
    """The demo's first so many cases, in each flight before its programs have done anything."""
    plan = plan_of(read_campaign(CAMPAIGN), SEED)
    block = Block(plan.recipe, 0, FLIGHTS, plan.things)
    scene = scene_of(plan.campaign, block.values[0], plan.recipe.words, SEED, 0, FLIGHTS)
    happen = [(), *((each,) for each in known_happenings(plan))]
    # What changes the flight itself has an ascent of its own, and so other neighbours.
    alike = [case for each in happen if (case := inputs(scene, *each)).values is None][:cases]
    hearers = [Hearer(plan.tables, each.programs, each.lanes, each.actuators) for each in alike]
    ears = Ears(block, scene.wiring, hearers, [0] * len(alike))
    name = next(iter(scene.wiring.controllers))
    flight, case = np.divmod(np.arange(FLIGHTS * len(alike)), len(alike))
    nothing = np.full((len(flight), len(plan.things)), np.nan)
    branches, which = unique(np.zeros(len(flight), np.int64), flight, nothing)
    found: list[Chain] = []

    def take(some: slice, flown: Flown, ended: Any) -> None:
        part = Part(branches, some, flown, ended)
        lanes = ears.lanes(name, plan.tables[name], part, case, flight, which)
        found.append(Chain(plan.tables[name], ears.streams(name, part), lanes))

    block.vehicles(branches, take)
    return found[0]


# ---------------------------------------------------------------- parts of the loop, by themselves


def sense_all(shown, draw, p, m, pressure, pushed, whole, kept):
    """Take every sample of one group's instruments; keep them where there is room."""
    port, push, noise = shown
    kept_pressure, kept_pushed, kept_whole = kept
    line, now, alive, restart = whole
    begin(p, m)
    for k in range(port.shape[0]):
        sense(
            k, port[k], push[k], noise[k], draw, p, m, pressure, pushed, line, now, alive, restart
        )
        if k < kept_whole.shape[0]:
            for lane in range(LANES):
                kept_pressure[k, lane], kept_pushed[k, lane] = pressure[lane], pushed[lane]
                kept_whole[k, 0, lane], kept_whole[k, 1, lane] = line[lane], now[lane]
                kept_whole[k, 2, lane], kept_whole[k, 3, lane] = alive[lane], restart[lane]


def decide_all(ints, floats, whole, single, read):
    """Take every sample of one group's programs."""
    pressure, pushed, given = read
    for k in range(pressure.shape[0]):
        line, now, alive, restart = given[k, 0], given[k, 1], given[k, 2], given[k, 3]
        decide(k, ints, floats, whole, single, pressure[k], pushed[k], line, now, alive, restart)


def one_flight(work: Chain) -> tuple[Any, Any]:
    """The first flight's samples, LANES wide, and its lanes' parameters as one group."""
    samples = int(work.lanes.samples[:LANES].max())
    rows = (work.streams.port, work.streams.push)
    port, push = (np.repeat(row[0, :samples, None], LANES, axis=1) for row in rows)
    kinds = np.stack([row[0, :samples] for row in work.streams[2:]], axis=1)
    noise = np.repeat(kinds, LANES, axis=1)
    return (port, push, noise), np.ascontiguousarray(work.lanes.parameters[:, :LANES]).ravel()


def room(samples: int) -> tuple[Any, Any, Any]:
    """Room for what a group of controllers reads."""
    wide = (samples, LANES)
    return (
        np.zeros(wide, np.float32),
        np.zeros(wide, np.float32),
        np.zeros((samples, 4, LANES), np.int32),
    )


def apart(work: Chain) -> tuple[float, float]:
    """Seconds for a lane's sample of the instruments alone, and of the program alone."""
    shown, p = one_flight(work)
    samples = len(shown[0])
    draw, memory = np.zeros(LANES, np.float32), np.zeros(slots.MEMORIES * LANES, np.float32)
    reading = (*np.zeros((2, LANES), np.float32), np.zeros((4, LANES), np.int32))
    sensing, deciding = compiled(sense_all), compiled(decide_all)
    read = room(samples)
    sensing(shown, draw, p, memory, *reading, read)
    program, start = flat(work.table), new_state(work.table)

    def sense_often() -> None:
        for _ in range(FLIGHTS):
            sensing(shown, draw, p, memory, *reading, room(0))

    def decide_often() -> None:
        for _ in range(FLIGHTS):
            state = start.copy()
            deciding(program.ints, program.floats, state.whole, state.single, read)

    taken = FLIGHTS * samples * LANES
    return warm(sense_often) / taken, warm(decide_often) / taken


def warm(task: Callable[[], Any]) -> float:
    """Seconds of the processor for a task that has been compiled."""
    task()
    return busy(task, REPEATS)


def together(work: Chain) -> float:
    """Seconds for a lane's sample of the whole chain."""
    taken = int(work.lanes.samples.sum())
    return warm(lambda: hear(work.table, work.streams, work.lanes)) / taken


# ---------------------------------------------------------------- the same in plain Python


def plain(work: Chain) -> tuple[float, float, float]:
    """Seconds for a sample in plain Python: the chain, the instruments, the program."""
    shown, p = one_flight(work)
    values = dict(zip(NAMES, p.reshape(-1, LANES)[:, 0], strict=True))
    noise = shown[2].reshape(len(shown[2]), -1, LANES)[..., 0]
    nothing = np.float32(0)
    samples = len(noise)
    readings: list[Reading] = []

    def listen() -> None:
        case = Plain(values)
        readings.clear()
        for k in range(samples):
            told = case.sample(k, shown[0][k, 0], shown[1][k, 0], noise[k], nothing)
            readings.append(Reading(told[0], told[1], told[2], told[3]))

    def run() -> None:
        state = power_up(work.table)
        for reading in readings:
            step(work.table, state, reading)

    instruments = busy(listen, 3) / samples
    program = busy(run, 3) / samples
    return instruments + program, instruments, program


def measure() -> list[str]:
    """Measure everything; return the lines of the table."""
    full, fewer = chain(32), chain(20)
    slow = plain(full)
    whole = together(full)
    quick = (whole, *apart(full))
    lines = [
        "| samples a second on one thread | compiled | plain Python | ratio |",
        "|---|---|---|---|",
    ]
    words = (
        "instruments, estimator and program",
        "instruments alone",
        "estimator and program alone",
    )
    for says, fast, plainly in zip(words, quick, slow, strict=True):
        lines.append(
            f"| {says} | **{1e-6 / fast:.0f} million** | {1e-3 / plainly:.1f} thousand "
            f"| {plainly / fast:.0f} |"
        )
    few = together(fewer)
    lines.append(
        f"| the whole, 20 cases of a flight side by side | {1e-6 / few:.0f} million "
        f"| | {slow[0] / few:.0f} |"
    )
    return lines


def main() -> None:
    """Measure, print, and write the table where asked."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--write", action="store_true", help="put the table into docs/speed.md")
    asked = parser.parse_args()
    table = "\n".join(measure())
    machine = (
        f"{platform.machine()}, {os.cpu_count()} processors, {platform.system()}, "
        f"Python {platform.python_version()}, NumPy {np.__version__}"
    )
    print(f"{machine}\n{table}")
    if asked.write:
        page = HOME / "docs" / "speed.md"
        begins, ends = MARKS
        before, _, rest = page.read_text(encoding="utf-8").partition(begins)
        _, _, after = rest.partition(ends)
        page.write_text(
            f"{before}{begins}Measured on {machine}.\n\n{table}\n\n{ends}{after}", encoding="utf-8"
        )


if __name__ == "__main__":
    main()
