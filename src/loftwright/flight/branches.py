"""Flights that share their ascent and part ways later: by when things are let go and opened.

The push is flown once. What decides, from outside, when a payload goes and when the canopy opens
then has the same flights go on from there, as often as it likes and in different ways.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.engine import Raw, compiled_engine, gather, tolerances
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body, Door, Flown
from loftwright.flight.kernel.events import FAR
from loftwright.flight.kernel.fly import ascend, fly

__all__ = ["Acts", "Shared", "share_ascent"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

CAPACITY = 640  # samples of one flight
INTERVALS = (5e-3, 0.04)  # s between samples, while pushed and after


@dataclass(frozen=True, slots=True)
class Acts:
    """When things are let go and opened, (n,) s after first motion; NaN for never.

    ``items`` goes by the number of a thing among those that the vehicle carries. A thing that is
    not named keeps to its document. Times before first motion count as first motion.
    """

    items: Mapping[int, Floats] = field(default_factory=dict)
    canopy: Floats | None = None

    def take(self, rows: Whole) -> Acts:
        """Return those of some flights."""
        items = {item: times[rows] for item, times in self.items.items()}
        return Acts(items, None if self.canopy is None else self.canopy[rows])

    def earliest(self, count: int) -> Floats:
        """Return the first act of each flight, far off where there is none."""
        columns = [*self.items.values(), *([] if self.canopy is None else [self.canopy])]
        known = [np.where(np.isnan(column), FAR, column) for column in columns]
        first: Floats = np.min([np.full(count, FAR), *known], axis=0)
        return first


class Shared:
    """A batch of flights whose push has been flown once.

    ``bodies`` are as ``prepare`` makes them, the one on the pad first; they are left unchanged.
    ``acts`` names what is decided from outside, with any times: none of it happens by itself.
    """

    def __init__(
        self, bodies: Sequence[Body], acts: Acts, tolerance: float, shapes: Floats | None
    ) -> None:
        self._engine = compiled_engine()
        self._each_phase = tolerances(tolerance)
        self._shapes = np.zeros(1) if shapes is None else shapes
        self._bodies = list(bodies)
        nothing = np.full(len(bodies[0].parameters), np.nan)
        never = Acts(dict.fromkeys(acts.items, nothing), None if acts.canopy is None else nothing)
        self._pad = _copied(bodies[0])
        _decide(self._pad, never)
        self._door = ascend(
            self._engine,
            _copied(self._pad),
            self._each_phase,
            self._shapes,
            CAPACITY,
            np.array(INTERVALS),
        )

    def vehicles(self, rows: Whole, acts: Acts) -> tuple[Flown, Floats]:
        """Fly the vehicle alone, recorded, to the ground.

        Parameters
        ----------
        rows : (n,) array of int
            Which flight each of the n goes on from.
        acts : Acts
            What is done in each of the n.

        Returns
        -------
        Flown
            Figures and samples.
        ended : (n,) array
            Moment of the last sample [s].
        """
        flown = self._fly(rows, acts, self._bodies[:1], recorded=len(rows))[0]
        last = np.maximum(flown.counts - 1, 0)
        return flown, flown.records[np.arange(len(rows)), last, slots.RECORD_TIME]

    def flights(self, rows: Whole, acts: Acts) -> Raw:
        """Fly all bodies to the ground; the parameters are those of `vehicles`."""
        return gather(self._bodies, [self._fly(rows, acts, self._bodies, recorded=0)])

    def _fly(self, rows: Whole, acts: Acts, bodies: Sequence[Body], recorded: int) -> list[Flown]:
        """Fly from the door, and from the pad what is decided before the push has ended."""
        early = acts.earliest(len(rows)) < self._door.times[rows]
        if not early.any():
            return self._from_door(rows, acts, bodies, recorded)
        late = np.flatnonzero(~early)
        soon = np.flatnonzero(early)
        parts = [self._from_pad(rows[soon], acts.take(soon), bodies, min(recorded, len(soon)))]
        if len(late):
            parts.append(
                self._from_door(rows[late], acts.take(late), bodies, min(recorded, len(late)))
            )
        return [_merged(some, (soon, late)) for some in zip(*parts, strict=True)]

    def _from_door(
        self, rows: Whole, acts: Acts, bodies: Sequence[Body], recorded: int
    ) -> list[Flown]:
        door = self._door.take(rows, CAPACITY if recorded else 0)
        _decide(door.body, acts)
        return self._run([door.body, *(_taken(body, rows) for body in bodies[1:])], recorded, door)

    def _from_pad(
        self, rows: Whole, acts: Acts, bodies: Sequence[Body], recorded: int
    ) -> list[Flown]:
        pad = _taken(self._pad, rows)
        _decide(pad, acts)
        return self._run([pad, *(_taken(body, rows) for body in bodies[1:])], recorded, None)

    def _run(self, bodies: list[Body], recorded: int, door: Door | None) -> list[Flown]:
        return fly(
            self._engine,
            bodies,
            self._each_phase,
            self._shapes,
            recorded,
            CAPACITY,
            np.array(INTERVALS),
            door,
        )


def share_ascent(
    bodies: Sequence[Body],
    acts: Acts,
    *,
    tolerance: float = 1e-6,
    shapes: Floats | None = None,
) -> Shared:
    """Fly the push of every flight once, on the calling thread.

    Parameters
    ----------
    bodies : sequence of Body
        As ``prepare`` makes them.
    acts : Acts
        Which things are decided from outside; their times do not matter here.
    tolerance : float
        Relative tolerance of figures.
    shapes : array, optional
        Trees and buildings, as ``kernel.obstacles`` reads them.
    """
    return Shared(bodies, acts, tolerance, shapes)


def _copied(body: Body) -> Body:
    return body._replace(parameters=body.parameters.copy(), states=body.states.copy())


def _taken(body: Body, rows: Whole) -> Body:
    beside = body.beside
    return body._replace(
        parameters=body.parameters[rows],
        states=body.states[rows],
        beside=beside if beside is None or beside.ndim == 1 else beside[rows],
    )


def _decide(vehicle: Body, acts: Acts) -> None:
    """Set the moments at which things go; what is decided from outside has no other trigger."""
    table = vehicle.parameters
    for item, times in acts.items.items():
        shift = item * slots.ITEM
        table[:, (slots.ITEM_WHEN + shift) // slots.LANES] = slots.NEVER
        table[:, (slots.ITEM_AT + shift) // slots.LANES] = _moments(times)
    if acts.canopy is not None:
        table[:, slots.CANOPY_KIND // slots.LANES] = slots.NEVER
        table[:, slots.CANOPY_AT // slots.LANES] = _moments(acts.canopy)


def _moments(times: Floats) -> Floats:
    return np.where(np.isnan(times), FAR, np.maximum(times, 0.0))


def _merged(parts: Sequence[Flown], places: Sequence[Whole]) -> Flown:
    """Put flights flown in parts back into their places; records where they were recorded."""
    return Flown(*(_put_back(tables, places) for tables in zip(*parts, strict=True)))


def _put_back(tables: Sequence[NDArray[Any]], places: Sequence[Whole]) -> NDArray[Any]:
    count = sum(len(table) for table in tables)
    whole = np.empty((count, *tables[0].shape[1:]), tables[0].dtype)
    for rows, table in zip(places, tables, strict=False):
        if len(table):
            whole[rows] = table
    return whole
