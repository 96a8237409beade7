"""What the controllers of many flights read, believe and do, sample by sample: tapes by the dozen.

`watching` looks at one flight at a time; this runs through all flights of a block, a few hundred
at once so that memory stays flat, and hands each few on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel.body import Flown as Vehicles
from loftwright.program.table import Table
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.commands import of_pairs
from loftwright.rehearsal.hearing import Part
from loftwright.rehearsal.listening import record
from loftwright.rehearsal.run import Flown

__all__ = ["Tapes", "record_controllers"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Whole = NDArray[np.int64]

TOGETHER = 256  # tapes at once, for memory's sake


@dataclass(frozen=True, slots=True)
class Tapes:
    """What one controller recorded in n flights.

    ``trial`` and ``flight`` (counted from the block's first) say of which; ``begin`` is when its
    first sample was taken and ``step`` the true time between two [s, zero at first motion];
    ``ended`` when the vehicle was down. ``tape`` is (samples, columns, n) as
    ``rehearsal.kernel.loop`` has it, ``samples`` (n,) how many of it count.
    """

    controller: str
    table: Table
    trial: Whole
    flight: Whole
    begin: Floats
    step: Floats
    ended: Floats
    samples: Whole
    tape: Singles


def record_controllers(
    flown: Flown,
    controllers: Sequence[str],
    trial: Whole,
    flight: Whole,
    take: Callable[[Tapes], None],
) -> None:
    """Record controllers in pairs of a trial and a flight of a block.

    Parameters
    ----------
    flown : Flown
        The block, flown.
    controllers : sequence of str
        Whose tapes are wanted.
    trial, flight : (n,) arrays of int
        The pairs; flights count from the block's first.
    take : callable
        Gets some tapes at a time, those of one controller and one program.
    """
    which = flown.settled.which[trial, flight]
    every = flown.settled.branches
    wanted, place = np.unique(which, return_inverse=True)
    branches = Branches(every.group[wanted], every.flight[wanted], every.acts[wanted])
    order = np.argsort(place, kind="stable")
    places = place[order]

    def listen(some: slice, vehicles: Vehicles, ended: Floats) -> None:
        first, last = np.searchsorted(places, [some.start, some.stop])
        part = Part(branches, some, vehicles, ended)
        for begin in range(first, last, TOGETHER):
            pairs = order[begin : min(begin + TOGETHER, last)]
            _record(flown, part, controllers, (trial[pairs], flight[pairs], place[pairs]), take)

    flown.block.vehicles(branches, listen)


def _record(
    flown: Flown,
    part: Part,
    controllers: Sequence[str],
    pairs: tuple[Whole, Whole, Whole],
    take: Callable[[Tapes], None],
) -> None:
    ears = flown.ears
    trial, flight, which = pairs
    told = ears.told(part, trial, flight, which)
    for name in controllers:
        for number, mine in ears.alike(name, trial):
            table = flown.hearers[number].tables[name]
            some = trial[mine], flight[mine], which[mine]
            lanes = ears.lanes(name, table, part, *some, of_pairs(told, mine))
            _, tape = record(table, ears.streams(name, part, number), lanes)
            begin, step = _clocks(flown, name, trial[mine], flight[mine])
            ended = part.ended[which[mine] - part.some.start]
            take(Tapes(name, table, *some[:2], begin, step, ended, lanes.samples, tape))


def _clocks(flown: Flown, name: str, trial: Whole, flight: Whole) -> tuple[Floats, Floats]:
    """First sample and step of a controller in each pair [s]."""
    begin, step = np.empty(len(trial)), np.empty(len(trial))
    for number in np.unique(trial):
        mine = trial == number
        first, between = flown.ears.clock(name, int(number))
        begin[mine], step[mine] = first[flight[mine]], between[flight[mine]]
    return begin, step
