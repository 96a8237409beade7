"""Height and climb of LANES controllers from their readings of pressure: see ``decide``.

In several short loops rather than one: with few rows in each the compiler can tell that they do not
overlap, and what is chosen in one does not split the arithmetic of the next into branches.
"""

import numpy as np

from loftwright.program.kernel.slots import (
    C0,
    C1,
    C2,
    C3,
    C4,
    C5,
    CLIMB,
    CLIMB_GAIN,
    ESTIMATOR,
    GOOD,
    HAS_HEIGHT,
    HEIGHT,
    HEIGHT_GAIN,
    HIGHEST,
    IS_GROUND,
    LEAST,
    MEASURED,
    MOST,
    REFERENCE,
    REFERENCE_GAIN,
    SECONDS,
    SEEN,
    SEEN_CLIMB,
    SEEN_DROP,
    SEEN_PRESSURE,
    SEEN_PUSH,
    SEEN_SWITCH,
    UNKNOWN,
)
from loftwright.program.table import Estimator

__all__ = ["estimate"]

RAW, FILTER = int(Estimator.RAW), int(Estimator.FILTER)


def estimate(lanes, ints, floats, whole, single, pressure, pushed, line, alive):
    """Bring height and climb up to date in every lane, and set out what conditions see."""
    _measure(lanes, floats, whole, single, pressure, alive)
    estimator = ints[ESTIMATOR]
    if estimator == RAW:
        _raw(lanes, floats, whole, single)
    elif estimator == FILTER:
        _filter(lanes, floats, whole, single)
    else:
        _track(lanes, floats, whole, single, alive)
    _look(lanes, floats, whole, single, pressure, pushed, line)


def _measure(lanes, floats, whole, single, pressure, alive):
    """Tell good readings from others, follow the pressure on the ground, and read the height.

    The height above where the reference was read is a series in x, the share of the reference by
    which the pressure has fallen.
    """
    least, most, gain = floats[LEAST], floats[MOST], floats[REFERENCE_GAIN]
    c0, c1, c2 = floats[C0], floats[C1], floats[C2]
    c3, c4, c5 = floats[C3], floats[C4], floats[C5]
    for lane in range(lanes):
        p, reference = pressure[lane], single[REFERENCE + lane]
        good = (p >= least) & (p <= most) & (alive[lane] != 0)
        first = good & (whole[HAS_HEIGHT + lane] == 0)
        ground = good & (whole[HAS_HEIGHT + lane] != 0) & (whole[IS_GROUND + lane] != 0)
        followed = reference + gain * (p - reference)
        reference = followed if ground else reference
        reference = p if first else reference
        x = (reference - p) / reference
        height = c4 + x * c5
        height = c3 + x * height
        height = c2 + x * height
        height = c1 + x * height
        height = c0 + x * height
        single[REFERENCE + lane] = reference
        single[MEASURED + lane] = x * height
        whole[GOOD + lane] = 1 if good else 0


def _raw(lanes, floats, whole, single):
    seconds = floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb, measured = (
            single[HEIGHT + lane],
            single[CLIMB + lane],
            single[MEASURED + lane],
        )
        rate = (measured - before) / seconds
        single[CLIMB + lane] = rate if good & had else climb
        single[HEIGHT + lane] = measured if good else before
        whole[HAS_HEIGHT + lane] |= whole[GOOD + lane]


def _filter(lanes, floats, whole, single):
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb, measured = (
            single[HEIGHT + lane],
            single[CLIMB + lane],
            single[MEASURED + lane],
        )
        height = before + height_gain * (measured - before)
        rate = (height - before) / seconds
        turned = climb + climb_gain * (rate - climb)
        height = height if had else measured
        single[CLIMB + lane] = turned if good & had else climb
        single[HEIGHT + lane] = height if good else before
        whole[HAS_HEIGHT + lane] |= whole[GOOD + lane]


def _track(lanes, floats, whole, single, alive):
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb, measured = (
            single[HEIGHT + lane],
            single[CLIMB + lane],
            single[MEASURED + lane],
        )
        ahead = before + climb * seconds
        off = measured - ahead
        turned = climb + climb_gain * off
        mended = ahead + height_gain * off
        height = ahead if had & (alive[lane] != 0) else before
        height = mended if good & had else height
        height = height if had | (not good) else measured
        single[CLIMB + lane] = turned if good & had else climb
        single[HEIGHT + lane] = height
        whole[HAS_HEIGHT + lane] |= whole[GOOD + lane]


def _look(lanes, floats, whole, single, pressure, pushed, line):
    """Keep the greatest height, and set out what conditions see."""
    unknown = floats[UNKNOWN]
    for lane in range(lanes):
        height, climb, highest = single[HEIGHT + lane], single[CLIMB + lane], single[HIGHEST + lane]
        has = whole[HAS_HEIGHT + lane] != 0
        highest = height if has & (height > highest) else highest
        drop = highest - height
        single[HIGHEST + lane] = highest
        single[SEEN + lane] = height if has else unknown
        single[SEEN_CLIMB + lane] = climb if has else unknown
        single[SEEN_DROP + lane] = drop if has else unknown
        single[SEEN_PRESSURE + lane] = pressure[lane]
        single[SEEN_PUSH + lane] = pushed[lane]
        single[SEEN_SWITCH + lane] = np.float32(line[lane])
