"""One body of every flight of a batch: as the engine takes it, half-way, and handed back."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Body", "Door", "Flown"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


class Body(NamedTuple):
    """One body of every flight of a batch: a row a flight.

    ``parents`` says what it leaves: pairs of the number of a body before it and of which of that
    one's things it is; none for the body on the pad. ``beside`` is how far it sits from the place
    of that thing, which may stand for several, in the carrier's body axes [m].
    """

    name: str
    parameters: Floats  # (n, parameters), as ``slots`` names them
    states: Floats  # (n, STATES), what it starts with on the pad; what is in it when it leaves
    phase: int  # the phase that its own flight begins in
    parents: tuple[tuple[int, int], ...] = ()
    beside: Floats | None = None  # (n, 3) or (3,)
    is_booster: bool = False  # what is in it is kept by its carrier until it leaves


class Flown(NamedTuple):
    """What became of one body: figures (n, FIGURE_COUNT), NaN for what did not happen; samples."""

    figures: Floats
    records: Floats  # (recorded, capacity, RECORD_COLUMNS)
    counts: Whole  # samples written of each


class Door(NamedTuple):
    """Where the body on the pad stands, in every flight of a batch, when its push has ended.

    ``body`` holds its tables as they are there; ``phases`` is the next phase of each flight, ENDED
    where it never flew. A door can be gone through again and again, in different ways. ``records``
    has room for the samples of the push alone.
    """

    body: Body
    times: Floats  # (n,) s
    phases: Whole
    figures: Floats
    departures: Floats
    records: Floats
    counts: Whole
    clocks: Floats

    def take(self, rows: Whole, capacity: int) -> Door:
        """Return some of the flights, in tables of their own; a flight may be taken many times.

        Each has room for ``capacity`` samples, those of its push among them; with none, what has
        been recorded is left behind.
        """
        kept = rows if capacity else rows[:0]
        _, pushed, columns = self.records.shape
        records = np.zeros((len(kept), max(capacity, pushed), columns))
        records[:, :pushed] = self.records[kept]
        body = self.body._replace(
            parameters=self.body.parameters[rows], states=self.body.states[rows]
        )
        return Door(
            body,
            self.times[rows],
            self.phases[rows],
            self.figures[rows],
            self.departures[rows],
            records,
            self.counts[kept],
            self.clocks[kept],
        )
