"""Flies a batch through one phase, side by side; a free lane takes the next flight.

Every number of a lane depends on that lane alone, so a flight comes out the same to the last bit
whatever flies beside it, and whatever thread it flies on.
"""

from math import exp, log

from loftwright.flight.kernel.clearance import NEAR_TIME, note_clearance
from loftwright.flight.kernel.departure import depart
from loftwright.flight.kernel.events import TEAR, let_go_by, upcoming
from loftwright.flight.kernel.extremes import note_end, note_extremes, weigh_holds
from loftwright.flight.kernel.happenings import happen
from loftwright.flight.kernel.holding import least_spare
from loftwright.flight.kernel.obstacles import tallest
from loftwright.flight.kernel.propulsion import standing
from loftwright.flight.kernel.recorder import record_step, restart_clock
from loftwright.flight.kernel.seeking import locate, look
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    CANOPY_FILLING,
    CANOPY_PHASE,
    COAST_PHASE,
    COMMON_COUNT,
    ENDED,
    HELD,
    ITEM_ROWS,
    LANES,
    LEFT_AT,
    LOST,
    MEMORY_FIRST,
    ON_GUIDE,
    OUT_OF_TIME,
    OUTCOME,
    POINT_PHASE,
    ROWS,
    SIZE,
    STAYED,
    STEPS_REFUSED,
    STEPS_TAKEN,
    TREES_RAISED,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.flight.kernel.stepper import (
    K7,
    error_norms,
    interpolate,
    rates,
    spread,
    stages,
)

__all__ = ["fly_phase"]

STANDALONE = True  # too large to be copied into every caller

LONGEST = 3600.0  # s; a flight still up after this is out of time; on its guide, it stays there
MOST_STEPS = 200_000
SMALLEST_STEP = 1e-9  # s
IDLE_STEP = 1e-12  # s
SHORTEST_APPROACH = 1e-5  # s; how closely a step creeps up to the end of the air
FIRST_STEP = (1e-3, 1e-3, 1e-3, 1e-3, 1e-2, 1e-2, 5e-3, 5e-3)
LONGEST_STEP = (1e-2, 1e-2, 1e-2, 1e-2, 0.5, 1.0, 1.0, 0.5)
RESTING_STEP = 0.1  # s, the longest of a vehicle whose push does not lift it: nothing moves
NEAR_STEP = 5e-3  # s, between looks at two bodies that part
TREE_WAY = 0.3  # m, the longest way of a step among trees: how narrow one may be to be met
ABOVE_TREES = 10.0  # m


def _watch(phase, items, t, h, ys, p, shapes, after):
    """How far the nearest event is from the end of each lane's step."""
    for lane in range(LANES):
        after[lane], _which = upcoming(phase, items, t[lane] + h[lane], ys, p, shapes, lane)
    if items > 0 and phase < CANOPY_PHASE:
        for lane in range(LANES):
            spare, _item = least_spare(items, p, lane)
            after[lane] = min(after[lane], spare)


def _settle(phase, items, t, y, p, shapes, lane, out, departures):
    """Carry out every event that has come at this very moment; return the phase that follows."""
    for _ in range(32):
        distance, which = upcoming(phase, items, t, y, p, shapes, lane)
        spare, weakest = least_spare(items, p, lane)
        if spare <= 0.0 and phase < CANOPY_PHASE:
            distance = 0.0
            which = TEAR + weakest
        if distance > 0.0:
            return phase
        item, torn = let_go_by(which)
        if item >= 0:
            depart(phase, items, item, torn, t, y, p, lane, departures[item])
        following = happen(which, phase, items, t, y, p, shapes, lane, out)
        if following != phase:
            return following
    out[OUTCOME] = LOST
    return ENDED


def _load_lane(flight, lane, states, times, parameters, y, ys, trial, t, p):
    for row in range(states.shape[1]):
        y[row * LANES + lane] = states[flight, row]
        # A phase moves its leading rows only, and reads the others wherever it looks.
        ys[row * LANES + lane] = states[flight, row]
        trial[row * LANES + lane] = states[flight, row]
    for row in range(parameters.shape[1]):
        p[row * LANES + lane] = parameters[flight, row]
    t[lane] = times[flight]


def _store_lane(flight, lane, states, times, parameters, y, t, p):
    for row in range(states.shape[1]):
        states[flight, row] = y[row * LANES + lane]
    for row in range(MEMORY_FIRST // LANES, parameters.shape[1]):
        parameters[flight, row] = p[row * LANES + lane]
    times[flight] = t[lane]


def _first_step(phase, p, lane):
    if phase == CANOPY_PHASE and p[CANOPY_FILLING + lane] > 0.0:
        return min(FIRST_STEP[phase], 0.02 * p[CANOPY_FILLING + lane])
    return FIRST_STEP[phase]


def _longest_step(phase, y, p, shapes, lane):
    """Steps short enough to see the peak of a filling canopy's load, and trees."""
    longest = LONGEST_STEP[phase]
    if phase == CANOPY_PHASE and p[CANOPY_FILLING + lane] > 0.0:
        longest = 0.05 * p[CANOPY_FILLING + lane]
    if phase < COAST_PHASE and p[HELD + lane] < 0.5 and standing(y, p, lane) > 0.5:
        longest = RESTING_STEP
    if shapes[0] > 0.0 and phase >= COAST_PHASE:
        above = y[UP + lane] - tallest(shapes, p[TREES_RAISED + lane])
        if above < ABOVE_TREES:
            fast = abs(y[V_EAST + lane]) + abs(y[V_NORTH + lane]) + abs(y[V_UP + lane])
            longest = min(longest, TREE_WAY / max(fast, 1.0))
    return longest


def _judge(norms, flights, accepted):
    """1 for lanes whose step is good, 0 for those to be tried again and for idle lanes."""
    for i in range(LANES):
        accepted[i] = 1.0 if norms[i] <= 1.0 and flights[i] >= 0 else 0.0


def _advance(rows, t, h, y, ys, k, accepted, wide):
    """Move accepted lanes to the end of their step; its last stage is the next one's first."""
    spread(rows, accepted, wide)
    for i in range(rows * LANES):
        was, becomes = y[i], ys[i]
        first, last = k[i], k[i + K7]
        y[i] = becomes if wide[i] > 0.5 else was
        k[i] = last if wide[i] > 0.5 else first
    for i in range(LANES):
        t[i] = t[i] + h[i] * accepted[i]


def _look_ahead(phase, h, distance, after, accepted, reach):
    """Longest next step that still ends before the last of the air is out.

    The flow dies with the root of the pressure that is left; a step across its end would see no
    error there, and put the end in the wrong place.
    """
    for i in range(LANES):
        fall = distance[i] - after[i]
        dying = phase == AIR_PHASE and accepted[i] > 0.5 and fall > 0.0 and after[i] > 0.0
        reach[i] = h[i] * after[i] / fall if dying else LONGEST


def _control(phase, h, y, p, shapes, norms, previous, accepted, reach):
    """Proportional-integral step control (Hairer, Norsett and Wanner I, section II.4)."""
    for i in range(LANES):
        longest = _longest_step(phase, y, p, shapes, i)
        reach[i] = min(longest, max(reach[i], SHORTEST_APPROACH))
    for i in range(LANES):
        # A step into nonsense (not a number) counts as far off: refused, and shortened.
        size = max(norms[i], 1e-10) if norms[i] < 1e10 else 1e10
        log_size = log(size)
        grow = 0.9 * exp(-0.14 * log_size + 0.08 * log(max(previous[i], 1e-4)))
        shrink = 0.9 * exp(-0.2 * log_size)
        good = accepted[i] > 0.5
        factor = min(max(grow, 0.2), 5.0) if good else min(max(shrink, 0.1), 0.9)
        # Lanes without a flight shrink for ever; they stop short of denormal numbers.
        h[i] = max(min(h[i] * factor, reach[i]), IDLE_STEP)
        previous[i] = size if good else previous[i]
        p[STEPS_TAKEN + i] += accepted[i]
        p[STEPS_REFUSED + i] += 1.0 - accepted[i]


def _out_of_bounds(t, h, steps, guided, out):
    if t > LONGEST:
        out[OUTCOME] = STAYED if guided > 0.5 else OUT_OF_TIME
        return True
    if steps > MOST_STEPS or not h > SMALLEST_STEP:
        out[OUTCOME] = LOST
        return True
    return False


def _cut_short(phase, items, lane, share, shapes, work):
    """End a lane's step at a share of it, where an event has been found."""
    y, ys, trial, p, t, h = work[:6]
    w, k, slope = work[14:17]
    rows = ROWS[phase]
    look(phase, items, rows, share, t[lane], h[lane], y, p, shapes, k, lane, w, trial, slope)
    for row in range(rows):
        ys[row * LANES + lane] = trial[row * LANES + lane]
    note_end(phase, items, t[lane] + share * h[lane], ys, slope, p, lane)


def _board(phase, items, queue, taken, shapes, tables, work):
    """Give waiting flights the free lanes; return how many of the queue are taken, and boarded."""
    states, times, parameters, phases, figures, departures = tables
    y, ys, trial, p, t, h, _ts, _norms, previous, distance = work[:10]
    flights = work[13]
    boarded = 0
    for lane in range(LANES):
        while flights[lane] < 0 and taken < queue.shape[0]:
            flight = queue[taken]
            taken += 1
            _load_lane(flight, lane, states, times, parameters, y, ys, trial, t, p)
            following = _settle(
                phase, items, t[lane], y, p, shapes, lane, figures[flight], departures[flight]
            )
            if following != phase:
                _store_lane(flight, lane, states, times, parameters, y, t, p)
                phases[flight] = following
                continue
            flights[lane] = flight
            boarded += 1
            h[lane] = _first_step(phase, p, lane)
            previous[lane] = 1.0
            distance[lane], _which = upcoming(phase, items, t[lane], y, p, shapes, lane)
    return taken, boarded


def _watch_parting(rows, share, t, h, y, p, k, lane, w, trial):
    """Look at the distance from what was left, often enough within a step."""
    if t > p[LEFT_AT + lane] + NEAR_TIME:
        return
    pieces = int(share * h / NEAR_STEP) + 1
    for piece in range(pieces):
        at = share * (piece + 1.0) / pieces
        interpolate(rows, at, h, y, k, lane, w, trial)
        note_clearance(t + at * h, trial, p, lane)


def _finish_steps(phase, items, shapes, tape, work):
    """Cut good steps at the first event in them, and write them down; tell if any was cut."""
    y, _ys, trial, p, t, h, _ts, _norms, _previous, distance = work[:10]
    after, accepted, _reach, flights, w, k, slope = work[10:17]
    rows = ROWS[phase]
    recorded = tape[2].shape[0]
    cut = False
    for lane in range(LANES):
        if accepted[lane] < 0.5:
            continue
        share = 1.0
        if after[lane] <= 0.0:
            share = locate(
                phase, items, rows, t[lane], h[lane], y, p, shapes, k, lane, w, trial, slope,
                distance[lane], after[lane],
            )  # fmt: skip
        if flights[lane] < recorded:
            record_step(
                phase, items, rows, flights[lane], share, t[lane], h[lane],
                y, p, k, lane, w, trial, slope, tape,
            )  # fmt: skip
        if phase >= POINT_PHASE:
            _watch_parting(rows, share, t[lane], h[lane], y, p, k, lane, w, trial)
        distance[lane] = after[lane]
        if after[lane] <= 0.0:
            _cut_short(phase, items, lane, share, shapes, work)
            h[lane] *= share
            cut = True
    return cut


def _meet_events(phase, items, shapes, tables, tape, work):
    """Carry out the events that steps were cut at; return how many flights leave the phase."""
    states, times, parameters, phases, figures, departures = tables
    y, _ys, _trial, p, t, h, _ts, _norms, _previous, distance = work[:10]
    after, accepted, _reach, flights = work[10:14]
    left = 0
    for lane in range(LANES):
        flight = flights[lane]
        if flight < 0:
            continue
        following = phase
        if accepted[lane] > 0.5 and after[lane] <= 0.0:
            following = _settle(
                phase, items, t[lane], y, p, shapes, lane, figures[flight], departures[flight]
            )
            restart_clock(flight, t[lane], tape)
            distance[lane], _which = upcoming(phase, items, t[lane], y, p, shapes, lane)
            longest = _longest_step(phase, y, p, shapes, lane)
            h[lane] = min(_first_step(phase, p, lane), longest)
        steps, guided = p[STEPS_TAKEN + lane], p[ON_GUIDE + lane]
        if _out_of_bounds(t[lane], h[lane], steps, guided, figures[flight]):
            following = ENDED
        if following != phase:
            _store_lane(flight, lane, states, times, parameters, y, t, p)
            phases[flight] = following
            flights[lane] = -1
            left += 1
    return left


def _begin(phase, items, flights, t, y, p, k, accepted):
    """Rates, and the loads they bring, where flights have boarded or met an event."""
    rates(phase, items, t, y, p, k[:SIZE])
    if phase < CANOPY_PHASE:
        weigh_holds(items, y, k[:SIZE], p)
    for lane in range(LANES):
        accepted[lane] = 1.0 if flights[lane] >= 0 else 0.0
    note_extremes(phase, items, t, y, k[:SIZE], p, accepted)


def _step_on(phase, items, tolerance, shapes, tape, work):
    """Take one step in every lane, as far as it is good; tell whether an event cut any short."""
    y, ys, _trial, p, t, h, ts, norms, previous, distance = work[:10]
    after, accepted, reach, flights, _w, k, _slope, wide = work[10:]
    rows = ROWS[phase]
    stages(phase, items, rows, t, h, y, p, k, ts, ys, wide)
    error_norms(phase, rows, tolerance, h, y, ys, k, norms)
    _judge(norms, flights, accepted)
    if phase < CANOPY_PHASE:
        weigh_holds(items, ys, k[K7 : K7 + SIZE], p)
    _watch(phase, items, t, h, ys, p, shapes, after)
    for lane in range(LANES):
        whole = accepted[lane] > 0.5 and after[lane] > 0.0
        reach[lane] = 1.0 if whole else 0.0
    note_extremes(phase, items, ts, ys, k[K7 : K7 + SIZE], p, reach)
    _look_ahead(phase, h, distance, after, accepted, reach)
    cut = _finish_steps(phase, items, shapes, tape, work)
    _advance(rows, t, h, y, ys, k, accepted, wide)
    _control(phase, h, y, p, shapes, norms, previous, accepted, reach)
    return cut


def fly_phase(phase, queue, tolerance, shapes, tables, tape, work):
    """Fly every queued flight through ``phase``; leave each at the door of its next one.

    Parameters
    ----------
    phase : int
        As ``slots`` numbers them.
    queue : (m,) array of int
        Rows of the flights that stand at the door of this phase.
    tolerance : float
        Relative tolerance.
    shapes : array
        Trees and buildings, as ``obstacles`` reads them.
    tables : tuple of arrays
        One row a flight: states, times, parameters, phases, figures, departures of what it
        carries.
    tape : tuple of arrays
        Samples, how many there are of each track, when the next is due, and intervals.
    work : tuple of arrays
        Tables of sixteen lanes, see ``fly``.
    """
    y, _ys, _trial, p, t = work[:5]
    accepted = work[11]
    flights = work[13]
    k = work[15]
    # Whole numbers out of a variable: a literal would have its callees compiled twice.
    taken = 0 * queue.shape[0]
    flying = taken
    items = taken
    if phase < POINT_PHASE:
        items = (tables[2].shape[1] - COMMON_COUNT) // ITEM_ROWS
    for lane in range(LANES):
        flights[lane] = -1
    while True:
        taken, boarded = _board(phase, items, queue, taken, shapes, tables, work)
        flying += boarded
        if flying == 0:
            return
        # After an event, and with a new flight on board, the last stage is not the next first.
        _begin(phase, items, flights, t, y, p, k, accepted)
        left = 0
        while left == 0:
            cut = _step_on(phase, items, tolerance, shapes, tape, work)
            left = _meet_events(phase, items, shapes, tables, tape, work)
            if cut and left == 0:
                _begin(phase, items, flights, t, y, p, k, accepted)
        flying -= left
