"""The moments at which a phase ends or something happens.

``upcoming`` gives the nearest of them as a number that falls through zero; ``happenings.happen``
carries it out.
"""

from loftwright.flight.kernel.obstacles import caught, tallest
from loftwright.flight.kernel.propulsion import (
    ambient,
    gas_state,
    speed_along_guide,
    still_driving_pressure,
    travel,
)
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    APOGEE_SEEN,
    BOOSTED_PHASE,
    BOOSTER_SET,
    BOOSTER_STATE,
    BOOSTERS_PUSH,
    BREAKTHROUGH,
    BY_CLIMB,
    BY_TIME,
    CANOPY_AT,
    CANOPY_CLIMB,
    CANOPY_FILLING,
    CANOPY_KIND,
    CANOPY_OPENED,
    CANOPY_PHASE,
    CANOPY_TIME,
    COAST_PHASE,
    EAST,
    GLIDE_PHASE,
    GUIDE_LENGTH,
    HELD,
    ITEM,
    ITEM_AT,
    ITEM_ATTACHED,
    ITEM_CLIMB,
    ITEM_TIME,
    ITEM_WHEN,
    MOST_ITEMS,
    NEVER,
    NORTH,
    ON_GUIDE,
    OWN_PUSH,
    POINT_PHASE,
    START_AT,
    START_CLIMB,
    START_KIND,
    TREES_RAISED,
    TUBE_LENGTH,
    TUBE_PHASE,
    UP,
    V_UP,
    WATER,
    WATER_PHASE,
)

__all__ = ["among_trees", "let_go_by", "upcoming"]

STANDALONE = True  # too large to be copied into every caller

(
    NOTHING,
    STROKE_ENDS,
    WATER_OUT,
    AIR_OUT,
    BOOSTERS_NEXT,
    OWN_NEXT,
    GUIDE_EXIT,
    FALLS_BACK,
    APOGEE,
    STARTS,
    CANOPY_DUE,
    CANOPY_OPENS,
    CANOPY_FULL,
    CATCHES,
    TOUCHDOWN,
) = range(15)
# One of each for every thing carried: its release is triggered, it goes, its hold gives way.
RELEASE_DUE, RELEASE, TEAR = 20, 30, 40

FAR = 1e9  # stands for "not in sight"
# Gauge over ambient pressure at which a jet counts as ended. The last of the air leaves ever more
# slowly: a tenth of this would move the moment by a third of a millisecond, and blur it.
AT_AMBIENT = 1e-5
PATIENCE = 0.1  # s; gas in the tube that has not moved its vehicle by then never will
INSIDE = -1e-3  # stands for "among the branches", which has no distance


def _water_left(y, p, l, s, z):
    """Distance to the end of the water of one set of vessels."""
    stalled = still_driving_pressure(y, p, l, s, z) - AT_AMBIENT * ambient(y, p, l)
    left = y[WATER + z + l] - p[BREAKTHROUGH + s + l]
    return min(left, stalled * 1e-6)


def _air_left(y, p, l, s, z):
    """Distance to the end of the air of one set of vessels."""
    return gas_state(y, p, l, s, z, 0.0)[0] / ambient(y, p, l) - 1.0 - AT_AMBIENT


def _set_end(pushes, y, p, l, s, z):
    if pushes == 1.0:
        return _water_left(y, p, l, s, z)
    if pushes == 2.0:
        return _air_left(y, p, l, s, z)
    return FAR


def _boost_end(phase, y, p, l):
    """Distance to the end of a phase that pushes, or of a part of it."""
    if phase == BOOSTED_PHASE:
        boosters = _set_end(p[BOOSTERS_PUSH + l], y, p, l, BOOSTER_SET, BOOSTER_STATE)
        own = _set_end(p[OWN_PUSH + l], y, p, l, 0, 0)
        return (boosters, BOOSTERS_NEXT) if boosters < own else (own, OWN_NEXT)
    if phase == TUBE_PHASE:
        return p[TUBE_LENGTH + l] - travel(y, p, l), STROKE_ENDS
    if phase == WATER_PHASE:
        return _water_left(y, p, l, 0, 0), WATER_OUT
    if phase == AIR_PHASE:
        return _air_left(y, p, l, 0, 0), AIR_OUT
    return FAR, NOTHING


def _on_the_guide(phase, t, y, p, l):
    """Distance to the end of the guide, which reaches as far as the tube at least."""
    value = max(p[GUIDE_LENGTH + l], p[TUBE_LENGTH + l]) - travel(y, p, l)
    which = GUIDE_EXIT
    if phase in (COAST_PHASE, TUBE_PHASE):
        speed = speed_along_guide(y, p, l)
        if phase == TUBE_PHASE:
            speed = max(speed, PATIENCE - t)
        if speed < value:
            value = speed
            which = FALLS_BACK
    return value, which


def _release(coasting, o, t, y, p, l):
    """Distance to the release of one thing carried, or to what triggers it."""
    if p[ITEM_ATTACHED + o + l] < 0.5:
        return FAR, NOTHING
    if p[ITEM_AT + o + l] < FAR:
        return p[ITEM_AT + o + l] - t, RELEASE
    if p[ITEM_WHEN + o + l] == BY_TIME:
        return p[ITEM_TIME + o + l] - t, RELEASE_DUE
    # A climb below the threshold means something only after burnout, and off the guide.
    if p[ITEM_WHEN + o + l] == BY_CLIMB and coasting:
        return y[V_UP + l] - p[ITEM_CLIMB + o + l], RELEASE_DUE
    return FAR, NOTHING


def _start(t, y, p, l):
    """Distance to a start in the air."""
    if p[START_AT + l] < FAR:
        return p[START_AT + l] - t, STARTS
    if p[START_KIND + l] == BY_CLIMB:
        return y[V_UP + l] - p[START_CLIMB + l], STARTS
    return FAR, NOTHING


def _canopy(phase, t, y, p, l):
    if phase == CANOPY_PHASE:
        full = p[CANOPY_OPENED + l] + p[CANOPY_FILLING + l] - t
        return (full, CANOPY_FULL) if p[CANOPY_FILLING + l] > 0.0 else (FAR, NOTHING)
    if p[CANOPY_AT + l] < FAR:
        return p[CANOPY_AT + l] - t, CANOPY_OPENS
    if p[CANOPY_KIND + l] == BY_TIME:
        return p[CANOPY_TIME + l] - t, CANOPY_DUE
    if p[CANOPY_KIND + l] == BY_CLIMB and phase == COAST_PHASE:
        return y[V_UP + l] - p[CANOPY_CLIMB + l], CANOPY_DUE
    return FAR, NOTHING


def among_trees(y, p, shapes, l):
    """Number of the shape on the ground that holds the body, -1 when it is free."""
    return caught(y[EAST + l], y[NORTH + l], y[UP + l], shapes, p[TREES_RAISED + l])


def _ground(y, p, shapes, l):
    """Distance to the ground, or to what stands on it."""
    near = shapes[0] > 0.0 and y[UP + l] < tallest(shapes, p[TREES_RAISED + l])
    if near and among_trees(y, p, shapes, l) >= 0.0:
        return INSIDE, CATCHES
    return y[UP + l], TOUCHDOWN


def _in_the_air(phase, t, y, p, l, value, which):
    """Apogee, a start in the air, the canopy: for what flies free and is not pushed."""
    waits = p[START_KIND + l] != NEVER
    if phase == COAST_PHASE and waits:
        other, event = _start(t, y, p, l)
        if other < value:
            value = other
            which = event
    if not waits and p[APOGEE_SEEN + l] < 0.5 and y[V_UP + l] < value:
        value = y[V_UP + l]
        which = APOGEE
    # A canopy that opens while the vehicle is still pushed is flown when the push has ended.
    other, event = _canopy(phase, t, y, p, l)
    if other < value and not waits:
        value = other
        which = event
    return value, which


def upcoming(phase, items, t, y, p, shapes, l):
    """How far the nearest event is (it happens at zero), and which it is.

    The distance is in whatever unit the event has; only its sign and its root matter. A hold that
    gives way depends on rates as well, and is watched by the driver.
    """
    if phase in (POINT_PHASE, GLIDE_PHASE):
        return _ground(y, p, shapes, l)
    value, which = _boost_end(phase, y, p, l)
    if p[HELD + l] > 0.5:
        return value, which
    if p[ON_GUIDE + l] > 0.5:
        other, event = _on_the_guide(phase, t, y, p, l)
    else:
        other, event = _ground(y, p, shapes, l)
    if other < value:
        value = other
        which = event
    coasting = phase >= COAST_PHASE and p[ON_GUIDE + l] < 0.5
    for item in range(items):
        other, event = _release(coasting, item * ITEM, t, y, p, l)
        if other < value:
            value = other
            which = event + item
    if coasting:
        return _in_the_air(phase, t, y, p, l, value, which)
    return value, which


def let_go_by(which):
    """Tell which thing an event lets go, and whether it tears off; -1 for none."""
    if RELEASE <= which < RELEASE + MOST_ITEMS:
        return which - RELEASE, False
    if TEAR <= which < TEAR + MOST_ITEMS:
        return which - TEAR, True
    return -1, False
