"""The engine's own equations under SciPy's general-purpose solvers: a baseline and an oracle.

Phases, events and rates are the very functions of the kernel, as plain Python or compiled; only
the integration is SciPy's. All bodies are flown, one after the other.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from loftwright.compiling.clone import compiled
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.departure import depart
from loftwright.flight.kernel.events import TEAR, let_go_by, upcoming
from loftwright.flight.kernel.fly import _first_phases, _items, _take_leave
from loftwright.flight.kernel.happenings import happen
from loftwright.flight.kernel.holding import hold_item, least_spare
from loftwright.flight.kernel.rates import lane_rates

LANES = slots.LANES
LONGEST = 3600.0  # s
FREE_AIR = np.zeros(1)  # nothing stands on the ground


def one_flight(phase, items, rows, t, state, y, p, dy):
    """Rates of one flight alone: the state into its lane, the rates out of it."""
    for row in range(rows):
        y[row * 16] = state[row]
    lane_rates(phase, items, t, y, p, dy, 0)


def one_event(phase, items, rows, t, state, y, p, dy, shapes):
    """Distance of one flight to its nearest event, holds that give way included."""
    for row in range(rows):
        y[row * 16] = state[row]
    distance, which = upcoming(phase, items, t, y, p, shapes, 0)
    if items > 0 and phase < 5:
        lane_rates(phase, items, t, y, p, dy, 0)
        for item in range(items):
            hold_item(item * slots.ITEM, y, dy, p, 0)
        spare, weakest = least_spare(items, p, 0)
        if spare < distance:
            return spare, TEAR + weakest
    return distance, which


class PlainLane:
    """One body of one flight in lane 0 of plain Python lists."""

    def __init__(self, parameters: Any, state: Any) -> None:
        self.p = np.repeat(parameters, LANES).tolist()
        self.y = np.repeat(state, LANES).tolist()
        self.dy = [0.0] * slots.SIZE
        self.shapes = FREE_AIR.tolist()
        self._rates, self._event = one_flight, one_event

    def rhs(self, phase: int, items: int, rows: int) -> Callable[[float, Any], Any]:
        y, p, dy, rates = self.y, self.p, self.dy, self._rates
        places = [row * LANES for row in range(rows)]

        def f(t: float, state: Any) -> Any:
            rates(phase, items, rows, t, state.tolist(), y, p, dy)
            return [dy[place] for place in places]

        return f

    def event(self, phase: int, items: int, rows: int) -> Callable[[float, Any], float]:
        y, p, dy, shapes, event = self.y, self.p, self.dy, self.shapes, self._event
        return lambda t, state: event(phase, items, rows, t, state.tolist(), y, p, dy, shapes)[0]

    def nearest(self, phase: int, items: int, t: float) -> tuple[float, int]:
        """Distance to the nearest event now, and which it is."""
        y, rows = self.y, slots.ROWS[phase]
        state = np.array([y[row * LANES] for row in range(rows)])
        found = self._event(phase, items, rows, t, state, y, self.p, self.dy, self.shapes)
        return float(found[0]), int(found[1])


@cache
def _compiled_lane() -> tuple[Any, Any]:
    return compiled(one_flight), compiled(one_event)


class CompiledLane(PlainLane):
    """One body of one flight in lane 0 of arrays, rates and events compiled."""

    def __init__(self, parameters: Any, state: Any) -> None:
        self.p = np.repeat(parameters, LANES)
        self.y = np.repeat(state, LANES)
        self.dy = np.zeros(slots.SIZE)
        self.shapes = FREE_AIR
        self._rates, self._event = _compiled_lane()

    def rhs(self, phase: int, items: int, rows: int) -> Callable[[float, Any], Any]:
        rates, y, p, dy = self._rates, self.y, self.p, self.dy
        out = dy.reshape(slots.STATES, LANES)[:rows, 0]

        def f(t: float, state: Any) -> Any:
            rates(phase, items, rows, t, state, y, p, dy)
            return out.copy()  # solvers keep what they are given

        return f

    def event(self, phase: int, items: int, rows: int) -> Callable[[float, Any], float]:
        event, y, p, dy, shapes = self._event, self.y, self.p, self.dy, self.shapes
        return lambda t, state: event(phase, items, rows, t, state, y, p, dy, shapes)[0]


def _settle(lane: Any, phase: int, items: int, t: float, out: Any, departures: Any) -> int:
    """Carry out every event that has come; return the phase that follows."""
    while True:
        distance, which = lane.nearest(phase, items, t)
        if distance > 0.0:
            return phase
        item, torn = let_go_by(which)
        if item >= 0:
            depart(phase, items, item, torn, t, lane.y, lane.p, 0, departures[0, item])
        following = happen(which, phase, items, t, lane.y, lane.p, lane.shapes, 0, out)
        if following != phase:
            return int(following)


def _through(
    lane: Any, phase: int, items: int, t: float, solver: dict[str, Any], out: Any, departures: Any
) -> Any:
    """Integrate one phase, event by event, until another phase begins."""
    rows = slots.ROWS[phase]
    evaluations = 0
    while True:
        following = _settle(lane, phase, items, t, out, departures)
        if following != phase:
            return following, t, evaluations
        event = lane.event(phase, items, rows)
        event.terminal, event.direction = True, -1
        found = solve_ivp(
            lane.rhs(phase, items, rows),
            (t, LONGEST),
            np.array([lane.y[row * LANES] for row in range(rows)]),
            events=event,
            atol=solver["rtol"] * np.array(slots.TYPICAL[:rows]),
            **solver,
        )
        evaluations += found.nfev
        t = float(found.t[-1])
        # Just past the root, where the event reads as come.
        for row in range(rows):
            lane.y[row * LANES] = float(found.y[row, -1])
        if lane.nearest(phase, items, t)[0] > 0.0:
            nudge = 1e-12 * max(1.0, t)
            slope = lane.rhs(phase, items, rows)(t, found.y[:, -1])
            for row in range(rows):
                lane.y[row * LANES] = float(found.y[row, -1]) + nudge * float(slope[row])
            t += nudge


def fly(make_lane: Any, bodies: Sequence[Body], method: str, rtol: Any) -> Any:
    """Fly one flight; return the figures of its bodies, by name, and evaluations of the rates.

    ``rtol`` is one for all phases, or a sequence of one a phase.
    """
    tolerances = [rtol] * slots.ENDED if isinstance(rtol, float) else list(rtol)
    figures: dict[str, Any] = {}
    done: list[Body] = []
    gone_from: list[Any] = []
    evaluations = 0
    for rows in bodies:
        body = rows._replace(parameters=rows.parameters.copy(), states=rows.states.copy())
        items, times = _items(body), np.zeros(1)
        gone = _take_leave(body, gone_from, times) if body.parents else None
        phase, t = int(_first_phases(body, done, gone)[0]), float(times[0])
        out = np.full(slots.FIGURE_COUNT, np.nan)
        departures = np.full((1, max(items, 1), slots.DEPARTURE_COLUMNS), -1.0)
        lane = make_lane(body.parameters[0], body.states[0])
        while phase != slots.ENDED:
            solver = {"method": method, "rtol": tolerances[phase]}
            phase, t, count = _through(lane, phase, items, t, solver, out, departures)
            evaluations += count
        body.states[0], body.parameters[0] = lane.y[::LANES], lane.p[::LANES]
        figures[body.name] = out
        done.append(body)
        gone_from.append(departures)
    return figures, evaluations
