"""The moments at which a phase ends or something happens, and what they change.

``upcoming`` gives the nearest of them as a number that falls through zero; ``happen`` carries it
out: the next phase, what is remembered, and the figures that the flight reports.
"""

from math import atan2, sqrt

from loftwright.flight.kernel.airflow import relative_wind
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
    ATTACHED,
    AXIS_EAST,
    AXIS_NORTH,
    AXIS_UP,
    BREAKTHROUGH,
    BURNOUT_LEAN,
    BURNOUT_SPEED,
    BY_APOGEE,
    BY_CLIMB,
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
    COAST_PHASE,
    DRY,
    DRY_MASS,
    EAST,
    ENDED,
    FILLING_CONSTANT,
    FIRED,
    GAS,
    GAS_TEMPERATURE,
    GUIDE_EXIT_SPEED,
    GUIDE_EXIT_TIME,
    GUIDE_LENGTH,
    HELD,
    LANDED,
    NORTH,
    ON_GUIDE,
    OPENED_HEIGHT,
    OPENED_SPEED,
    OPENED_TIME,
    OUTCOME,
    PAYLOAD_DOWN_EAST,
    PAYLOAD_DOWN_NORTH,
    PAYLOAD_DOWN_SPEED,
    PAYLOAD_DOWN_TIME,
    PAYLOAD_MASS,
    PAYLOAD_PHASE,
    RELEASE_AT,
    RELEASE_CLIMB,
    RELEASE_DELAY,
    RELEASE_KIND,
    RELEASE_TIME,
    RELEASED_CLIMB,
    RELEASED_HEIGHT,
    RELEASED_SPEED,
    RELEASED_TIME,
    STAYED,
    TOP_SPEED,
    TUBE_AREA,
    TUBE_CLEAR_TIME,
    TUBE_LENGTH,
    TUBE_PHASE,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    VEHICLE_DOWN_EAST,
    VEHICLE_DOWN_MASS,
    VEHICLE_DOWN_NORTH,
    VEHICLE_DOWN_SPEED,
    VEHICLE_DOWN_TIME,
    VESSEL_VOLUME,
    WATER,
    WATER_DENSITY,
    WATER_LEFT,
    WATER_OUT_PRESSURE,
    WATER_OUT_TEMPERATURE,
    WATER_OUT_TIME,
    WATER_PHASE,
)

__all__ = ["RELEASE", "happen", "upcoming"]

STANDALONE = True  # too large to be copied into every caller

(
    NOTHING,
    STROKE_ENDS,
    WATER_OUT,
    AIR_OUT,
    GUIDE_EXIT,
    FALLS_BACK,
    APOGEE,
    RELEASE_DUE,
    RELEASE,
    CANOPY_DUE,
    CANOPY_OPENS,
    CANOPY_FULL,
    TOUCHDOWN,
) = range(13)

FAR = 1e9  # stands for "not in sight"
# Gauge over ambient pressure at which a jet counts as ended. The last of the air leaves ever more
# slowly: a tenth of this would move the moment by a third of a millisecond, and blur it.
AT_AMBIENT = 1e-5
PATIENCE = 0.1  # s; gas in the tube that has not moved its vehicle by then never will


def _boost_end(phase, y, p, l):
    """Distance to the end of a phase that pushes."""
    if phase == TUBE_PHASE:
        return p[TUBE_LENGTH + l] - travel(y, p, l), STROKE_ENDS
    if phase == WATER_PHASE:
        felt = felt_when_held(y, p, l, 0.0)
        driving = water_driving_pressure(y, p, l, felt)
        stalled = driving[0] - AT_AMBIENT * ambient(y, p, l)
        left = y[WATER + l] - p[BREAKTHROUGH + l]
        return min(left, stalled * 1e-6), WATER_OUT
    if phase == AIR_PHASE:
        outside = ambient(y, p, l)
        pressure = gas_state(y, p, l, 0.0)[0]
        return pressure / outside - 1.0 - AT_AMBIENT, AIR_OUT
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


def _release(phase, t, y, p, l):
    """Distance to the release, or to what triggers it."""
    if p[ATTACHED + l] < 0.5:
        return FAR, NOTHING
    if p[RELEASE_AT + l] < FAR:
        return p[RELEASE_AT + l] - t, RELEASE
    if p[RELEASE_KIND + l] == BY_TIME:
        return p[RELEASE_TIME + l] - t, RELEASE_DUE
    # A climb below the threshold means something only after burnout, and off the guide.
    coasting = phase >= COAST_PHASE and p[ON_GUIDE + l] < 0.5
    if p[RELEASE_KIND + l] == BY_CLIMB and coasting:
        return y[V_UP + l] - p[RELEASE_CLIMB + l], RELEASE_DUE
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


def upcoming(phase, t, y, p, l):
    """How far the nearest event is (it happens at zero), and which it is.

    The distance is in whatever unit the event has; only its sign and its root matter.
    """
    if phase == PAYLOAD_PHASE:
        return y[UP + l], TOUCHDOWN
    value, which = _boost_end(phase, y, p, l)
    if p[HELD + l] > 0.5:
        return value, which
    if p[ON_GUIDE + l] > 0.5:
        other, event = _on_the_guide(phase, t, y, p, l)
        if other < value:
            value = other
            which = event
    elif y[UP + l] < value:
        value = y[UP + l]
        which = TOUCHDOWN
    coasting = phase >= COAST_PHASE and p[ON_GUIDE + l] < 0.5
    if coasting and p[APOGEE_SEEN + l] < 0.5 and y[V_UP + l] < value:
        value = y[V_UP + l]
        which = APOGEE
    other, event = _release(phase, t, y, p, l)
    if other < value:
        value = other
        which = event
    # A canopy that opens while the vehicle is still pushed is flown when the push has ended.
    if coasting:
        other, event = _canopy(phase, t, y, p, l)
        if other < value:
            value = other
            which = event
    return value, which


def _speed(y, l):
    return sqrt(
        y[V_EAST + l] * y[V_EAST + l] + y[V_NORTH + l] * y[V_NORTH + l] + y[V_UP + l] * y[V_UP + l]
    )


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
        out[WATER_OUT_PRESSURE] = gas_state(y, p, l, 0.0)[0]
        out[WATER_OUT_TEMPERATURE] = y[GAS_TEMPERATURE + l]
    return AIR_PHASE


def _air_out(t, y, p, l, out):
    out[AIR_OUT_TIME] = t
    out[WATER_LEFT] = max(y[WATER + l], 0.0)
    speed = _speed(y, l)
    along = (
        y[V_EAST + l] * p[AXIS_EAST + l]
        + y[V_NORTH + l] * p[AXIS_NORTH + l]
        + y[V_UP + l] * p[AXIS_UP + l]
    )
    out[BURNOUT_SPEED] = speed
    # How far the path has turned away from the guide.
    if speed > 0.0:
        out[BURNOUT_LEAN] = atan2(sqrt(max(speed * speed - along * along, 0.0)), along)
    if p[HELD + l] > 0.5:
        out[OUTCOME] = FIRED
        return ENDED
    return COAST_PHASE


def _apogee(t, y, p, l, out):
    out[APOGEE_TIME] = t
    out[APOGEE_HEIGHT] = y[UP + l]
    p[APOGEE_SEEN + l] = 1.0
    if p[RELEASE_KIND + l] == BY_APOGEE:
        p[RELEASE_AT + l] = t + p[RELEASE_DELAY + l]
    if p[CANOPY_KIND + l] == BY_APOGEE:
        p[CANOPY_AT + l] = t + p[CANOPY_DELAY + l]


def _let_go(t, y, p, l, out):
    p[ATTACHED + l] = 0.0
    out[RELEASED_TIME] = t
    out[RELEASED_HEIGHT] = y[UP + l]
    out[RELEASED_CLIMB] = y[V_UP + l]
    out[RELEASED_SPEED] = _speed(y, l)


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
    out[OPENED_TIME] = t
    out[OPENED_HEIGHT] = y[UP + l]
    out[OPENED_SPEED] = speed
    return CANOPY_PHASE


def _touchdown(phase, t, y, p, l, out):
    if phase == PAYLOAD_PHASE:
        out[PAYLOAD_DOWN_TIME] = t
        out[PAYLOAD_DOWN_EAST] = y[EAST + l]
        out[PAYLOAD_DOWN_NORTH] = y[NORTH + l]
        out[PAYLOAD_DOWN_SPEED] = _speed(y, l)
        return
    out[VEHICLE_DOWN_TIME] = t
    out[VEHICLE_DOWN_EAST] = y[EAST + l]
    out[VEHICLE_DOWN_NORTH] = y[NORTH + l]
    out[VEHICLE_DOWN_SPEED] = _speed(y, l)
    p[TOP_SPEED + l] = max(p[TOP_SPEED + l], out[VEHICLE_DOWN_SPEED])
    out[VEHICLE_DOWN_MASS] = (
        p[DRY_MASS + l] + max(y[WATER + l], 0.0) + p[PAYLOAD_MASS + l] * p[ATTACHED + l]
    )
    out[OUTCOME] = LANDED


def happen(which, phase, t, y, p, l, out):
    """Carry out an event on one lane; return the phase that follows."""
    if which == STROKE_ENDS:
        return _stroke_ends(t, y, p, l, out)
    if which == WATER_OUT:
        return _water_out(t, y, p, l, out)
    if which == AIR_OUT:
        return _air_out(t, y, p, l, out)
    if which == CANOPY_OPENS:
        return _canopy_opens(t, y, p, l, out)
    if which == TOUCHDOWN:
        _touchdown(phase, t, y, p, l, out)
        return ENDED
    if which == FALLS_BACK:
        out[OUTCOME] = STAYED
        return ENDED
    if which == GUIDE_EXIT:
        p[ON_GUIDE + l] = 0.0
        out[GUIDE_EXIT_TIME] = t
        out[GUIDE_EXIT_SPEED] = _speed(y, l)
    elif which == APOGEE:
        _apogee(t, y, p, l, out)
    elif which == RELEASE_DUE:
        p[RELEASE_AT + l] = t + p[RELEASE_DELAY + l]
    elif which == RELEASE:
        _let_go(t, y, p, l, out)
    elif which == CANOPY_DUE:
        p[CANOPY_AT + l] = t + p[CANOPY_DELAY + l]
    elif which == CANOPY_FULL:
        p[CANOPY_FILLING + l] = 0.0
    return phase
