"""What the sensors of LANES cases show in one sample, and whether their controllers run.

Straight-line code, one lane like the next, without a branch: each part of an instrument is a loop
over lanes that compilers turn into vector instructions. Few arrays take part in each loop, so that
they need not be told apart at length before it runs. Every operation is single precision.
"""

import numpy as np

from loftwright.instruments.kernel.slots import (
    AGE,
    ALIVE_NOW,
    BEGUN,
    BROWNOUT,
    BUMP,
    BUMP_FROM,
    BUMP_UNTIL,
    BURST,
    BURST_FROM,
    BURST_UNTIL,
    DRIFT,
    DROP_ABOVE,
    EVERY,
    EXCESS,
    FAIL_FROM,
    FAIL_READS,
    FAIL_UNTIL,
    FILTERED,
    FINENESS,
    FIRST_AT,
    FLAT_FROM,
    FLAT_VOLTAGE,
    FREEZE_FROM,
    FREEZE_UNTIL,
    GUST,
    GUST_FROM,
    GUST_UNTIL,
    HEATING,
    HELD,
    HELD_PUSH,
    JITTER,
    LANES,
    LAST_BAY,
    LAST_PORT,
    LEAK,
    LEAK_FROM,
    LEAK_UNTIL,
    LEAST,
    LINE_CLOSES,
    LINE_OPENS,
    MOST,
    NOISE,
    NOISE_LUCK,
    NOISE_PRESSURE,
    NOISE_PUSH,
    NOW_MS,
    OPEN_AGAIN,
    OPEN_FOR,
    OPEN_FROM,
    OPEN_UNTIL,
    OPENS_AT,
    OVER,
    OWN_DRAW,
    PORT_FLOW,
    PUSH_BIAS,
    PUSH_FAIL_FROM,
    PUSH_FAIL_READS,
    PUSH_FAIL_UNTIL,
    PUSH_FREEZE_FROM,
    PUSH_FREEZE_UNTIL,
    PUSH_NOISE,
    PUSH_RANGE,
    READY_AT,
    REPEAT_ABOVE,
    RESET_FROM,
    RESET_UNTIL,
    RESISTANCE,
    RESOLUTION,
    RESTART_NOW,
    SHARE,
    START_UP,
    STEP,
    STEP_MS,
    UNDER,
    VOLTAGE,
    WARM_UNTIL,
    WAS_ALIVE,
    ZERO_SAMPLE,
)

__all__ = ["begin", "sense"]

# Not a bit of what comes out may depend on the machine.
EXACT = True

NONE, HALF, ONE, TWO, FOUR = (np.float32(each) for each in (0.0, 0.5, 1.0, 2.0, 4.0))
NOTHING = np.float32(np.nan)
NO_WHOLE, ONE_WHOLE = np.int32(0), np.int32(1)
TINY = np.float32(1e-20)  # keeps nothing over nothing away
# A share of a sample by which times that were rounded may miss a mark that they stand on.
SLACK = np.float32(1e-2)


def begin(p, m):
    """Set the memory of LANES cases to what it is when their controllers are switched on."""
    for l in range(LANES):
        m[LAST_PORT + l] = NONE
        m[EXCESS + l] = NONE
        m[LAST_BAY + l] = NONE
        m[FILTERED + l] = NONE
        m[HELD + l] = NONE
        m[AGE + l] = p[EVERY + l] - p[STEP + l]
        m[BEGUN + l] = NONE
        m[HELD_PUSH + l] = NONE
        m[OPEN_AGAIN + l] = p[FIRST_AT + l] - ONE
        m[READY_AT + l] = p[FIRST_AT + l] - ONE
        m[WAS_ALIVE + l] = ONE
        m[ZERO_SAMPLE + l] = NONE


def sense(k, port, push, noise, draw, p, m, pressure, pushed, line, now, alive, restart):
    """Take sample ``k`` of LANES cases.

    Parameters
    ----------
    k : int
        Number of the sample, 0 at power-up of the controllers.
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
    line, now, alive, restart : int32 arrays (LANES,)
        Written: 1 where the line is open; ms by the controller's clock; 1 where it runs; 1 where
        it runs anew from this sample on, and its clock with it.
    """
    _bay(k, port, p, m)
    _barometer(k, noise, p, m, pressure)
    _accelerometer(k, push, noise, p, m, pushed)
    _line(k, p, line)
    _supply(k, push, draw, p, m)
    for l in range(LANES):
        now[l] = np.int32(m[NOW_MS + l])
        alive[l] = np.int32(m[ALIVE_NOW + l])
        restart[l] = np.int32(m[RESTART_NOW + l])


def _bay(k, port, p, m):
    """Let the bay breathe: one implicit step of its balance of mass, in closed form.

    With x the bay's excess over the vents, x + K sign(x) sqrt|x| is what x would be had nothing
    flowed through the vents since the last sample.
    """
    number = np.float32(k)
    for l in range(LANES):
        t = p[FIRST_AT + l] + number * p[STEP + l]
        blows = (t >= p[GUST_FROM + l]) & (t < p[GUST_UNTIL + l])
        outside = port[l] + (p[GUST + l] if blows else NONE)
        leaks = (t >= p[LEAK_FROM + l]) & (t < p[LEAK_UNTIL + l])
        gained = p[LEAK + l] if leaks else NONE
        gained += p[HEATING + l] if t < p[WARM_UNTIL + l] else NONE
        closed = m[EXCESS + l] + (m[LAST_PORT + l] - outside) + gained
        closed = closed if m[BEGUN + l] > NONE else NONE
        size = abs(closed)
        flow = p[PORT_FLOW + l]
        root = TWO * size / (flow + np.sqrt(flow * flow + FOUR * size) + TINY)
        excess = root * root
        m[EXCESS + l] = excess if closed >= NONE else -excess
        m[LAST_PORT + l] = outside


def _barometer(k, noise, p, m, pressure):
    """Take the bay's pressure as the sensor does: late, warm, noisy, filtered, in steps."""
    number = np.float32(k)
    for l in range(LANES):
        step = p[STEP + l]
        t = p[FIRST_AT + l] + number * step
        luck = noise[NOISE_LUCK + l]
        first = m[BEGUN + l] <= NONE
        bay = m[LAST_PORT + l] + m[EXCESS + l]
        change = NONE if first else bay - m[LAST_BAY + l]
        m[LAST_BAY + l] = bay
        taken = bay + change * (luck * p[JITTER + l])
        warm = p[WARM_UNTIL + l] if t > p[WARM_UNTIL + l] else t
        bursts = (t >= p[BURST_FROM + l]) & (t < p[BURST_UNTIL + l])
        loud = p[NOISE + l] * (p[BURST + l] if bursts else ONE)
        value = taken + p[DRIFT + l] * (warm - p[FIRST_AT + l])
        value += loud * noise[NOISE_PRESSURE + l]
        # Is there a new value, and does it get through the sensor's own filter and its range?
        age = m[AGE + l] + step
        due = age >= p[EVERY + l] - SLACK * step
        rest = age - p[EVERY + l]
        rest = p[EVERY + l] if rest > p[EVERY + l] else rest
        m[AGE + l] = rest if due else age
        frozen = (t >= p[FREEZE_FROM + l]) & (t < p[FREEZE_UNTIL + l])
        frozen = frozen | (luck > p[REPEAT_ABOVE + l])
        fresh = (due & (not frozen)) | first
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
        fails = (t >= p[FAIL_FROM + l]) & (t < p[FAIL_UNTIL + l])
        pressure[l] = p[FAIL_READS + l] if fails else read


def _accelerometer(k, push, noise, p, m, pushed):
    """Read the push along the axis."""
    number = np.float32(k)
    for l in range(LANES):
        t = p[FIRST_AT + l] + number * p[STEP + l]
        bumped = (t >= p[BUMP_FROM + l]) & (t < p[BUMP_UNTIL + l])
        value = push[l] + (p[BUMP + l] if bumped else NONE)
        value += p[PUSH_BIAS + l] + p[PUSH_NOISE + l] * noise[NOISE_PUSH + l]
        value = p[PUSH_RANGE + l] if value > p[PUSH_RANGE + l] else value
        value = -p[PUSH_RANGE + l] if value < -p[PUSH_RANGE + l] else value
        frozen = (t >= p[PUSH_FREEZE_FROM + l]) & (t < p[PUSH_FREEZE_UNTIL + l])
        frozen = frozen & (m[BEGUN + l] > NONE)
        held = m[HELD_PUSH + l] if frozen else value
        m[HELD_PUSH + l] = held
        fails = (t >= p[PUSH_FAIL_FROM + l]) & (t < p[PUSH_FAIL_UNTIL + l])
        pushed[l] = p[PUSH_FAIL_READS + l] if fails else held


def _line(k, p, line):
    """Look whether the line that opens at liftoff is open."""
    number = np.float32(k)
    for l in range(LANES):
        t = p[FIRST_AT + l] + number * p[STEP + l]
        opened = (t >= p[LINE_OPENS + l]) & (t < p[LINE_CLOSES + l])
        line[l] = ONE_WHOLE if opened else NO_WHOLE


def _supply(k, push, draw, p, m):
    """See whether the controller has power, since when, and what its clock says."""
    number = np.float32(k)
    for l in range(LANES):
        t = p[FIRST_AT + l] + number * p[STEP + l]
        shaken = abs(push[l]) > p[OPENS_AT + l]
        again = t + p[OPEN_FOR + l] if shaken else m[OPEN_AGAIN + l]
        m[OPEN_AGAIN + l] = again
        open_now = (t >= p[OPEN_FROM + l]) & (t < p[OPEN_UNTIL + l])
        held_down = (t >= p[RESET_FROM + l]) & (t < p[RESET_UNTIL + l])
        source = p[FLAT_VOLTAGE + l] if t >= p[FLAT_FROM + l] else p[VOLTAGE + l]
        volts = source - p[RESISTANCE + l] * (p[OWN_DRAW + l] + draw[l])
        cut = (t < again) | open_now | held_down | (volts < p[BROWNOUT + l])
        ready = t + p[START_UP + l] if cut else m[READY_AT + l]
        m[READY_AT + l] = ready
        runs = (t >= ready - SLACK * p[STEP + l]) & (not cut)
        anew = runs & (m[WAS_ALIVE + l] <= NONE)
        begun = number if anew else m[ZERO_SAMPLE + l]
        m[ZERO_SAMPLE + l] = begun
        m[NOW_MS + l] = (number - begun) * p[STEP_MS + l]
        m[RESTART_NOW + l] = ONE if anew else NONE
        m[ALIVE_NOW + l] = ONE if runs else NONE
        m[WAS_ALIVE + l] = ONE if runs else NONE
        m[BEGUN + l] = ONE
