"""Height and climb of LANES controllers from their readings of pressure: see ``decide``."""

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
    HAS_HEIGHT,
    HEIGHT,
    HEIGHT_GAIN,
    HIGHEST,
    IS_GROUND,
    LEAST,
    MOST,
    REFERENCE,
    REFERENCE_GAIN,
    SECONDS,
    SEEN_CLIMB,
    SEEN_DROP,
    SEEN_HEIGHT,
    UNKNOWN,
)
from loftwright.program.table import Estimator

__all__ = ["estimate"]

EXACT = True  # see `decide`

RAW, FILTER = int(Estimator.RAW), int(Estimator.FILTER)
NO, YES = np.int32(0), np.int32(1)


def estimate(lanes, ints, floats, whole, single, pressure, alive):
    """Bring height and climb of every lane up to date, and what conditions see of them."""
    kind = ints[ESTIMATOR]
    if kind == RAW:
        _raw(lanes, floats, whole, single, pressure, alive)
    elif kind == FILTER:
        _filter(lanes, floats, whole, single, pressure, alive)
    else:
        _track(lanes, floats, whole, single, pressure, alive)


def _raw(lanes, floats, whole, single, pressure, alive):
    seconds, limits, gain, series, unknown = _constants(floats)
    for lane in range(lanes):
        p, had = pressure[lane], whole[HAS_HEIGHT + lane] != 0
        good = _is_good(p, limits) & (alive[lane] != 0)
        ground = whole[IS_GROUND + lane] != 0
        reference = _followed(p, single[REFERENCE + lane], gain, good, had, ground)
        measured = _height(p, reference, series)
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        rate = (measured - before) / seconds
        climb = rate if good & had else climb
        height = measured if good else before
        single[REFERENCE + lane] = reference
        _keep(lane, height, climb, had | good, unknown, whole, single)


def _filter(lanes, floats, whole, single, pressure, alive):
    seconds, limits, gain, series, unknown = _constants(floats)
    height_gain, climb_gain = floats[HEIGHT_GAIN], floats[CLIMB_GAIN]
    for lane in range(lanes):
        p, had = pressure[lane], whole[HAS_HEIGHT + lane] != 0
        good = _is_good(p, limits) & (alive[lane] != 0)
        ground = whole[IS_GROUND + lane] != 0
        reference = _followed(p, single[REFERENCE + lane], gain, good, had, ground)
        measured = _height(p, reference, series)
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        height = before + height_gain * (measured - before)
        rate = (height - before) / seconds
        turned = climb + climb_gain * (rate - climb)
        climb = turned if good & had else climb
        height = height if had else measured
        height = height if good else before
        single[REFERENCE + lane] = reference
        _keep(lane, height, climb, had | good, unknown, whole, single)


def _track(lanes, floats, whole, single, pressure, alive):
    seconds, limits, gain, series, unknown = _constants(floats)
    height_gain, climb_gain = floats[HEIGHT_GAIN], floats[CLIMB_GAIN]
    for lane in range(lanes):
        p, had, awake = pressure[lane], whole[HAS_HEIGHT + lane] != 0, alive[lane] != 0
        good = _is_good(p, limits) & awake
        ground = whole[IS_GROUND + lane] != 0
        reference = _followed(p, single[REFERENCE + lane], gain, good, had, ground)
        measured = _height(p, reference, series)
        before, climb = single[HEIGHT + lane], single[CLIMB + lane]
        ahead = before + climb * seconds
        off = measured - ahead
        turned = climb + climb_gain * off
        mended = ahead + height_gain * off
        height = ahead if had & awake else before
        height = mended if good & had else height
        height = height if had | (not good) else measured
        climb = turned if good & had else climb
        single[REFERENCE + lane] = reference
        _keep(lane, height, climb, had | good, unknown, whole, single)


def _constants(floats):
    limits = (floats[LEAST], floats[MOST])
    series = (floats[C0], floats[C1], floats[C2], floats[C3], floats[C4], floats[C5])
    return floats[SECONDS], limits, floats[REFERENCE_GAIN], series, floats[UNKNOWN]


def _is_good(p, limits):
    least, most = limits
    return (p >= least) & (p <= most)


def _followed(p, reference, gain, good, had, ground):
    """Follow the pressure on the ground, from the first good reading on."""
    followed = reference + gain * (p - reference)
    reference = followed if good & had & ground else reference
    return p if good & (not had) else reference


def _height(p, reference, series):
    """Read the height above where the reference was read.

    It is a series in x, the share of the reference by which the pressure has fallen.
    """
    c0, c1, c2, c3, c4, c5 = series
    x = (reference - p) / reference
    height = c4 + x * c5
    height = c3 + x * height
    height = c2 + x * height
    height = c1 + x * height
    height = c0 + x * height
    return x * height


def _keep(lane, height, climb, has, unknown, whole, single):
    """Keep the estimate, and the greatest height; conditions see nothing before there is one."""
    highest = single[HIGHEST + lane]
    highest = height if has & (height > highest) else highest
    drop = highest - height
    single[HEIGHT + lane] = height
    single[CLIMB + lane] = climb
    single[HIGHEST + lane] = highest
    single[SEEN_HEIGHT + lane] = height if has else unknown
    single[SEEN_CLIMB + lane] = climb if has else unknown
    single[SEEN_DROP + lane] = drop if has else unknown
    whole[HAS_HEIGHT + lane] = YES if has else NO
