"""The moments at which a phase ends or something happens, and what they change.

``upcoming`` gives the nearest of them as a number that falls through zero; ``happen`` carries it
out: the next phase, what is remembered, and the figures that the flight reports.
"""

from math import atan2, sqrt

from loftwright.flight.kernel.airflow import relative_wind
from loftwright.flight.kernel.loading import count_boosters_in, lane_load
from loftwright.flight.kernel.obstacles import caught, tallest
from loftwright.flight.kernel.propulsion import (
    ambient,
    felt_when_held,
    gas_state,
    travel,
    water_driving_pressure,
)
from loftwright.flight.kernel.slots import (
    AIR_OUT_TIME,
    AIR_PHASE,
    APOGEE_HEIGHT,
    APOGEE_SEEN,
    APOGEE_TIME,
    AXIS_EAST,
    AXIS_NORTH,
    AXIS_UP,
    BOOSTED_PHASE,
    BOOSTER_SET,
    BOOSTER_STATE,
    BOOSTERS_OUT_TIME,
    BOOSTERS_PUSH,
    BREAKTHROUGH,
    BURNOUT_LEAN,
    BURNOUT_SPEED,
    BY_APOGEE,
    BY_CLIMB,
    BY_SPENT,
    BY_TIME,
    CANOPY_AT,
    CANOPY_CLIMB,
    CANOPY_DELAY,
    CANOPY_DIAMETER,
    CANOPY_DRAG,
    CANOPY_FILLING,
    CANOPY_KIND,
    CANOPY_OPENED,
    CANOPY_PHASE,
    CANOPY_TIME,
    CAUGHT,
    COAST_PHASE,
    DOWN_EAST,
    DOWN_MASS,
    DOWN_NORTH,
    DOWN_SPEED,
    DOWN_TIME,
    DOWN_UP,
    DRY,
    DRY_MASS,
    EAST,
    ENDED,
    FILLING_CONSTANT,
    FIRED,
    GAS,
    GAS_TEMPERATURE,
    GLIDE_PHASE,
    GUIDE_EXIT_SPEED,
    GUIDE_EXIT_TIME,
    GUIDE_LENGTH,
    HELD,
    HUNG,
    ITEM,
    ITEM_AT,
    ITEM_ATTACHED,
    ITEM_CLIMB,
    ITEM_DELAY,
    ITEM_FIGURES,
    ITEM_TIME,
    ITEM_WHEN,
    LANDED,
    MASS,
    MOST_ITEMS,
    NEVER,
    NORTH,
    ON_GUIDE,
    OPENED_HEIGHT,
    OPENED_SPEED,
    OPENED_TIME,
    OUTCOME,
    OWN_PUSH,
    PITCH_RATE,
    POINT_PHASE,
    RELEASED_CLIMB,
    RELEASED_HEIGHT,
    RELEASED_LEAN,
    RELEASED_SPEED,
    RELEASED_TIME,
    ROLL_RATE,
    START_AT,
    START_CLIMB,
    START_DELAY,
    START_KIND,
    STARTED_HEIGHT,
    STARTED_TIME,
    STAYED,
    TOP_SPEED,
    TORN,
    TREES_RAISED,
    TUBE_AREA,
    TUBE_CLEAR_TIME,
    TUBE_LENGTH,
    TUBE_PHASE,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    VESSEL_VOLUME,
    WATER,
    WATER_DENSITY,
    WATER_LEFT,
    WATER_OUT_PRESSURE,
    WATER_OUT_TEMPERATURE,
    WATER_OUT_TIME,
    WATER_PHASE,
    YAW_RATE,
)

__all__ = ["happen", "let_go_by", "upcoming"]

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
    felt = felt_when_held(y, p, l, 0.0)
    driving = water_driving_pressure(y, p, l, s, z, felt)
    stalled = driving[0] - AT_AMBIENT * ambient(y, p, l)
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
        speed = (
            y[V_EAST + l] * p[AXIS_EAST + l]
            + y[V_NORTH + l] * p[AXIS_NORTH + l]
            + y[V_UP + l] * p[AXIS_UP + l]
        )
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


def _caught(y, p, shapes, l):
    return caught(y[EAST + l], y[NORTH + l], y[UP + l], shapes, p[TREES_RAISED + l])


def _ground(y, p, shapes, l):
    """Distance to the ground, or to what stands on it."""
    near = shapes[0] > 0.0 and y[UP + l] < tallest(shapes, p[TREES_RAISED + l])
    if near and _caught(y, p, shapes, l) >= 0.0:
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


def _speed(y, l):
    return sqrt(
        y[V_EAST + l] * y[V_EAST + l] + y[V_NORTH + l] * y[V_NORTH + l] + y[V_UP + l] * y[V_UP + l]
    )


def _lean(y, p, l):
    """How far the path has turned away from the guide [rad]."""
    speed = _speed(y, l)
    along = (
        y[V_EAST + l] * p[AXIS_EAST + l]
        + y[V_NORTH + l] * p[AXIS_NORTH + l]
        + y[V_UP + l] * p[AXIS_UP + l]
    )
    return atan2(sqrt(max(speed * speed - along * along, 0.0)), along)


def _stroke_ends(t, y, p, l, out):
    """The gas that fills the tube's bore stays behind with the tube."""
    out[TUBE_CLEAR_TIME] = t
    inside = p[VESSEL_VOLUME + l] - y[WATER + l] / p[WATER_DENSITY + l]
    y[GAS + l] = y[GAS + l] * inside / (inside + p[TUBE_AREA + l] * p[TUBE_LENGTH + l])
    return WATER_PHASE


def _water_out(t, y, p, l, out):
    """The water is out; or there was none, or the pressure is spent and the rest stays aboard."""
    left = p[BREAKTHROUGH + l]
    if p[DRY + l] < 0.5 and y[WATER + l] <= left + 1e-9:
        out[WATER_OUT_TIME] = t
        out[WATER_OUT_PRESSURE] = gas_state(y, p, l, 0, 0, 0.0)[0]
        out[WATER_OUT_TEMPERATURE] = y[GAS_TEMPERATURE + l]
    return AIR_PHASE


def _when_spent(items, t, p, l):
    """What is let go when the push has ended is due now."""
    for item in range(items):
        o = item * ITEM
        if p[ITEM_WHEN + o + l] == BY_SPENT:
            p[ITEM_AT + o + l] = min(p[ITEM_AT + o + l], t + p[ITEM_DELAY + o + l])


def _spent(items, t, y, p, l, out):
    """The vehicle's own push has ended."""
    out[AIR_OUT_TIME] = t
    out[WATER_LEFT] = max(y[WATER + l], 0.0)
    out[BURNOUT_SPEED] = _speed(y, l)
    if out[BURNOUT_SPEED] > 0.0:
        out[BURNOUT_LEAN] = _lean(y, p, l)
    _when_spent(items, t, p, l)


def _air_out(items, t, y, p, l, out):
    _spent(items, t, y, p, l, out)
    if p[HELD + l] > 0.5:
        out[OUTCOME] = FIRED
        return ENDED
    return COAST_PHASE


def _goes_on(items, y, p, l):
    """The phase of a vehicle with boosters once one of the two has come to its next part."""
    if p[BOOSTERS_PUSH + l] + p[OWN_PUSH + l] > 0.0:
        return BOOSTED_PHASE
    count_boosters_in((items - 1) * ITEM, y, p, l)
    return COAST_PHASE


def _boosters_next(items, t, y, p, l, out):
    """Boosters, the last thing carried, go from water to air, and from air to nothing."""
    p[BOOSTERS_PUSH + l] += 1.0
    if p[BOOSTERS_PUSH + l] > 2.5:
        p[BOOSTERS_PUSH + l] = 0.0
        out[BOOSTERS_OUT_TIME] = t
        o = (items - 1) * ITEM
        if p[ITEM_WHEN + o + l] == BY_SPENT:
            p[ITEM_AT + o + l] = t + p[ITEM_DELAY + o + l]
    return _goes_on(items, y, p, l)


def _own_next(items, t, y, p, l, out):
    """The same of the vehicle's own nozzle."""
    p[OWN_PUSH + l] += 1.0
    if p[OWN_PUSH + l] < 2.5:
        _water_out(t, y, p, l, out)
    else:
        p[OWN_PUSH + l] = 0.0
        _spent(items - 1, t, y, p, l, out)
    return _goes_on(items, y, p, l)


def _after_boosters(p, l):
    """The phase that a vehicle goes on in when its boosters are off."""
    if p[OWN_PUSH + l] == 1.0:
        return WATER_PHASE
    return AIR_PHASE if p[OWN_PUSH + l] == 2.0 else COAST_PHASE


def _apogee(items, t, y, p, l, out):
    out[APOGEE_TIME] = t
    out[APOGEE_HEIGHT] = y[UP + l]
    p[APOGEE_SEEN + l] = 1.0
    for item in range(items):
        o = item * ITEM
        if p[ITEM_WHEN + o + l] == BY_APOGEE:
            p[ITEM_AT + o + l] = t + p[ITEM_DELAY + o + l]
    if p[CANOPY_KIND + l] == BY_APOGEE:
        p[CANOPY_AT + l] = t + p[CANOPY_DELAY + l]


def _let_go(item, torn, t, y, p, l, out):
    first = item * ITEM_FIGURES
    out[RELEASED_TIME + first] = t
    out[RELEASED_HEIGHT + first] = y[UP + l]
    out[RELEASED_CLIMB + first] = y[V_UP + l]
    out[RELEASED_SPEED + first] = _speed(y, l)
    out[RELEASED_LEAN + first] = _lean(y, p, l)
    out[TORN + first] = 1.0 if torn else 0.0


def _starts(t, y, p, l, out):
    """A nozzle opens in the air; triggered by climb, after the delay."""
    if p[START_AT + l] >= FAR:
        p[START_AT + l] = t + p[START_DELAY + l]
        return COAST_PHASE
    p[START_KIND + l] = NEVER
    out[STARTED_TIME] = t
    out[STARTED_HEIGHT] = y[UP + l]
    return WATER_PHASE


def _canopy_opens(t, y, p, l, out):
    """Filling takes a number of canopy diameters of path at the speed of opening."""
    east, north, up = relative_wind(t, y, p, l)
    speed = sqrt(east * east + north * north + up * up)
    p[CANOPY_OPENED + l] = t
    p[CANOPY_FILLING + l] = (
        p[FILLING_CONSTANT + l] * p[CANOPY_DIAMETER + l] / max(speed, 0.1)
        if p[CANOPY_DRAG + l] > 0.0
        else 0.0
    )
    # A canopy holds what hangs from it: its turning is at an end.
    y[ROLL_RATE + l] = 0.0
    y[PITCH_RATE + l] = 0.0
    y[YAW_RATE + l] = 0.0
    out[OPENED_TIME] = t
    out[OPENED_HEIGHT] = y[UP + l]
    out[OPENED_SPEED] = speed
    return CANOPY_PHASE


def _touchdown(phase, items, t, y, p, l, out):
    speed = _speed(y, l)
    out[DOWN_TIME] = t
    out[DOWN_EAST] = y[EAST + l]
    out[DOWN_NORTH] = y[NORTH + l]
    out[DOWN_UP] = max(y[UP + l], 0.0)
    out[DOWN_SPEED] = speed
    p[TOP_SPEED + l] = max(p[TOP_SPEED + l], speed)
    mass = p[DRY_MASS + l]
    if phase not in (POINT_PHASE, GLIDE_PHASE):
        lane_load(phase, items, y, p, l)
        mass = p[MASS + l] - y[GAS + l]
    out[DOWN_MASS] = mass
    out[OUTCOME] = LANDED


def happen(which, phase, items, t, y, p, shapes, l, out):
    """Carry out an event on one lane; return the phase that follows."""
    item, torn = let_go_by(which)
    if item >= 0:
        _let_go(item, torn, t, y, p, l, out)
        boosters = phase == BOOSTED_PHASE and item == items - 1
        return _after_boosters(p, l) if boosters else phase
    if which >= RELEASE_DUE:
        o = (which - RELEASE_DUE) * ITEM
        p[ITEM_AT + o + l] = t + p[ITEM_DELAY + o + l]
        return phase
    if which == STROKE_ENDS:
        return _stroke_ends(t, y, p, l, out)
    if which == WATER_OUT:
        return _water_out(t, y, p, l, out)
    if which == AIR_OUT:
        return _air_out(items, t, y, p, l, out)
    if which == STARTS:
        return _starts(t, y, p, l, out)
    if which == CANOPY_OPENS:
        return _canopy_opens(t, y, p, l, out)
    if which in (TOUCHDOWN, CATCHES):
        _touchdown(phase, items, t, y, p, l, out)
        if which == CATCHES:
            out[OUTCOME] = HUNG
            out[CAUGHT] = _caught(y, p, shapes, l)
        return ENDED
    if which == FALLS_BACK:
        out[OUTCOME] = STAYED
        return ENDED
    if which == BOOSTERS_NEXT:
        return _boosters_next(items, t, y, p, l, out)
    if which == OWN_NEXT:
        return _own_next(items, t, y, p, l, out)
    if which == GUIDE_EXIT:
        p[ON_GUIDE + l] = 0.0
        out[GUIDE_EXIT_TIME] = t
        out[GUIDE_EXIT_SPEED] = _speed(y, l)
    elif which == APOGEE:
        _apogee(items, t, y, p, l, out)
    elif which == CANOPY_DUE:
        p[CANOPY_AT + l] = t + p[CANOPY_DELAY + l]
    elif which == CANOPY_FULL:
        p[CANOPY_FILLING + l] = 0.0
    return phase
