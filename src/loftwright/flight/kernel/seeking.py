"""Finding the moment of an event within a step."""

from loftwright.flight.kernel.airloads import meet_air
from loftwright.flight.kernel.events import upcoming
from loftwright.flight.kernel.holding import hold_item, least_spare
from loftwright.flight.kernel.loading import lane_load
from loftwright.flight.kernel.rates import surroundings
from loftwright.flight.kernel.slots import (
    CANOPY_PHASE,
    ITEM,
)
from loftwright.flight.kernel.stepper import interpolate, slopes

__all__ = ["locate", "look"]

STANDALONE = True  # too large to be copied into every caller


def look(phase, items, rows, share, t, h, y, p, shapes, k, lane, w, trial, slope):
    """Distance to the nearest event at a share of the step, holds that give way included.

    Leaves the state there in ``trial``, its rates in ``slope`` and the holds' use in ``p``.
    """
    interpolate(rows, share, h, y, k, lane, w, trial)
    slopes(rows, share, k, lane, w, slope)
    value, _which = upcoming(phase, items, t + share * h, trial, p, shapes, lane)
    if items > 0 and phase < CANOPY_PHASE:
        surroundings(t + share * h, trial, p, lane)
        lane_load(phase, items, trial, p, lane)
        meet_air(trial, p, lane)
        for item in range(items):
            hold_item(item * ITEM, trial, slope, p, lane)
        spare, _item = least_spare(items, p, lane)
        value = min(value, spare)
    return value


def locate(phase, items, rows, t, h, y, p, shapes, k, lane, w, trial, slope, before, after):
    """Share of the step at which the nearest event happens (Illinois on the interpolant).

    The share returned lies at or just after the root, so that the event reads as come.
    """
    low, high = 0.0, 1.0
    f_low, f_high = before, after
    side = 0
    for _ in range(60):
        if high - low < 1e-13:
            break
        share = (low * f_high - high * f_low) / (f_high - f_low)
        if not (low < share < high):
            share = 0.5 * (low + high)
        value = look(phase, items, rows, share, t, h, y, p, shapes, k, lane, w, trial, slope)
        if value > 0.0:
            low, f_low = share, value
            f_high = 0.5 * f_high if side == 1 else f_high
            side = 1
        else:
            high, f_high = share, value
            f_low = 0.5 * f_low if side == -1 else f_low
            side = -1
            if value == 0.0:
                break
    return high
