"""A batch of flights from pad to ground: tables of parameters in, figures and tapes out.

A flight is one body on the pad and whatever leaves it: payloads, boosters, an upper stage, and
what leaves those in turn. Each body is flown by the same phases from where it was let go; bodies
stand in an order in which none comes before what carries it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel.body import Body, Door, Flown
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    BODY_CLEARANCE,
    BOOSTER_COUNT,
    BOOSTER_IMPULSE,
    BOOSTER_WATER,
    BOOSTERS_PUSH,
    CANOPY_LOAD,
    COAST_PHASE,
    COMMON_COUNT,
    DEPART_LEFT,
    DEPART_STATE,
    DEPART_TIME,
    DEPARTURE_COLUMNS,
    ENDED,
    FIGURE_COUNT,
    FIN_CLEARANCE,
    GLIDE_PHASE,
    HOLD_LOAD,
    HOLD_LOAD_TIME,
    HOLD_USE,
    HOLD_USE_TIME,
    IMPULSE,
    ITEM,
    ITEM_FIGURES,
    ITEM_ROWS,
    ITEM_TOP_LOAD,
    ITEM_TOP_LOAD_TIME,
    ITEM_TOP_USE,
    ITEM_TOP_USE_TIME,
    LANDED,
    LANES,
    LEAST_BODY,
    LEAST_FINS,
    LEFT_AT,
    LEFT_EAST,
    LET_GO_TIME,
    LOST,
    MAX_ACCELERATION,
    MAX_SPEED,
    OUTCOME,
    PEAK_THRUST,
    POINT_PHASE,
    RECORD_COLUMNS,
    REJECTED,
    SIZE,
    SPAN_EAST,
    SPAN_NORTH,
    START_AFTER,
    START_AT,
    START_DELAY,
    STATES,
    STEPS,
    STEPS_REFUSED,
    STEPS_TAKEN,
    TOP_ACCELERATION,
    TOP_LOAD,
    TOP_SPEED,
    TOP_THRUST,
    TOTAL_IMPULSE,
    TUBE_PHASE,
    WATER,
    WATER_PHASE,
)
from loftwright.physics.rotation import rotate_to_ground

__all__ = ["ascend", "fly", "warm_up"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

_to_ground: Any = rotate_to_ground  # a law of arithmetic takes arrays as it takes floats

ABOARD = -1.0  # in place of the time of a departure
UNMET = 1e9  # m; nothing has come near
MOST_ROUNDS = 4

_KEPT = {
    MAX_SPEED: TOP_SPEED,
    MAX_ACCELERATION: TOP_ACCELERATION,
    PEAK_THRUST: TOP_THRUST,
    CANOPY_LOAD: TOP_LOAD,
    STEPS: STEPS_TAKEN,
    REJECTED: STEPS_REFUSED,
}
_KEPT_OF_HOLDS = {
    HOLD_LOAD: ITEM_TOP_LOAD,
    HOLD_LOAD_TIME: ITEM_TOP_LOAD_TIME,
    HOLD_USE: ITEM_TOP_USE,
    HOLD_USE_TIME: ITEM_TOP_USE_TIME,
}


def _workspace(body: Body) -> tuple[Any, ...]:
    """Tables of sixteen lanes; idle ones compute the first flight harmlessly."""
    y = np.repeat(body.states[0], LANES)
    p = np.repeat(body.parameters[0], LANES)
    t, h, ts, norms, previous, distance, after, accepted, reach = np.zeros((9, LANES))
    h[:] = 1e-6
    flights = np.full(LANES, -1)
    stages = np.zeros(7 * SIZE)
    return (
        y, y.copy(), y.copy(), p, t, h, ts, norms, previous, distance, after, accepted, reach,
        flights, np.zeros(7), stages, np.zeros(SIZE), np.zeros(SIZE),
    )  # fmt: skip


def _column(rows: Floats, slot: int) -> Floats:
    return rows[:, slot // LANES]


def _put(rows: Floats, slot: int, flights: Any, value: Any) -> None:
    rows[flights, slot // LANES] = value


def _step_aside(body: Body, gone: Any, left: Floats) -> None:
    """Move what leaves to its own place beside that of the thing it is part of."""
    assert body.beside is not None
    x, y, z = np.broadcast_to(body.beside, (len(gone), 3))[gone].T
    attitude = left[:, DEPART_LEFT + 6 : DEPART_LEFT + 10].T
    roll, pitch, yaw = left[:, DEPART_LEFT + 10 : DEPART_LEFT + 13].T
    swing = (pitch * z - yaw * y, yaw * x - roll * z, roll * y - pitch * x)
    body.states[gone, 0:3] += np.stack(_to_ground(*attitude, x, y, z), axis=1)
    body.states[gone, 3:6] += np.stack(_to_ground(*attitude, *swing), axis=1)


def _take_leave(body: Body, departures: Sequence[Floats], times: Floats) -> Any:
    """Start what was let go from where it was; return in which flights that happened."""
    all_gone = np.zeros(len(times), dtype=bool)
    for parent, item in body.parents:
        rows = departures[parent][:, item]
        gone = (rows[:, DEPART_TIME] > ABOARD) & ~all_gone
        left = rows[gone]
        times[gone] = left[:, DEPART_TIME]
        body.states[gone, :13] = left[:, DEPART_STATE : DEPART_STATE + 13]
        if body.beside is not None:
            _step_aside(body, gone, left)
        _put(body.parameters, LEFT_AT, gone, left[:, DEPART_TIME])
        first = LEFT_EAST // LANES
        body.parameters[gone, first : first + 17] = left[:, DEPART_LEFT:]
        all_gone |= gone
    _level_span(body, all_gone)
    waits = all_gone & (_column(body.parameters, START_AFTER) > 0.5)
    starts = times + _column(body.parameters, START_DELAY)
    _put(body.parameters, START_AT, waits, starts[waits])
    return all_gone


def _level_span(body: Body, gone: Any) -> None:
    """Point the span of a point so that its back, at first, looks away from what it left."""
    attitude = body.states[gone, 6:10].T
    east, north, _ = _to_ground(*attitude, 0.0, 0.0, 1.0)
    level = np.hypot(east, north)
    turned = level > 1e-9
    safe = np.where(turned, level, 1.0)
    _put(body.parameters, SPAN_EAST, gone, np.where(turned, north / safe, 0.0))
    _put(body.parameters, SPAN_NORTH, gone, np.where(turned, -east / safe, 1.0))


def _first_phases(body: Body, bodies: Sequence[Body], gone: Any) -> Whole:
    """Phase that each flight of a body begins in; ENDED where it stays aboard.

    A booster goes on with what its carrier has flown for it so far.
    """
    phases = np.full(len(body.states), body.phase, dtype=np.int64)
    if not body.parents:
        return phases
    phases[~gone] = ENDED
    if body.is_booster:
        carrier = bodies[body.parents[0][0]]
        first, theirs = WATER // LANES, BOOSTER_WATER // LANES
        body.states[:, first : first + 4] = carrier.states[:, theirs : theirs + 4]
        pushes = _column(carrier.parameters, BOOSTERS_PUSH)
        phases[gone & (pushes == 1.0)] = WATER_PHASE
        phases[gone & (pushes == 2.0)] = AIR_PHASE
    return phases


def _figures(body: Body, figures: Floats, gone: Any) -> None:
    """Add what was kept while flying to a body's figures."""
    parameters, states = body.parameters, body.states
    for figure, slot in _KEPT.items():
        figures[:, figure] = _column(parameters, slot)
    boosters = _column(parameters, BOOSTER_COUNT) * _column(states, BOOSTER_IMPULSE)
    figures[:, TOTAL_IMPULSE] = _column(states, IMPULSE) + boosters
    if body.parents:
        figures[:, LET_GO_TIME] = _column(parameters, LEFT_AT)
        for figure, slot in ((FIN_CLEARANCE, LEAST_FINS), (BODY_CLEARANCE, LEAST_BODY)):
            least = _column(parameters, slot)
            figures[:, figure] = np.where(least < UNMET, least, np.nan)
        figures[~gone] = np.nan
    for item in range(_items(body)):
        for figure, slot in _KEPT_OF_HOLDS.items():
            figures[:, figure + item * ITEM_FIGURES] = _column(parameters, slot + item * ITEM)


def _items(body: Body) -> int:
    """How many things a body carries."""
    if body.phase in (POINT_PHASE, GLIDE_PHASE):
        return 0
    return (body.parameters.shape[1] - COMMON_COUNT) // ITEM_ROWS


def warm_up(fly_phase: Callable[..., None]) -> None:
    """Have ``fly_phase`` compiled, or loaded, by flying nobody."""
    body = Body("nobody", np.zeros((1, COMMON_COUNT)), np.zeros((1, STATES)), ENDED)
    tables, tape = _tables(body, np.zeros(1), np.array([ENDED]), 0, 1, np.ones(2))
    nobody = np.zeros(0, dtype=np.int64)
    fly_phase(TUBE_PHASE, nobody, 1e-6, np.zeros(1), tables, tape, _workspace(body))


def _tables(
    body: Body, times: Floats, phases: Whole, recorded: int, capacity: int, intervals: Floats
) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """Tables of the flights, and the tape, as `driver.fly_phase` takes them."""
    n = len(body.parameters)
    figures = np.full((n, FIGURE_COUNT), np.nan)
    figures[:, OUTCOME] = LANDED
    departures = np.full((n, max(_items(body), 1), DEPARTURE_COLUMNS), ABOARD)
    records = np.zeros((recorded, capacity, RECORD_COLUMNS))
    tape = (records, np.zeros(recorded, dtype=np.int64), np.zeros(recorded), intervals)
    return (body.states, times, body.parameters, phases, figures, departures), tape


def _through(
    door: Door, recorded: int, intervals: Floats
) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """Tables and tape of flights that go on from a door."""
    tables = (
        door.body.states, door.times, door.body.parameters, door.phases, door.figures,
        door.departures,
    )  # fmt: skip
    tape = (door.records[:recorded], door.counts[:recorded], door.clocks[:recorded], intervals)
    return tables, tape


def _fly_phases(
    fly_phase: Callable[..., None],
    tolerances: Sequence[float],
    shapes: Floats,
    tables: tuple[Any, ...],
    tape: tuple[Any, ...],
    work: tuple[Any, ...],
) -> None:
    """Fly one body of every flight through its phases until all have ended.

    A stage that starts in the air goes back to an earlier phase, once; whatever goes around more
    often than that is lost.
    """
    phases, figures = tables[3], tables[4]
    for _ in range(MOST_ROUNDS):
        for phase in range(ENDED):
            queue = np.flatnonzero(phases == phase)
            if len(queue):
                fly_phase(phase, queue, tolerances[phase], shapes, tables, tape, work)
    lost = phases < ENDED
    figures[lost, OUTCOME] = LOST
    phases[lost] = ENDED


def ascend(
    fly_phase: Callable[..., None],
    body: Body,
    tolerances: Sequence[float],
    shapes: Floats,
    capacity: int,
    intervals: Floats,
) -> Door:
    """Fly the body on the pad until its push has ended; every flight leaves samples.

    The parameters are those of `fly`; the tables of ``body`` are changed in place.
    """
    n = len(body.parameters)
    times, phases = np.zeros(n), np.full(n, body.phase, dtype=np.int64)
    tables, tape = _tables(body, times, phases, n, capacity, intervals)
    work = _workspace(body)
    for phase in range(COAST_PHASE):
        queue = np.flatnonzero(phases == phase)
        if len(queue):
            fly_phase(phase, queue, tolerances[phase], shapes, tables, tape, work)
    records, counts, clocks, _ = tape
    pushed = records[:, : int(counts.max(initial=0))].copy()
    return Door(body, times, phases, tables[4], tables[5], pushed, counts, clocks)


def fly(
    fly_phase: Callable[..., None],
    bodies: Sequence[Body],
    tolerances: Sequence[float],
    shapes: Floats,
    recorded: int,
    capacity: int,
    intervals: Floats,
    door: Door | None = None,
) -> list[Flown]:
    """Fly a batch from the pad, or fire it on the stand.

    Parameters
    ----------
    fly_phase : callable
        `driver.fly_phase`, compiled or as it stands.
    bodies : sequence of Body
        The one on the pad first. Their tables are changed in place: memory is part of them.
    tolerances : sequence of float
        Relative tolerance of each phase; absolute tolerance is the same share of
        ``slots.TYPICAL``.
    shapes : array
        Trees and buildings, as ``obstacles`` reads them.
    recorded, capacity : int
        How many flights leave samples, and how many of one body at most.
    intervals : (2,) array
        Seconds between samples while pushed, and after.
    door : Door, optional
        Where the first body goes on from, instead of the pad; ``bodies[0]`` is then not looked at.
        What it has recorded so far is recorded of the flights, all of them or none.

    Returns
    -------
    list of Flown
        One a body, in their order.
    """
    flown: list[Flown] = []
    departures: list[Floats] = []
    if door is not None:
        bodies = [door.body, *bodies[1:]]
    for body in bodies:
        if door is not None and not flown:
            gone = None
            tables, tape = _through(door, recorded, intervals)
        else:
            times = np.zeros(len(body.parameters))
            gone = _take_leave(body, departures, times) if body.parents else None
            phases = _first_phases(body, bodies, gone)
            tables, tape = _tables(body, times, phases, recorded, capacity, intervals)
        figures = tables[4]
        _fly_phases(fly_phase, tolerances, shapes, tables, tape, _workspace(body))
        _figures(body, figures, gone)
        flown.append(Flown(figures, tape[0], tape[1]))
        departures.append(tables[5])
    return flown
