"""The most violent moments of a flight: largest speed, acceleration, thrust and loads."""

from math import sqrt

from loftwright.flight.kernel.rates import canopy_force
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    ATTACHED,
    CANOPY_PHASE,
    COAST_PHASE,
    DENSITY,
    FLOW_EAST,
    FLOW_NORTH,
    FLOW_UP,
    GRAVITY,
    IMPULSE,
    LANES,
    PAYLOAD_DRAG,
    PAYLOAD_MASS,
    PAYLOAD_PHASE,
    TOP_ACCELERATION,
    TOP_HOLD,
    TOP_LOAD,
    TOP_SPEED,
    TOP_THRUST,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.flight.kernel.stepper import slope_weights, weighted

__all__ = ["note_end", "note_extremes"]

STANDALONE = True  # too large to be copied into every caller


def _hold_load(y, p, gained_east, gained_north, gained_up, lane):
    """What the payload asks of its hold: its own weight in what it feels, and its drag [N].

    Both are taken to pull one way, as they do while the vehicle is pushed.
    """
    mass = p[PAYLOAD_MASS + lane]
    felt_up = gained_up + p[GRAVITY + lane]
    felt = sqrt(gained_east * gained_east + gained_north * gained_north + felt_up * felt_up)
    east = p[FLOW_EAST + lane]
    north = p[FLOW_NORTH + lane]
    up = p[FLOW_UP + lane]
    square = east * east + north * north + up * up
    drag = 0.5 * p[DENSITY + lane] * square * p[PAYLOAD_DRAG + lane]
    return (mass * felt + drag) * p[ATTACHED + lane]


def note_extremes(phase, t, y, p, k, accepted):
    """Keep the largest speed, acceleration, thrust and loads met at the start of steps."""
    if phase == PAYLOAD_PHASE:
        return
    for i in range(LANES):
        east = y[V_EAST + i]
        north = y[V_NORTH + i]
        up = y[V_UP + i]
        speed = sqrt(east * east + north * north + up * up) * accepted[i]
        p[TOP_SPEED + i] = max(p[TOP_SPEED + i], speed)
    if phase == CANOPY_PHASE:
        for i in range(LANES):
            load = canopy_force(t[i], y, p, i) * accepted[i]
            p[TOP_LOAD + i] = max(p[TOP_LOAD + i], load)
        return
    for i in range(LANES):
        east = k[V_EAST + i]
        north = k[V_NORTH + i]
        up = k[V_UP + i]
        gained = sqrt(east * east + north * north + up * up) * accepted[i]
        p[TOP_ACCELERATION + i] = max(p[TOP_ACCELERATION + i], gained)
        held = _hold_load(y, p, east, north, up, i) * accepted[i]
        p[TOP_HOLD + i] = max(p[TOP_HOLD + i], held)
    if phase <= AIR_PHASE:
        for i in range(LANES):
            thrust = k[IMPULSE + i] * accepted[i]
            p[TOP_THRUST + i] = max(p[TOP_THRUST + i], thrust)


def note_end(phase, lane, share, y, p, k, w):
    """A phase may end at its most violent moment, which starts no step."""
    if phase > COAST_PHASE:
        return
    slope_weights(share, w)
    east = weighted(V_EAST + lane, w, k)
    north = weighted(V_NORTH + lane, w, k)
    up = weighted(V_UP + lane, w, k)
    gained = sqrt(east * east + north * north + up * up)
    p[TOP_ACCELERATION + lane] = max(p[TOP_ACCELERATION + lane], gained)
    held = _hold_load(y, p, east, north, up, lane)
    p[TOP_HOLD + lane] = max(p[TOP_HOLD + lane], held)
