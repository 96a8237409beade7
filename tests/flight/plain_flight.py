"""A flight by the plain Python laws: SciPy's DOP853 over each phase, events by its root finder.

What an event changes is the kernel's own ``happen`` and ``depart``; when it happens, and every
state between, is not.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from flight.engine_rows import Floats
from scipy.integrate import solve_ivp

from loftwright.flight.kernel import events, rates, slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.departure import depart
from loftwright.flight.kernel.fly import _first_phases, _items, _take_leave
from loftwright.flight.kernel.happenings import happen
from loftwright.flight.kernel.holding import hold_item, least_spare

LANES = slots.LANES
COME = 1e-11  # a distance this small is none


def spread(row: Any) -> list[float]:
    """Lay the row of one flight into lane 0 of a table."""
    table = [0.0] * (LANES * len(row))
    table[::LANES] = [float(value) for value in row]
    return table


class PlainBody:
    """One body of one flight."""

    def __init__(self, body: Body, phase: int, t: float, shapes: Floats):
        self.items = _items(body)
        self.p = spread(body.parameters[0])
        self.y = spread(body.states[0])
        self.phase, self.t, self.shapes = phase, t, shapes.tolist()
        self.out = [float("nan")] * slots.FIGURE_COUNT
        self.out[slots.OUTCOME] = slots.LANDED
        self.departures = np.full((1, max(self.items, 1), slots.DEPARTURE_COLUMNS), -1.0)

    def _rates(self, t: float, y: list[float]) -> list[float]:
        dy = [0.0] * slots.SIZE
        rates.lane_rates(self.phase, self._weighed(), t, y, self.p, dy, 0)
        return dy

    def _weighed(self) -> int:
        return self.items if self.phase < slots.POINT_PHASE else 0

    def rate(self, t: float, row: Floats) -> list[float]:
        """Rates of change of a whole state."""
        dy = self._rates(t, spread(row))
        width = slots.ROWS[self.phase]
        return [*dy[: LANES * width : LANES], *[0.0] * (slots.STATES - width)]

    def _nearest(self, t: float, y: list[float]) -> tuple[float, int]:
        """Distance to the nearest event, a hold that gives way before any other, and which."""
        distance, which = events.upcoming(self.phase, self._weighed(), t, y, self.p, self.shapes, 0)
        if self.items == 0 or self.phase >= slots.CANOPY_PHASE:
            return distance, which
        dy = self._rates(t, y)
        for item in range(self.items):
            hold_item(item * slots.ITEM, y, dy, self.p, 0)
        spare, weakest = least_spare(self.items, self.p, 0)
        gives_way = spare < min(distance, COME) or spare < distance
        return (spare, events.TEAR + weakest) if gives_way else (distance, which)

    def _stop(self) -> Any:
        def nearest(t: float, row: Floats) -> float:
            return self._nearest(t, spread(row))[0]

        distance: Any = nearest
        distance.terminal, distance.direction = True, -1.0
        return distance

    def settle(self) -> None:
        """Carry out what has come."""
        while self.phase != slots.ENDED:
            distance, which = self._nearest(self.t, self.y)
            if distance > COME:
                return
            item, torn = events.let_go_by(which)
            if item >= 0:
                self._part(item, torn)
            self.phase = happen(
                which, self.phase, self.items, self.t, self.y, self.p, self.shapes, 0, self.out
            )

    def _part(self, item: int, torn: bool) -> None:
        # The acceleration at the end of a step is the driver's to note.
        dy = self._rates(self.t, self.y)
        for slot, way in (
            (slots.LAST_A_EAST, slots.V_EAST),
            (slots.LAST_A_NORTH, slots.V_NORTH),
            (slots.LAST_A_UP, slots.V_UP),
        ):
            self.p[slot] = dy[way]
        departure = self.departures[0, item]
        depart(self.phase, self.items, item, torn, self.t, self.y, self.p, 0, departure)

    def fly(self) -> None:
        """Fly to the ground."""
        self.settle()
        while self.phase != slots.ENDED:
            leg = solve_ivp(
                self.rate,
                (self.t, self.t + 1000.0),
                self.y[::LANES],
                method="DOP853",
                rtol=1e-12,
                atol=1e-13,
                first_step=1e-5,
                max_step=0.01 if self.phase <= slots.AIR_PHASE else 0.2,
                events=self._stop(),
            )
            self.t, self.y = float(leg.t[-1]), spread(leg.y[:, -1])
            self.settle()


def fly_plainly(bodies: Sequence[Body], shapes: Floats | None = None) -> dict[str, PlainBody]:
    """Fly the first flight of a batch: the body on the pad, then all that was let go."""
    ground = np.zeros(1) if shapes is None else shapes
    flown: dict[str, PlainBody] = {}
    done: list[Body] = []
    for rows in bodies:
        body = rows._replace(
            parameters=rows.parameters[:1].copy(),
            states=rows.states[:1].copy(),
            beside=None if rows.beside is None else np.atleast_2d(rows.beside)[:1],
        )
        times = np.zeros(1)
        departures = [each.departures for each in flown.values()]
        gone = _take_leave(body, departures, times) if body.parents else None
        phase = int(_first_phases(body, done, gone)[0])
        plain = PlainBody(body, phase, float(times[0]), ground)
        plain.fly()
        flown[body.name] = plain
        # What a booster takes from its carrier.
        body.states[0] = plain.y[::LANES]
        body.parameters[0] = plain.p[::LANES]
        done.append(body)
    return flown
