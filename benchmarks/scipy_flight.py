"""The engine's own equations under SciPy's general-purpose solvers: a baseline and an oracle.

Phases, events and rates are the very functions of the kernel, as plain Python or compiled; only
the integration is SciPy's.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from loftwright.flight.kernel import slots
from loftwright.flight.kernel.compile import compiled
from loftwright.flight.kernel.driver import _settle
from loftwright.flight.kernel.events import upcoming
from loftwright.flight.kernel.rates import lane_rates

LANES = slots.LANES
LONGEST = 3600.0  # s


def one_flight(phase, rows, t, state, y, p, dy):
    """Rates of one flight alone: the state into its lane, the rates out of it."""
    for row in range(rows):
        y[row * 16] = state[row]
    lane_rates(phase, t, y, p, dy, 0)


def one_event(phase, rows, t, state, y, p):
    """Distance of one flight to its nearest event."""
    for row in range(rows):
        y[row * 16] = state[row]
    distance, _which = upcoming(phase, t, y, p, 0)
    return distance


class PlainLane:
    """One flight in lane 0 of plain Python lists."""

    def __init__(self, parameters: Any, state: Any) -> None:
        self.p = np.repeat(parameters, LANES).tolist()
        self.y = np.repeat(state, LANES).tolist()
        self.dy = [0.0] * slots.SIZE

    def rhs(self, phase: int, rows: int) -> Callable[[float, Any], Any]:
        y, p, dy = self.y, self.p, self.dy
        places = [row * LANES for row in range(rows)]

        def f(t: float, state: Any) -> Any:
            for place, value in zip(places, state.tolist(), strict=True):
                y[place] = value
            lane_rates(phase, t, y, p, dy, 0)
            return [dy[place] for place in places]

        return f

    def event(self, phase: int, rows: int) -> Callable[[float, Any], float]:
        y, p = self.y, self.p

        def g(t: float, state: Any) -> float:
            for row, value in enumerate(state[:rows].tolist()):
                y[row * LANES] = value
            return float(upcoming(phase, t, y, p, 0)[0])

        return g


@cache
def _compiled_lane() -> tuple[Any, Any]:
    return compiled(one_flight), compiled(one_event)


class CompiledLane:
    """One flight in lane 0 of arrays, rates and events compiled."""

    def __init__(self, parameters: Any, state: Any) -> None:
        self.p = np.repeat(parameters, LANES)
        self.y = np.repeat(state, LANES)
        self.dy = np.zeros(slots.SIZE)
        self._rates, self._event = _compiled_lane()

    def rhs(self, phase: int, rows: int) -> Callable[[float, Any], Any]:
        rates, y, p, dy = self._rates, self.y, self.p, self.dy
        out = dy.reshape(slots.STATES, LANES)[:rows, 0]

        def f(t: float, state: Any) -> Any:
            rates(phase, rows, t, state, y, p, dy)
            return out.copy()  # solvers keep what they are given

        return f

    def event(self, phase: int, rows: int) -> Callable[[float, Any], float]:
        event, y, p = self._event, self.y, self.p
        return lambda t, state: event(phase, rows, t, state, y, p)


def _through(lane: Any, phase: int, t: float, solver: dict[str, Any], out: Any, gone: Any) -> Any:
    """Integrate one phase, event by event, until another phase begins."""
    rows = slots.ROWS[phase]
    evaluations = 0
    while True:
        following = _settle(phase, t, lane.y, lane.p, 0, out, gone)
        if following != phase:
            return following, t, evaluations
        event = lane.event(phase, rows)
        event.terminal, event.direction = True, -1  # type: ignore[attr-defined]
        found = solve_ivp(
            lane.rhs(phase, rows),
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
        if upcoming(phase, t, lane.y, lane.p, 0)[0] > 0.0:
            nudge = 1e-12 * max(1.0, t)
            slope = lane.rhs(phase, rows)(t, found.y[:, -1])
            for row in range(rows):
                lane.y[row * LANES] = float(found.y[row, -1]) + nudge * float(slope[row])
            t += nudge


def fly(make_lane: Any, parameters: Any, state: Any, method: str, rtol: float) -> Any:
    """Fly one flight; return its figures (as the engine's) and evaluations of the rates."""
    solver = {"method": method, "rtol": rtol}
    out = np.full(slots.FIGURE_COUNT, np.nan)
    gone = np.full(9, -1.0)
    lane = make_lane(parameters, state)
    slides = parameters[slots.TUBE_LENGTH // LANES] > 0.0
    phase = slots.TUBE_PHASE if slides else slots.WATER_PHASE
    t, evaluations = 0.0, 0
    while phase < slots.PAYLOAD_PHASE:
        phase, t, count = _through(lane, phase, t, solver, out, gone)
        evaluations += count
    if gone[0] >= 0.0:
        for row in range(6):
            lane.y[row * LANES] = float(gone[1 + row])
        lane.p[slots.SPAN_EAST] = float(gone[7])
        lane.p[slots.SPAN_NORTH] = float(gone[8])
        _, _, count = _through(lane, slots.PAYLOAD_PHASE, float(gone[0]), solver, out, gone)
        evaluations += count
    return out, evaluations
