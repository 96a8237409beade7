"""What is in force in the instruments of LANES cases, from one edge of a window to the next.

Windows open and close a few times in a flight. Only then is it looked at which of them are open;
what comes of that stands in rows of memory, which is all that a sample has to read.
"""

import numpy as np

from loftwright.instruments.kernel.slots import (
    BUMP,
    BUMP_FROM,
    BUMP_NOW,
    BUMP_UNTIL,
    BUMPS,
    BURST,
    BURST_FROM,
    BURST_UNTIL,
    BURSTS,
    CUT,
    DRIFT,
    EDGE_SAMPLE,
    EVERY,
    FAIL_FROM,
    FAIL_READS,
    FAIL_UNTIL,
    FAILS,
    FAR,
    FIRST_AT,
    FLAT_FROM,
    FLAT_VOLTAGE,
    FREEZE_FROM,
    FREEZE_UNTIL,
    FREEZES,
    FRESH,
    GAINED,
    GUST,
    GUST_FROM,
    GUST_NOW,
    GUST_UNTIL,
    GUSTS,
    HEATING,
    LEAK,
    LEAK_FROM,
    LEAK_UNTIL,
    LEAKS,
    LINE_CLOSES,
    LINE_OPEN,
    LINE_OPENS,
    LOUD,
    NEXT_EDGE,
    NOISE,
    NOT_FAILING,
    OPEN_FROM,
    OPEN_UNTIL,
    OPENS,
    PUSH_FAIL_FROM,
    PUSH_FAIL_READS,
    PUSH_FAIL_UNTIL,
    PUSH_FAILS,
    PUSH_FREEZE_FROM,
    PUSH_FREEZE_UNTIL,
    PUSH_FREEZES,
    PUSH_READS,
    READS,
    RESET_FROM,
    RESET_UNTIL,
    RESETS,
    SINCE,
    SLOW,
    SOURCE,
    STEP,
    VOLTAGE,
    WARM_UNTIL,
    WARMING,
    WARMTH,
)

__all__ = ["renew", "warm"]

EXACT = True  # see `sense`

WINDOWS = (
    (GUST_FROM, GUST_UNTIL, GUSTS),
    (LEAK_FROM, LEAK_UNTIL, LEAKS),
    (BURST_FROM, BURST_UNTIL, BURSTS),
    (FREEZE_FROM, FREEZE_UNTIL, FREEZES),
    (FAIL_FROM, FAIL_UNTIL, FAILS),
    (PUSH_FREEZE_FROM, PUSH_FREEZE_UNTIL, PUSH_FREEZES),
    (PUSH_FAIL_FROM, PUSH_FAIL_UNTIL, PUSH_FAILS),
    (BUMP_FROM, BUMP_UNTIL, BUMPS),
    (OPEN_FROM, OPEN_UNTIL, OPENS),
    (RESET_FROM, RESET_UNTIL, RESETS),
    (LINE_OPENS, LINE_CLOSES, LINE_OPEN),
)

NONE, ONE = np.float32(0.0), np.float32(1.0)
NEVER = np.float32(FAR)
HEALTHY = np.float32(NOT_FAILING)
LATEST = np.float32(2**30)  # sample, later than any; exact in single precision
NO_WHOLE, ONE_WHOLE = np.int32(0), np.int32(1)
ROWS = 2**31 - 1  # what a row's place is masked by, for the compiler to know it not negative


def renew(lanes, k, p, m, line):
    """Find what is in force in sample ``k``, and by when to look again; write the line."""
    _begin(lanes, k, p, m)
    for begins, ends, opens in WINDOWS:
        _window(lanes, begins & ROWS, ends & ROWS, opens & ROWS, p, m)
    _outside(lanes, p, m)
    _barometer(lanes, p, m)
    _accelerometer(lanes, p, m)
    _supply(lanes, p, m)
    for l in range(lanes):
        line[l] = np.int32(m[LINE_OPEN + l])
    warm(lanes, k, p, m)
    m[WARMING] = _is_warming(lanes, p, m)
    m[SLOW] = _is_slow(lanes, p)
    m[EDGE_SAMPLE] = _edge_sample(lanes, p, m)


def warm(lanes, k, p, m):
    """Let barometers drift while they warm up."""
    number = np.float32(k)
    for l in range(lanes):
        t = p[FIRST_AT + l] + number * p[STEP + l]
        warm_for = p[WARM_UNTIL + l] if t > p[WARM_UNTIL + l] else t
        m[WARMTH + l] = p[DRIFT + l] * (warm_for - p[FIRST_AT + l])


def _begin(lanes, k, p, m):
    number = np.float32(k)
    for l in range(lanes):
        t = p[FIRST_AT + l] + number * p[STEP + l]
        edge = p[WARM_UNTIL + l] if t < p[WARM_UNTIL + l] else NEVER
        flat = p[FLAT_FROM + l]
        m[SINCE + l] = t
        m[NEXT_EDGE + l] = flat if (t < flat) & (flat < edge) else edge


def _window(lanes, begins, ends, opens, p, m):
    for l in range(lanes):
        t, edge, begin, end = m[SINCE + l], m[NEXT_EDGE + l], p[begins + l], p[ends + l]
        m[opens + l] = ONE if (t >= begin) & (t < end) else NONE
        edge = begin if (t < begin) & (begin < edge) else edge
        m[NEXT_EDGE + l] = end if (t < end) & (end < edge) else edge


def _outside(lanes, p, m):
    for l in range(lanes):
        m[GUST_NOW + l] = p[GUST + l] if m[GUSTS + l] > NONE else NONE
        gained = p[LEAK + l] if m[LEAKS + l] > NONE else NONE
        m[GAINED + l] = gained + (p[HEATING + l] if m[SINCE + l] < p[WARM_UNTIL + l] else NONE)


def _barometer(lanes, p, m):
    for l in range(lanes):
        m[LOUD + l] = p[NOISE + l] * (p[BURST + l] if m[BURSTS + l] > NONE else ONE)
        m[FRESH + l] = ONE - m[FREEZES + l]
        m[READS + l] = p[FAIL_READS + l] if m[FAILS + l] > NONE else HEALTHY


def _accelerometer(lanes, p, m):
    for l in range(lanes):
        m[BUMP_NOW + l] = p[BUMP + l] if m[BUMPS + l] > NONE else NONE
        m[PUSH_READS + l] = p[PUSH_FAIL_READS + l] if m[PUSH_FAILS + l] > NONE else HEALTHY


def _supply(lanes, p, m):
    for l in range(lanes):
        m[SOURCE + l] = p[FLAT_VOLTAGE + l] if m[SINCE + l] >= p[FLAT_FROM + l] else p[VOLTAGE + l]
        m[CUT + l] = ONE if m[OPENS + l] + m[RESETS + l] > NONE else NONE


def _is_warming(lanes, p, m):
    some = NO_WHOLE
    for l in range(lanes):
        warms = (m[SINCE + l] < p[WARM_UNTIL + l]) & (p[DRIFT + l] != NONE)
        some = np.int32(some | (ONE_WHOLE if warms else NO_WHOLE))
    return np.float32(some)


def _is_slow(lanes, p):
    """Tell whether any sensor gives values less often than samples are taken."""
    some = NO_WHOLE
    for l in range(lanes):
        slow = p[EVERY + l] > p[STEP + l]
        some = np.int32(some | (ONE_WHOLE if slow else NO_WHOLE))
    return np.float32(some)


def _edge_sample(lanes, p, m):
    """Return a sample by which no window has an edge that has not been seen.

    The quotient may be off by a sample for what is rounded. So the search begins two early, and
    goes on to the first sample that is not before the edge; it may stop too early, never too late.
    """
    earliest = np.int32(LATEST)
    for l in range(lanes):
        first, step, edge = p[FIRST_AT + l], p[STEP + l], m[NEXT_EDGE + l]
        number = np.floor((edge - first) / step) - ONE
        number = LATEST if number > LATEST else number
        number += ONE if first + number * step < edge else NONE
        number += ONE if first + number * step < edge else NONE
        number += ONE if first + number * step < edge else NONE
        earliest = min(earliest, np.int32(number))
    return np.float32(earliest)
