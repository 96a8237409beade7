"""Height and climb of LANES controllers from their readings of pressure: see ``decide``.

In two short loops rather than one: with few rows in each the compiler can tell that they do not
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
)
from loftwright.program.table import Estimator

__all__ = ["estimate"]

RAW, FILTER = int(Estimator.RAW), int(Estimator.FILTER)
NO, YES = np.int32(0), np.int32(1)


def estimate(lanes, ints, floats, whole, single, pressure, alive):
    """Bring height and climb up to date in every lane."""
    _measure(lanes, floats, whole, single, pressure, alive)
    estimator = ints[ESTIMATOR]
    if estimator == RAW:
        _raw(lanes, floats, whole, single)
    elif estimator == FILTER:
        _filter(lanes, floats, whole, single)
    else:
        _track(lanes, floats, whole, single, alive)


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
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        measured = single[MEASURED + lane]
        rate = (measured - before) / seconds
        single[CLIMB + lane] = rate if good & had else climb
        height = measured if good else before
        single[HEIGHT + lane] = height
        single[HIGHEST + lane] = _higher(single[HIGHEST + lane], height, had | good)
        whole[HAS_HEIGHT + lane] = YES if had | good else NO


def _filter(lanes, floats, whole, single):
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        measured = single[MEASURED + lane]
        height = before + height_gain * (measured - before)
        rate = (height - before) / seconds
        turned = climb + climb_gain * (rate - climb)
        height = height if had else measured
        single[CLIMB + lane] = turned if good & had else climb
        height = height if good else before
        single[HEIGHT + lane] = height
        single[HIGHEST + lane] = _higher(single[HIGHEST + lane], height, had | good)
        whole[HAS_HEIGHT + lane] = YES if had | good else NO


def _track(lanes, floats, whole, single, alive):
    height_gain, climb_gain, seconds = floats[HEIGHT_GAIN], floats[CLIMB_GAIN], floats[SECONDS]
    for lane in range(lanes):
        good, had = whole[GOOD + lane] != 0, whole[HAS_HEIGHT + lane] != 0
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        measured = single[MEASURED + lane]
        ahead = before + climb * seconds
        off = measured - ahead
        turned = climb + climb_gain * off
        mended = ahead + height_gain * off
        height = ahead if had & (alive[lane] != 0) else before
        height = mended if good & had else height
        height = height if had | (not good) else measured
        single[CLIMB + lane] = turned if good & had else climb
        single[HEIGHT + lane] = height
        single[HIGHEST + lane] = _higher(single[HIGHEST + lane], height, had | good)
        whole[HAS_HEIGHT + lane] = YES if had | good else NO


def _higher(highest, height, has):
    return height if has & (height > highest) else highest
