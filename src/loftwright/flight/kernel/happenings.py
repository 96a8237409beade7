"""What the events of a flight change: the next phase, what is remembered, what it reports."""

from math import atan2, sqrt

from loftwright.flight.kernel.airflow import relative_wind
from loftwright.flight.kernel.events import (
    AIR_OUT,
    APOGEE,
    BOOSTERS_NEXT,
    CANOPY_DUE,
    CANOPY_FULL,
    CANOPY_OPENS,
    CATCHES,
    FALLS_BACK,
    FAR,
    GUIDE_EXIT,
    OWN_NEXT,
    RELEASE_DUE,
    STARTS,
    STROKE_ENDS,
    TOUCHDOWN,
    WATER_OUT,
    among_trees,
    let_go_by,
)
from loftwright.flight.kernel.loading import count_boosters_in, lane_load
from loftwright.flight.kernel.propulsion import gas_state
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
    BOOSTERS_OUT_TIME,
    BOOSTERS_PUSH,
    BREAKTHROUGH,
    BURNOUT_LEAN,
    BURNOUT_SPEED,
    BY_APOGEE,
    BY_SPENT,
    CANOPY_AT,
    CANOPY_DELAY,
    CANOPY_DIAMETER,
    CANOPY_DRAG,
    CANOPY_FILLING,
    CANOPY_KIND,
    CANOPY_OPENED,
    CANOPY_PHASE,
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
    HELD,
    HUNG,
    ITEM,
    ITEM_AT,
    ITEM_DELAY,
    ITEM_FIGURES,
    ITEM_WHEN,
    LANDED,
    MASS,
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
    START_DELAY,
    START_KIND,
    STARTED_HEIGHT,
    STARTED_TIME,
    STAYED,
    TOP_SPEED,
    TORN,
    TUBE_AREA,
    TUBE_CLEAR_TIME,
    TUBE_LENGTH,
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

__all__ = ["happen"]

STANDALONE = True  # too large to be copied into every caller


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


def _push_changes(which, items, t, y, p, l, out):
    """A part of the push begins or ends; return the phase that follows."""
    if which == STROKE_ENDS:
        return _stroke_ends(t, y, p, l, out)
    if which == WATER_OUT:
        return _water_out(t, y, p, l, out)
    if which == AIR_OUT:
        return _air_out(items, t, y, p, l, out)
    if which == BOOSTERS_NEXT:
        return _boosters_next(items, t, y, p, l, out)
    if which == OWN_NEXT:
        return _own_next(items, t, y, p, l, out)
    return _starts(t, y, p, l, out)


def _ends(which, phase, items, t, y, p, shapes, l, out):
    """The flight of this body is over: on the ground, in a tree, or it never left its guide."""
    if which == FALLS_BACK:
        out[OUTCOME] = STAYED
        return ENDED
    _touchdown(phase, items, t, y, p, l, out)
    if which == CATCHES:
        out[OUTCOME] = HUNG
        out[CAUGHT] = among_trees(y, p, shapes, l)
    return ENDED


def _noted(which, items, t, y, p, l, out):
    """Something happens that ends no phase."""
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
    else:
        o = (which - RELEASE_DUE) * ITEM
        p[ITEM_AT + o + l] = t + p[ITEM_DELAY + o + l]


def happen(which, phase, items, t, y, p, shapes, l, out):
    """Carry out an event on one lane; return the phase that follows."""
    item, torn = let_go_by(which)
    if item >= 0:
        _let_go(item, torn, t, y, p, l, out)
        boosters = phase == BOOSTED_PHASE and item == items - 1
        return _after_boosters(p, l) if boosters else phase
    if which in (STROKE_ENDS, WATER_OUT, AIR_OUT, BOOSTERS_NEXT, OWN_NEXT, STARTS):
        return _push_changes(which, items, t, y, p, l, out)
    if which == CANOPY_OPENS:
        return _canopy_opens(t, y, p, l, out)
    if which in (TOUCHDOWN, CATCHES, FALLS_BACK):
        return _ends(which, phase, items, t, y, p, shapes, l, out)
    _noted(which, items, t, y, p, l, out)
    return phase
