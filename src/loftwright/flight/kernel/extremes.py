"""The most violent moments of a flight: largest speed, acceleration, thrust and loads."""

from math import sqrt

from loftwright.flight.kernel.holding import hold_item
from loftwright.flight.kernel.rates import canopy_force
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    CANOPY_PHASE,
    ITEM,
    ITEM_LOAD,
    ITEM_TOP_LOAD,
    ITEM_TOP_LOAD_TIME,
    ITEM_TOP_USE,
    ITEM_TOP_USE_TIME,
    ITEM_USE,
    LANES,
    LAST_A_EAST,
    LAST_A_NORTH,
    LAST_A_UP,
    MOST_ITEMS,
    THRUST,
    TOP_ACCELERATION,
    TOP_LOAD,
    TOP_SPEED,
    TOP_THRUST,
    V_EAST,
    V_NORTH,
    V_UP,
)

__all__ = ["note_end", "note_extremes", "weigh_holds"]

STANDALONE = True  # too large to be copied into every caller


def weigh_holds(items, y, dy, p):
    """Work out what everything carried asks of its hold, in all lanes."""
    for item in range(MOST_ITEMS):
        if item < items:
            for lane in range(LANES):
                hold_item(item * ITEM, y, dy, p, lane)


def _note_speed(y, p, l, counts):
    east = y[V_EAST + l]
    north = y[V_NORTH + l]
    up = y[V_UP + l]
    speed = sqrt(east * east + north * north + up * up) * counts
    p[TOP_SPEED + l] = max(p[TOP_SPEED + l], speed)


def _note_gain(dy, p, l, counts):
    east = dy[V_EAST + l]
    north = dy[V_NORTH + l]
    up = dy[V_UP + l]
    gained = sqrt(east * east + north * north + up * up) * counts
    p[TOP_ACCELERATION + l] = max(p[TOP_ACCELERATION + l], gained)


def _note_hold(o, t, p, l, counts):
    load = p[ITEM_LOAD + o + l] * counts
    use = p[ITEM_USE + o + l] * counts
    heavier = load > p[ITEM_TOP_LOAD + o + l]
    p[ITEM_TOP_LOAD + o + l] = load if heavier else p[ITEM_TOP_LOAD + o + l]
    p[ITEM_TOP_LOAD_TIME + o + l] = t if heavier else p[ITEM_TOP_LOAD_TIME + o + l]
    harder = use > p[ITEM_TOP_USE + o + l]
    p[ITEM_TOP_USE + o + l] = use if harder else p[ITEM_TOP_USE + o + l]
    p[ITEM_TOP_USE_TIME + o + l] = t if harder else p[ITEM_TOP_USE_TIME + o + l]


def note_extremes(phase, items, t, y, dy, p, counts):
    """Keep the largest speed, acceleration, thrust and loads met, of lanes that count (1, else 0).

    ``dy`` are the rates that belong to ``y``, and what everything carried asks of its hold has
    been worked out for them.
    """
    for l in range(LANES):
        _note_speed(y, p, l, counts[l])
    if phase == CANOPY_PHASE:
        for l in range(LANES):
            p[TOP_LOAD + l] = max(p[TOP_LOAD + l], canopy_force(t[l], y, p, l) * counts[l])
        return
    for l in range(LANES):
        _note_gain(dy, p, l, counts[l])
    for item in range(MOST_ITEMS):
        if item < items:
            for l in range(LANES):
                _note_hold(item * ITEM, t[l], p, l, counts[l])
    if phase <= AIR_PHASE:
        for l in range(LANES):
            p[TOP_THRUST + l] = max(p[TOP_THRUST + l], p[THRUST + l] * counts[l])


def note_end(phase, items, t, y, dy, p, l):
    """Keep what one lane meets where an event cuts its step, and how it was gaining speed."""
    _note_speed(y, p, l, 1.0)
    p[LAST_A_EAST + l] = dy[V_EAST + l]
    p[LAST_A_NORTH + l] = dy[V_NORTH + l]
    p[LAST_A_UP + l] = dy[V_UP + l]
    if phase == CANOPY_PHASE:
        return
    _note_gain(dy, p, l, 1.0)
    for item in range(items):
        _note_hold(item * ITEM, t, p, l, 1.0)
