"""What every case's controllers decide on the flights that ``closing`` has them listen to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel.body import Flown
from loftwright.instruments.actuators import Actuation, free_at
from loftwright.instruments.kernel import slots
from loftwright.instruments.loads import load, may_starve, on_its_battery
from loftwright.instruments.noise import Noise
from loftwright.instruments.rows import place
from loftwright.instruments.truth import Truth, around, truth
from loftwright.instruments.wiring import Wiring
from loftwright.program.table import Table
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.commands import (
    Commands,
    Told,
    are_alike,
    commanded,
    of_pairs,
    shortest_pulse,
)
from loftwright.rehearsal.listening import Lanes, Others, Streams, hear
from loftwright.rehearsal.recorded import PressureTruth

__all__ = ["Ears", "Hearer", "Part"]

Floats = NDArray[np.float64]
Single = NDArray[np.float32]
Whole = NDArray[np.int64]

SAME = 1e-6  # samples; closer than that two controllers sample at one moment
AFTER = 0.5  # s that are listened to after a flight has ended: what is under way may come about


@dataclass(frozen=True, slots=True)
class Hearer:
    """One case of a block: what its controllers run, sense with and move.

    ``runs`` names the controller whose program each runs: with another's it knows other outputs.
    ``instruments`` holds the parameters of each controller, (slots.PARAMETERS, flights), and
    ``actuators`` each actuator in every flight.
    """

    tables: Mapping[str, Table]
    runs: Mapping[str, str]
    instruments: Mapping[str, Single]
    actuators: Mapping[str, Actuation]


@dataclass(frozen=True, slots=True)
class Part:
    """A few branches of one ascent, flown."""

    branches: Branches
    some: slice
    flown: Flown
    ended: Floats

    @property
    def first_flight(self) -> int:
        """The first of its flights; they stand in order."""
        return int(self.branches.flight[self.some.start])


class Ears:
    """All cases of a block, ready to listen: a ``closing.Listen``."""

    def __init__(
        self,
        block: Block,
        wiring: Wiring,
        hearers: Sequence[Hearer],
        groups: Sequence[int],
        recorded: PressureTruth | None = None,
    ) -> None:
        self._recorded = recorded
        self._block, self._wiring, self._hearers = block, wiring, list(hearers)
        self._around = {
            (name, group): around(
                block.values[group], block.count, self._port(name, block.values[group])
            )
            for name in wiring.controllers
            for group in sorted(set(groups))
        }
        self._noise = {
            name: Noise(block.recipe.seed, name, block.first, block.count)
            for name in wiring.controllers
        }
        self._clocks: dict[tuple[bytes, bytes], int] = {}
        # By controller: what each case runs, and by which clock; alike ones share their lanes.
        self._runs = {
            name: [
                (id(each.tables[name]), self._clock_number(each.instruments[name]))
                for each in self._hearers
            ]
            for name in wiring.controllers
        }

    def _clock_number(self, rows: Single) -> int:
        """Number of a clock: when samples are taken, in every flight."""
        key = (rows[place("FIRST_AT")].tobytes(), rows[place("STEP")].tobytes())
        return self._clocks.setdefault(key, len(self._clocks))

    def _port(self, controller: str, values: Mapping[str, object]) -> object:
        """Pressure coefficient at the vents of the bay that a controller's barometer sits in."""
        bay = self._wiring.controllers[controller].bay
        if not bay:
            return 0.0
        return values[self._wiring.path("bay", bay, "port_coefficient")]

    def __call__(self, branches: Branches, case: Whole, flight: Whole, which: Whole) -> Floats:
        """Return when each thing is let go or opened, for pairs of a case and a flight."""
        times = np.full((len(case), len(self._block.things)), np.nan)
        order = np.argsort(which, kind="stable")
        places = which[order]

        def take(some: slice, flown: Flown, ended: Floats) -> None:
            first, last = np.searchsorted(places, [some.start, some.stop])
            pairs = order[first:last]
            heard = self._hear(
                Part(branches, some, flown, ended), case[pairs], flight[pairs], which[pairs]
            )
            times[pairs] = heard

        self._block.vehicles(branches, take)
        return times

    def _hear(self, part: Part, case: Whole, flight: Whole, which: Whole) -> Floats:
        """Have some pairs listen to the few branches of ``part``."""
        free = {thing: np.full(len(case), np.inf) for thing in self._block.things}
        told = self.told(part, case, flight, which)
        for actuator, wires in self._wiring.actuators.items():
            command = told[wires.controller].get(wires.output)
            if command is not None:
                moved = self._moved(actuator, command, case, flight)
                free[wires.works] = np.minimum(free[wires.works], moved)
        ends = part.ended[which - part.some.start]
        columns = [np.where(free[thing] < ends, free[thing], np.nan) for thing in free]
        return np.stack(columns, axis=1) if columns else np.zeros((len(case), 0))

    def told(self, part: Part, case: Whole, flight: Whole, which: Whole) -> Told:
        """Return when every controller switches what, for pairs that fly the branches of ``part``.

        Each is heard by itself at first. Where what others move may starve it they are heard again,
        each with what the others did before, until nobody does anything else. What is switched
        first depends on nobody, so that each round settles one command more.
        """
        told = {name: self.commands(name, part, case, flight, which) for name in self._runs}
        starved = self._may_starve(case, flight)
        if not starved.any():
            return told
        few = case[starved], flight[starved], which[starved]
        known = of_pairs(told, starved)
        for _ in range(1 + sum(map(len, known.values()))):
            again = {name: self.commands(name, part, *few, known) for name in self._runs}
            settled = are_alike(known, again)
            known = again
            if settled:
                break
        for name, commands in told.items():
            for output, (up, down) in commands.items():
                up[starved], down[starved] = known[name][output]
        return told

    def _may_starve(self, case: Whole, flight: Whole) -> NDArray[np.bool_]:
        """Tell of each pair whether a controller's supply might give way to what others move."""
        found = np.zeros(len(case), bool)
        for number in np.unique(case):
            mine = case == number
            hearer = self._hearers[number]
            some = np.zeros(self._block.count, bool)
            for name in self._wiring.controllers:
                some |= may_starve(self._wiring, name, hearer.instruments[name], hearer.actuators)
            found[mine] = some[flight[mine]]
        return found

    def commands(
        self,
        name: str,
        part: Part,
        case: Whole,
        flight: Whole,
        which: Whole,
        known: Told | None = None,
    ) -> Commands:
        """When each output of a controller goes up, and when a pulse of it ends, for each pair."""
        never = np.full(len(case), np.inf)
        outputs = {o for hearer in self._hearers for o in hearer.tables[name].outputs}
        found = {output: (never.copy(), never.copy()) for output in sorted(outputs)}
        for number, mine in self.alike(name, case):
            table = self._hearers[number].tables[name]
            streams = self.streams(name, part, number)
            pairs = case[mine], flight[mine], which[mine]
            lanes = self.lanes(name, table, part, *pairs, known and of_pairs(known, mine))
            heard = hear(table, streams, lanes)
            for output, (up, down) in commanded(table, lanes, heard).items():
                found[output][0][mine], found[output][1][mine] = up, down
        return found

    def alike(self, name: str, case: Whole) -> Iterator[tuple[int, Whole]]:
        """Yield pairs that have one program and clock in a controller: a case of it, and which."""
        runs = self._runs[name]
        for run in dict.fromkeys(runs[number] for number in np.unique(case).tolist()):
            alike = [number for number, each in enumerate(runs) if each == run]
            yield alike[0], np.flatnonzero(np.isin(case, alike))

    def clock(self, name: str, number: int = 0) -> tuple[Floats, Floats]:
        """When a case's controller takes its first sample, and the time between two, (flights,)."""
        rows = self._hearers[number].instruments[name]
        return rows[place("FIRST_AT")].astype(float), rows[place("STEP")].astype(float)

    def streams(self, name: str, part: Part, number: int = 0) -> Streams:
        """What a case's controller can sense in the branches of ``part``, and its noise.

        Truth has a row a branch, noise a row for each flight from the first to the last of them.
        """
        flights = part.branches.flight[part.some]
        group = int(part.branches.group[part.some.start])
        begin, step = (column[flights] for column in self.clock(name, number))
        samples = int(np.max(np.ceil((part.ended + AFTER - begin) / step))) + 1
        tapes = [
            records[:count]
            for records, count in zip(part.flown.records, part.flown.counts, strict=True)
        ]
        times = begin[:, None] + step[:, None] * np.arange(samples)
        told: Truth = truth(tapes, times, self._around[name, group][flights])
        heard = slice(part.first_flight, int(flights[-1]) + 1)
        loud = self._noise[name].up_to(samples)[:, heard]
        kinds = [np.ascontiguousarray(kind) for kind in loud]
        if self._recorded is None:
            return Streams(told.port, told.push, *kinds)
        port, push = _as_recorded(self._recorded, times, told.push)
        # What was recorded has its noise in it.
        return Streams(port, push, np.zeros_like(kinds[0]), kinds[1], kinds[2])

    def lanes(
        self,
        name: str,
        table: Table,
        part: Part,
        case: Whole,
        flight: Whole,
        which: Whole,
        known: Told | None = None,
    ) -> Lanes:
        """Lay pairs of a case and a flight out as controllers that run one program.

        ``known`` tells what the other controllers do in these pairs; without it they do nothing.
        """
        parameters = np.empty((slots.PARAMETERS, len(case)), np.float32)
        for number in np.unique(case):
            mine = case == number
            rows = self._hearers[number].instruments[name]
            parameters[:, mine] = rows[:, flight[mine]]
        step = parameters[place("STEP")].astype(float)
        begin = parameters[place("FIRST_AT")].astype(float)
        here = which - part.some.start
        samples = np.ceil((part.ended[here] + AFTER - begin) / step).astype(np.int64) + 1
        currents, lengths = self._draws(name, table, case, flight, step)
        others = Others.none(len(case))
        if known is not None:
            others = self._of_others(name, known, case, flight, begin, step)
        row = flight - part.first_flight
        return Lanes(here, row, samples, parameters, currents, lengths, others)

    def _draws(
        self, name: str, table: Table, case: Whole, flight: Whole, step: Floats
    ) -> tuple[Single, NDArray[np.int32]]:
        """What the actuators of each output draw from the controller's own battery."""
        currents = np.zeros((len(table.outputs), len(case)), np.float32)
        lengths = np.zeros((len(table.outputs), len(case)), np.int32)
        for actuator in on_its_battery(self._wiring, name, moved_by_others=False):
            output = self._wiring.actuators[actuator].output
            if output not in table.outputs:
                continue
            row = table.outputs.index(output)
            taken, long = self._load(actuator, case, flight)
            samples = np.ceil(np.minimum(long, shortest_pulse(table, row)) / step)
            currents[row] += taken
            lengths[row] = np.maximum(lengths[row], samples)
        return currents, lengths

    def _of_others(
        self, name: str, known: Told, case: Whole, flight: Whole, begin: Floats, step: Floats
    ) -> Others:
        """What others move on a controller's battery, in its own samples.

        As with what it moves itself, the first sample after the command is the first to feel it.
        """
        rows = []
        for actuator in on_its_battery(self._wiring, name, moved_by_others=True):
            wires = self._wiring.actuators[actuator]
            command = known[wires.controller].get(wires.output)
            if command is None:
                continue
            up, down = command
            taken, long = self._load(actuator, case, flight)
            after = np.floor((up - begin) / step + SAME) + 1.0
            ever = np.isfinite(up)
            pulse = np.subtract(down, up, where=ever, out=np.zeros(len(up)))
            samples = np.ceil(np.minimum(long, pulse) / step)
            first = np.where(ever, after, 0.0)
            rows.append((first, np.where(ever, first + samples - 1, 0.0), taken))
        if not rows:
            return Others.none(len(case))
        begins, ends, currents = (np.stack(column) for column in zip(*rows, strict=True))
        return Others(begins.astype(np.int32), ends.astype(np.int32), currents.astype(np.float32))

    def _load(self, actuator: str, case: Whole, flight: Whole) -> tuple[Floats, Floats]:
        """Current of an actuator that moves [A], and for how long it would [s], for each pair."""
        taken, long = np.empty(len(case)), np.empty(len(case))
        for number in np.unique(case):
            mine = case == number
            currents, lasts = load(self._hearers[number].actuators[actuator])
            taken[mine], long[mine] = currents[flight[mine]], lasts[flight[mine]]
        return taken, long

    def _moved(
        self, actuator: str, told: tuple[Floats, Floats], case: Whole, flight: Whole
    ) -> Floats:
        """When what an actuator works is free, for each pair."""
        moments = np.full(len(case), np.inf)
        for number in np.unique(case):
            mine = case == number
            moves = self._hearers[number].actuators[actuator]
            rows = Actuation(
                *(getattr(moves, name)[flight[mine]] for name in Actuation.__dataclass_fields__)
            )
            moments[mine] = free_at(rows, told[0][mine], told[1][mine])
        return moments


def _as_recorded(record: PressureTruth, times: Floats, push: Single) -> tuple[Single, Single]:
    """Pressure and push as they were recorded; push of the flight where nothing measured it."""
    port = np.interp(times, record.time_s, record.port_pressure).astype(np.float32)
    if not np.isfinite(record.push).any():
        return port, push
    known = np.isfinite(record.push)
    felt = np.interp(times, record.time_s[known], record.push[known]).astype(np.float32)
    return port, felt
