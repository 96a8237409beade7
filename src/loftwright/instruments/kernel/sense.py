"""What the sensors of LANES cases show in one sample, and whether their controllers run.

Straight-line code, one lane like the next, without a branch: each part of an instrument is a loop
over lanes that compilers turn into vector instructions. Few arrays take part in each loop, so that
they need not be told apart at length before it runs. Every operation is single precision.
"""

import numpy as np

from loftwright.instruments.kernel.in_force import renew, warm
from loftwright.instruments.kernel.slots import (
    AGE,
    BEGUN,
    BROWNOUT,
    BUMP_NOW,
    CUT,
    DROP_ABOVE,
    EDGE_SAMPLE,
    EVERY,
    EXCESS,
    FILTERED,
    FINENESS,
    FIRST_AT,
    FREEZES,
    FRESH,
    GAINED,
    GUST_NOW,
    HELD,
    HELD_PUSH,
    JITTER,
    LANES,
    LAST_BAY,
    LAST_PORT,
    LEAST,
    LOUD,
    MEMORIES,
    MOST,
    NOISE_LUCK,
    NOISE_PRESSURE,
    NOISE_PUSH,
    NOT_FAILING,
    OPEN_AGAIN,
    OPEN_FOR,
    OPENS_AT,
    OVER,
    OWN_DRAW,
    PORT_FLOW,
    PUSH_BIAS,
    PUSH_FREEZES,
    PUSH_NOISE,
    PUSH_RANGE,
    PUSH_READS,
    READS,
    READY_AT,
    REPEAT_ABOVE,
    RESISTANCE,
    RESOLUTION,
    RESTART_NOW,
    SETTLED,
    SHARE,
    SLOW,
    SOURCE,
    START_UP,
    STEP,
    STEP_MS,
    UNDER,
    WARMING,
    WARMTH,
    WAS_ALIVE,
    WAS_CUT,
    ZERO_SAMPLE,
)

__all__ = ["begin", "sense"]

# Not a bit of what comes out may depend on the machine.
EXACT = True

NONE, HALF, ONE, TWO, FOUR = (np.float32(each) for each in (0.0, 0.5, 1.0, 2.0, 4.0))
NOTHING = np.float32(np.nan)
NO_WHOLE, ONE_WHOLE = np.int32(0), np.int32(1)
HEALTHY = np.float32(NOT_FAILING)
TINY = np.float32(1e-20)  # keeps nothing over nothing away
# A share of a sample by which times that were rounded may miss a mark that they stand on.
SLACK = np.float32(1e-2)


def begin(p, m):
    """Set the memory of LANES cases to what it is when their controllers are switched on."""
    for row in range(MEMORIES):
        for l in range(LANES):
            m[row * LANES + l] = NONE
    for l in range(LANES):
        m[AGE + l] = p[EVERY + l] - p[STEP + l]
        m[OPEN_AGAIN + l] = p[FIRST_AT + l] - ONE
        m[READY_AT + l] = p[FIRST_AT + l] - ONE
        m[WAS_ALIVE + l] = ONE


def sense(k, port, push, noise, draw, p, m, pressure, pushed, line, now, alive, restart):
    """Take sample ``k`` of LANES cases.

    Parameters
    ----------
    k : int
        Number of the sample, 0 at power-up of the controllers; the next one with every call.
    port, push : float32 arrays (LANES,)
        Pressure at the vents, position error included, and true push along the axis [Pa, m/s2].
    noise : float32 array (NOISE_ROWS * LANES,)
        Standard normals of this sample; cases of one flight are given the same.
    draw : float32 array (LANES,)
        Current that moving actuators take from the controller's battery [A].
    p, m : float32 arrays
        Parameters and memory, by rows of ``slots``; ``begin`` sets the memory.
    pressure, pushed : float32 arrays (LANES,)
        Written: what the controller reads [Pa, m/s2], not-a-number where it reads nothing.
    now : int32 array (LANES,)
        Written: ms by the controller's clock.
    line, alive, restart : int32 arrays (LANES,)
        Kept up to date: 1 where the line is open; 1 where the controller runs; 1 where it runs
        anew from this sample on, and its clock with it. Nobody else may write to them.
    """
    # To the compiler 0 or LANES: a loop of fixed length it would write out instead of vectorise.
    lanes = restart.shape[0] & LANES
    first = m[BEGUN] <= NONE
    if np.float32(k) >= m[EDGE_SAMPLE]:
        renew(lanes, k, p, m, line)
        m[SETTLED] = NONE
    if m[WARMING] > NONE:
        warm(lanes, k, p, m)
    if m[SLOW] > NONE:
        _wait(lanes, p, m)
    _bay(lanes, first, port, p, m)
    _barometer(lanes, first, noise, p, m, pressure)
    _accelerometer(lanes, first, push, noise, p, m, pushed)
    if m[SETTLED] <= NONE or _is_disturbed(lanes, push, draw, p, m):
        _supply(lanes, k, push, draw, p, m)
        m[SETTLED] = _is_settled(lanes, m)
        for l in range(lanes):
            alive[l] = np.int32(m[WAS_ALIVE + l])
        for l in range(lanes):
            restart[l] = np.int32(m[RESTART_NOW + l])
    number = np.float32(k)
    for l in range(lanes):
        now[l] = np.int32((number - m[ZERO_SAMPLE + l]) * p[STEP_MS + l])
    m[BEGUN] = ONE


def _bay(lanes, first, port, p, m):
    """Let the bay breathe: one implicit step of its balance of mass, in closed form.

    With x the bay's excess over the vents, x + K sign(x) sqrt|x| is what x would be had nothing
    flowed through the vents since the last sample.
    """
    for l in range(lanes):
        outside = port[l] + m[GUST_NOW + l]
        closed = m[EXCESS + l] + (m[LAST_PORT + l] - outside) + m[GAINED + l]
        closed = NONE if first else closed
        size = abs(closed)
        flow = p[PORT_FLOW + l]
        root = TWO * size / (flow + np.sqrt(flow * flow + FOUR * size) + TINY)
        excess = root * root
        m[EXCESS + l] = excess if closed >= NONE else -excess
        m[LAST_PORT + l] = outside


def _wait(lanes, p, m):
    """Let each barometer give a new value when one is due."""
    for l in range(lanes):
        step, every = p[STEP + l], p[EVERY + l]
        age = m[AGE + l] + step
        due = age >= every - SLACK * step
        rest = age - every
        rest = every if rest > every else rest
        m[AGE + l] = rest if due else age
        m[FRESH + l] = ONE - m[FREEZES + l] if due else NONE


def _barometer(lanes, first, noise, p, m, pressure):
    """Take the bay's pressure as the sensor does: late, warm, noisy, filtered, in steps."""
    for l in range(lanes):
        luck = noise[NOISE_LUCK + l]
        bay = m[LAST_PORT + l] + m[EXCESS + l]
        change = NONE if first else bay - m[LAST_BAY + l]
        m[LAST_BAY + l] = bay
        value = bay + change * (luck * p[JITTER + l])
        value += m[WARMTH + l]
        value += m[LOUD + l] * noise[NOISE_PRESSURE + l]
        # Does a new value get through the sensor's own filter and its range?
        fresh = (m[FRESH + l] > NONE) & (not (luck > p[REPEAT_ABOVE + l])) | first
        filtered = m[FILTERED + l] + p[SHARE + l] * (value - m[FILTERED + l])
        filtered = value if first else filtered
        filtered = filtered if fresh else m[FILTERED + l]
        m[FILTERED + l] = filtered
        whole = np.floor(filtered * p[FINENESS + l] + HALF) * p[RESOLUTION + l]
        whole = p[UNDER + l] if filtered < p[LEAST + l] else whole
        whole = p[OVER + l] if filtered > p[MOST + l] else whole
        held = whole if fresh else m[HELD + l]
        m[HELD + l] = held
        read = NOTHING if luck > p[DROP_ABOVE + l] else held
        pressure[l] = read if m[READS + l] <= HEALTHY else m[READS + l]


def _accelerometer(lanes, first, push, noise, p, m, pushed):
    """Read the push along the axis."""
    for l in range(lanes):
        value = push[l] + m[BUMP_NOW + l]
        value += p[PUSH_BIAS + l] + p[PUSH_NOISE + l] * noise[NOISE_PUSH + l]
        value = p[PUSH_RANGE + l] if value > p[PUSH_RANGE + l] else value
        value = -p[PUSH_RANGE + l] if value < -p[PUSH_RANGE + l] else value
        frozen = (m[PUSH_FREEZES + l] > NONE) & (not first)
        held = m[HELD_PUSH + l] if frozen else value
        m[HELD_PUSH + l] = held
        pushed[l] = held if m[PUSH_READS + l] <= HEALTHY else m[PUSH_READS + l]


def _is_disturbed(lanes, push, draw, p, m):
    """Tell whether power comes or goes, or may, where all was settled."""
    some = NO_WHOLE
    for l in range(lanes):
        volts = m[SOURCE + l] - p[RESISTANCE + l] * (p[OWN_DRAW + l] + draw[l])
        cut = (m[CUT + l] > NONE) | (volts < p[BROWNOUT + l])
        shaken = abs(push[l]) > p[OPENS_AT + l]
        changed = cut ^ (m[WAS_CUT + l] > NONE)
        some = np.int32(some | (ONE_WHOLE if shaken | changed else NO_WHOLE))
    return some != NO_WHOLE


def _supply(lanes, k, push, draw, p, m):
    """See whether the controller has power, since when, and what its clock says."""
    number, before = np.float32(k), np.float32(k - 1)
    for l in range(lanes):
        first_at, step, start_up = p[FIRST_AT + l], p[STEP + l], p[START_UP + l]
        t = first_at + number * step
        # Nobody has looked since all was settled; who was cut then has been so until just now.
        ready = m[READY_AT + l]
        ready = first_at + before * step + start_up if m[WAS_CUT + l] > NONE else ready
        shaken = abs(push[l]) > p[OPENS_AT + l]
        again = t + p[OPEN_FOR + l] if shaken else m[OPEN_AGAIN + l]
        m[OPEN_AGAIN + l] = again
        volts = m[SOURCE + l] - p[RESISTANCE + l] * (p[OWN_DRAW + l] + draw[l])
        held_down = (m[CUT + l] > NONE) | (volts < p[BROWNOUT + l])
        cut = held_down | (t < again)
        ready = t + start_up if cut else ready
        m[READY_AT + l] = ready
        runs = (t >= ready - SLACK * step) & (not cut)
        anew = runs & (m[WAS_ALIVE + l] <= NONE)
        m[ZERO_SAMPLE + l] = number if anew else m[ZERO_SAMPLE + l]
        m[WAS_CUT + l] = ONE if held_down else NONE
        m[WAS_ALIVE + l] = ONE if runs else NONE
        m[RESTART_NOW + l] = ONE if anew else NONE


def _is_settled(lanes, m):
    """Tell whether each controller runs, or is cut by what lasts."""
    some = NO_WHOLE
    for l in range(lanes):
        unsure = (m[WAS_ALIVE + l] <= NONE) & (m[WAS_CUT + l] <= NONE)
        unsure = unsure | (m[RESTART_NOW + l] > NONE)
        some = np.int32(some | (ONE_WHOLE if unsure else NO_WHOLE))
    return np.float32(ONE_WHOLE - some)
