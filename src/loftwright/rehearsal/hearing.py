"""What every case's controllers decide on the flights that ``closing`` has them listen to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel.body import Flown
from loftwright.instruments.actuators import Actuation, free_at
from loftwright.instruments.kernel import slots
from loftwright.instruments.noise import Noise
from loftwright.instruments.rows import place
from loftwright.instruments.truth import Truth, around, truth
from loftwright.instruments.wiring import Wiring
from loftwright.program.kernel.slots import NOT_YET
from loftwright.program.table import Action, Table
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.listening import Heard, Lanes, Streams, hear
from loftwright.rehearsal.recorded import PressureTruth

__all__ = ["Ears", "Hearer", "Part", "commanded"]

Floats = NDArray[np.float64]
Single = NDArray[np.float32]
Whole = NDArray[np.int64]

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
        for name in self._wiring.controllers:
            told = self._commands(name, part, case, flight, which)
            for actuator, wires in self._wiring.actuators.items():
                if wires.controller == name and wires.output in told:
                    moved = self._moved(actuator, told[wires.output], case, flight)
                    free[wires.works] = np.minimum(free[wires.works], moved)
        ends = part.ended[which - part.some.start]
        columns = [np.where(free[thing] < ends, free[thing], np.nan) for thing in free]
        return np.stack(columns, axis=1) if columns else np.zeros((len(case), 0))

    def _commands(
        self, name: str, part: Part, case: Whole, flight: Whole, which: Whole
    ) -> dict[str, tuple[Floats, Floats]]:
        """When each output of a controller goes up, and when a pulse of it ends, for each pair."""
        never = np.full(len(case), np.inf)
        outputs = {o for hearer in self._hearers for o in hearer.tables[name].outputs}
        found = {output: (never.copy(), never.copy()) for output in sorted(outputs)}
        runs = self._runs[name]
        for run in dict.fromkeys(runs[number] for number in np.unique(case).tolist()):
            alike = [number for number, each in enumerate(runs) if each == run]
            mine = np.flatnonzero(np.isin(case, alike))
            table = self._hearers[alike[0]].tables[name]
            streams = self.streams(name, part, alike[0])
            lanes = self.lanes(name, table, part, case[mine], flight[mine], which[mine])
            heard = hear(table, streams, lanes)
            for output, (up, down) in commanded(table, lanes, heard).items():
                found[output][0][mine], found[output][1][mine] = up, down
        return found

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
        self, name: str, table: Table, part: Part, case: Whole, flight: Whole, which: Whole
    ) -> Lanes:
        """Lay pairs of a case and a flight out as controllers that run one program."""
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
        return Lanes(here, flight - part.first_flight, samples, parameters, currents, lengths)

    def _draws(
        self, name: str, table: Table, case: Whole, flight: Whole, step: Floats
    ) -> tuple[Single, NDArray[np.int32]]:
        """What the actuators of each output draw from the controller's own battery."""
        currents = np.zeros((len(table.outputs), len(case)), np.float32)
        lengths = np.zeros((len(table.outputs), len(case)), np.int32)
        battery = self._wiring.controllers[name].battery
        for actuator, wires in self._wiring.actuators.items():
            if wires.controller != name or wires.battery != battery:
                continue
            if wires.output not in table.outputs:
                continue
            row = table.outputs.index(wires.output)
            for number in np.unique(case):
                mine = case == number
                moves = self._hearers[number].actuators[actuator]
                stalls = ~np.isfinite(moves.lasts)
                taken = np.where(stalls, moves.stall_draw, moves.draw)
                long = np.where(stalls, 60.0, moves.begins + moves.lasts)
                currents[row, mine] += taken[flight[mine]]
                samples = np.ceil(long[flight[mine]] / step[mine])
                lengths[row, mine] = np.maximum(lengths[row, mine], samples)
        return currents, lengths

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


def commanded(table: Table, lanes: Lanes, heard: Heard) -> dict[str, tuple[Floats, Floats]]:
    """Return when each output goes up, and when it goes down again by itself, s; infinity: never.

    An output that is pulsed anywhere in its program goes down after its shortest pulse.
    """
    begin = lanes.parameters[place("FIRST_AT")].astype(float)
    step = lanes.parameters[place("STEP")].astype(float)
    found = {}
    for number, output in enumerate(table.outputs):
        opened = heard.opened[number]
        up = np.where(opened == NOT_YET, np.inf, begin + step * opened)
        found[output] = (up, up + _shortest_pulse(table, number))
    return found


def _shortest_pulse(table: Table, output: int) -> float:
    """Length of the shortest pulse of an output [s]; infinite where it is switched on to stay."""
    pulses = [
        act.for_ms / 1000.0
        for stage in table.stages
        for act in stage.acts
        if act.output == output and act.action in (Action.PULSE, Action.SOUND)
    ]
    return min(pulses, default=float("inf"))
