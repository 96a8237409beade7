"""On what every fault of the library shows, all forms of a program decide alike, to the bit.

The loop that rehearsals run, the compiled runner, the emitted C and the interpreter, which is what
a program means: each is given what the sensors showed, sample for sample.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray
from program.agreement import assert_alike, bits, interpret, streams
from program.builds import load, needs, run_library
from program.made_up import Readings
from rehearsal.loops import REHEARSED, plan_for

from loftwright.compiling.clone import compiled
from loftwright.instruments.faults import library
from loftwright.instruments.kernel import slots
from loftwright.instruments.kernel.sense import begin, sense
from loftwright.program.kernel.slots import NOT_YET
from loftwright.program.runner import run
from loftwright.program.table import Table
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.hearing import Part
from loftwright.rehearsal.kernel.loop import (
    TAPE_ALIVE,
    TAPE_CLIMB,
    TAPE_COLUMNS,
    TAPE_HEIGHT,
    TAPE_PRESSURE,
    TAPE_PUSH,
    TAPE_STAGE,
)
from loftwright.rehearsal.listening import Heard, Lanes, Streams, watch
from loftwright.rehearsal.rehearse import known_happenings
from loftwright.rehearsal.run import Trial, fly_block

FLIGHTS = 1
CONTROLLERS = ("board", "timer")


@cache
def rehearsed():
    """All faults of the library at all parts, and nothing failing first, in few flights."""
    plan = plan_for(REHEARSED)
    known = known_happenings(plan)
    return known, fly_block(plan, [Trial(), *(Trial((each,)) for each in known)], 0, FLIGHTS)


def one(flown, trial, flight):
    """Fly the vehicle of one flight of a case again, recorded."""
    number = flown.settled.which[trial, flight]
    branches = flown.settled.branches
    alone = Branches(*(each[number : number + 1] for each in branches))
    found = []
    flown.block.vehicles(
        alone, lambda some, each, ended: found.append(Part(alone, some, each, ended))
    )
    return found[0]


class Case(NamedTuple):
    """What a controller's loop had to sense in one case and flight, and its tape."""

    table: Table
    streams: Streams
    lanes: Lanes
    first: Heard
    tape: NDArray[np.float32]


@cache
def heard(controller):
    """Listen again to every case and flight; of those that are alike the first stands for all."""
    _, flown = rehearsed()
    found = {}
    for trial, hearer in enumerate(flown.hearers):
        for flight in range(FLIGHTS):
            part = one(flown, trial, flight)
            there = flown.ears.streams(controller, part, trial)
            numbers = (np.full(1, number) for number in (trial, flight, 0))
            table = hearer.tables[controller]
            pair = tuple(numbers)
            told = flown.ears.told(part, *pair)
            lanes = flown.ears.lanes(controller, table, part, *pair, told)
            case = Case(table, there, lanes, *watch(table, there, lanes))
            parts = (there.port, there.push, lanes.parameters, lanes.currents, lanes.lengths)
            found.setdefault((id(table), *(each.tobytes() for each in parts)), case)
    return list(found.values())


@cache
def given(controller):
    """Run the instruments by themselves, cases side by side; return what programs were given."""
    cases = heard(controller)
    return [
        readings
        for first in range(0, len(cases), slots.LANES)
        for readings in sensed(cases[first : first + slots.LANES])
    ]


@cache
def meant(controller):
    """What the interpreter makes of it."""
    pairs = zip(heard(controller), given(controller), strict=True)
    return [interpret(case.table, readings) for case, readings in pairs]


@cache
def compiled_sense():
    return compiled(sense)


def sensed(cases):
    """Readings of up to LANES cases; lanes left over are the last one again."""
    filled = [cases[min(lane, len(cases) - 1)] for lane in range(slots.LANES)]
    longest = max(int(case.lanes.samples[0]) for case in cases)
    p = np.stack([case.lanes.parameters[:, 0] for case in filled], axis=1).ravel()
    memory = np.zeros(slots.MEMORIES * slots.LANES, np.float32)
    begin(p, memory)
    true = [laid(filled, longest, name, "truth") for name in ("port", "push")]
    noises = ("noise_pressure", "noise_push", "noise_luck")
    noise = np.concatenate([laid(filled, longest, name, "noise") for name in noises], axis=1)
    draw = np.stack([drawn(case, longest) for case in filled], axis=1)
    floats = [np.zeros(slots.LANES, np.float32) for _ in range(2)]
    wholes = [np.zeros(slots.LANES, np.int32) for _ in range(4)]
    shown = [np.zeros((longest, slots.LANES), each.dtype) for each in (*floats, *wholes)]
    for k in range(longest):
        compiled_sense()(k, true[0][k], true[1][k], noise[k], draw[k], p, memory, *floats, *wholes)
        for column, value in zip(shown, (*floats, *wholes), strict=True):
            column[k] = value
    for lane, case in enumerate(cases):
        samples = int(case.lanes.samples[0])
        yield Readings(*(column[None, :samples, lane] for column in shown))


def laid(cases, samples, name, rows):
    """A stream of every case, (samples, lanes), its last sample held."""
    columns = []
    for case in cases:
        stream = getattr(case.streams, name)[int(getattr(case.lanes, rows)[0])]
        columns.append(stream[np.minimum(np.arange(samples), len(stream) - 1)])
    return np.ascontiguousarray(np.stack(columns, axis=1), np.float32)


def drawn(case, samples):
    """Current of moving actuators, (samples,): from the sample after an output has gone up."""
    total = np.zeros(samples, np.float32)
    outputs = zip(case.first.opened[:, 0], case.lanes.lengths[:, 0], strict=True)
    for current, (opened, length) in zip(case.lanes.currents[:, 0], outputs, strict=True):
        if opened != NOT_YET:
            total[opened + 1 : opened + length] += current
    return total


@pytest.mark.parametrize("controller", CONTROLLERS)
def test_instruments_show_in_the_loop_what_they_show_alone(controller):
    for case, readings in zip(heard(controller), given(controller), strict=True):
        np.testing.assert_array_equal(case.tape[:, TAPE_PRESSURE], readings.pressure[0])
        np.testing.assert_array_equal(case.tape[:, TAPE_PUSH], readings.push[0])
        np.testing.assert_array_equal(case.tape[:, TAPE_ALIVE], readings.alive[0])


@pytest.mark.parametrize("controller", CONTROLLERS)
def test_the_loop_decides_as_the_interpreter_does(controller):
    for case, means in zip(heard(controller), meant(controller), strict=True):
        np.testing.assert_array_equal(case.tape[:, TAPE_STAGE], means.stage[0])
        np.testing.assert_array_equal(case.tape[:, TAPE_HEIGHT], means.height[0])
        np.testing.assert_array_equal(case.tape[:, TAPE_CLIMB], means.climb[0])
        for output in range(len(case.table.outputs)):
            level = means.levels[0] >> output & 1
            np.testing.assert_array_equal(case.tape[:, TAPE_COLUMNS + output], level)
        opened = np.where(case.first.opened[:, 0] == NOT_YET, -1, case.first.opened[:, 0])
        np.testing.assert_array_equal(opened, means.opened[0])


@pytest.mark.parametrize("controller", CONTROLLERS)
def test_the_runner_decides_as_the_interpreter_does(controller):
    for case, readings, means in zip(
        heard(controller), given(controller), meant(controller), strict=True
    ):
        assert_alike(run(case.table, streams(readings), every_sample=True), means)


def test_emitted_c_decides_as_the_interpreter_does(tmp_path):
    needs("gcc")
    tables = [rehearsed()[1].hearers[0].tables[name] for name in CONTROLLERS]
    built = load(tables, tmp_path)
    for controller in CONTROLLERS:
        for case, readings, means in zip(
            heard(controller), given(controller), meant(controller), strict=True
        ):
            # The other's program, where they have been exchanged.
            found = run_library(built, tables.index(case.table), readings)
            np.testing.assert_array_equal(found.stage, means.stage)
            np.testing.assert_array_equal(found.levels, means.levels)
            taken = readings.alive == 1
            for name in ("height", "climb"):
                ours, theirs = getattr(found, name)[taken], getattr(means, name)[taken]
                np.testing.assert_array_equal(bits(ours), bits(theirs))


def test_every_fault_of_the_library_is_among_them():
    assert {each.fault.name for each in rehearsed()[0]} == set(library())
    # Streams that are alike stand for each other; most faults of sensors show in one.
    assert len(heard("board")) > 20
