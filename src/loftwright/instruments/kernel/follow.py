"""Reads a recorded flight at the moments at which a controller takes its samples."""

from math import log, sqrt

from loftwright.flight.kernel.slots import (
    CANOPY_PHASE,
    LANES,
    Q0,
    Q1,
    Q2,
    Q3,
    RECORD_ACCELERATION,
    RECORD_PHASE,
    RECORD_STATE,
    RECORD_TIME,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.physics.atmosphere import air_density_at, air_pressure_at
from loftwright.physics.barometer import port_excess
from loftwright.physics.rotation import rotate_to_body

__all__ = ["follow"]

# What surrounds a flight, one number each: Pa, K, kg/m3, m/s2, the wind per unit of
# ln(height/roughness) [m/s], m, and the pressure coefficient at the vents.
PRESSURE, TEMPERATURE, DENSITY, GRAVITY, EAST, NORTH, ROUGHNESS, COEFFICIENT = range(8)
AROUND = 8

_UP, _EAST, _NORTH, _CLIMB = (RECORD_STATE + slot // LANES for slot in (UP, V_EAST, V_NORTH, V_UP))
_Q0, _Q1, _Q2, _Q3 = (RECORD_STATE + slot // LANES for slot in (Q0, Q1, Q2, Q3))


def _felt(tape, row, gravity):
    """Push along the axis [m/s2]; hanging under a canopy, the whole of it."""
    east = tape[row, RECORD_ACCELERATION]
    north = tape[row, RECORD_ACCELERATION + 1]
    up = tape[row, RECORD_ACCELERATION + 2] + gravity
    if tape[row, RECORD_PHASE] >= CANOPY_PHASE:
        return sqrt(east * east + north * north + up * up)
    along, _, _ = rotate_to_body(
        tape[row, _Q0], tape[row, _Q1], tape[row, _Q2], tape[row, _Q3], east, north, up
    )
    return along


def _added(tape, row, around):
    """Pressure that the air adds at the vents [Pa], in the mean wind."""
    height = tape[row, _UP]
    growth = log(max(height / around[ROUGHNESS], 1.0))
    east = tape[row, _EAST] - around[EAST] * growth
    north = tape[row, _NORTH] - around[NORTH] * growth
    up = tape[row, _CLIMB]
    speed = sqrt(east * east + north * north + up * up)
    density = air_density_at(height, around[DENSITY], around[TEMPERATURE])
    return port_excess(around[COEFFICIENT], density, speed)


def follow(tape, times, around, port, push, height, climb):
    """Fill in what is true at the times: pressure at the vents, push, height and climb.

    Between two samples of the tape, height is the cubic that meets both in height and climb; push
    and what the air adds at the vents are straight lines, for they may jump. Before first motion
    the vehicle stands on the pad, after the last sample it lies where that left it.

    Parameters
    ----------
    tape : float64 array (k, RECORD_COLUMNS)
        The samples of one body; k at least 1.
    times : float64 array (n,)
        Ascending [s].
    around : float64 array (AROUND,)
        What surrounds the flight.
    port, push, height, climb : float32 arrays (n,)
        Written [Pa, m/s2, m, m/s].
    """
    last = len(tape) - 1
    row = 0
    felt, added = _felt(tape, 0, around[GRAVITY]), _added(tape, 0, around)
    felt_next, added_next = felt, added
    if last > 0:
        felt_next, added_next = _felt(tape, 1, around[GRAVITY]), _added(tape, 1, around)
    # At rest on the pad: what is felt is gravity's opposite, along the axis.
    resting, _, _ = rotate_to_body(
        tape[0, _Q0], tape[0, _Q1], tape[0, _Q2], tape[0, _Q3], 0.0, 0.0, around[GRAVITY]
    )
    for n in range(len(times)):
        t = times[n]
        moved = False
        while row < last - 1 and tape[row + 1, RECORD_TIME] <= t:
            row += 1
            moved = True
        if moved:
            felt, added = _felt(tape, row, around[GRAVITY]), _added(tape, row, around)
            felt_next = _felt(tape, row + 1, around[GRAVITY])
            added_next = _added(tape, row + 1, around)
        if t < tape[0, RECORD_TIME] or last == 0:
            h, v, a, extra = tape[0, _UP], 0.0, resting, 0.0
        elif t >= tape[last, RECORD_TIME]:
            h, v, a, extra = tape[last, _UP], 0.0, around[GRAVITY], 0.0
        else:
            begin = tape[row, RECORD_TIME]
            step = tape[row + 1, RECORD_TIME] - begin
            s = (t - begin) / step
            h0, h1 = tape[row, _UP], tape[row + 1, _UP]
            v0, v1 = tape[row, _CLIMB] * step, tape[row + 1, _CLIMB] * step
            bend = 2.0 * (h0 - h1) + v0 + v1
            lean = 3.0 * (h1 - h0) - 2.0 * v0 - v1
            h = h0 + s * (v0 + s * (lean + s * bend))
            v = (v0 + s * (2.0 * lean + 3.0 * s * bend)) / step
            a = felt + s * (felt_next - felt)
            extra = added + s * (added_next - added)
        port[n] = air_pressure_at(h, around[PRESSURE], around[TEMPERATURE]) + extra
        push[n] = a
        height[n] = h
        climb[n] = v
