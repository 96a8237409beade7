"""A first look at a record: where about the flight begins, turns over and ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["bursts", "ends_about", "running_median", "top_about"]

Floats = NDArray[np.float64]
# No vehicle goes up and comes back within less: what does is pressure, not height.
TURNS = 0.8  # s, of the window; a burst may fill half of it
BURST_NOISE, BURST = 6.0, 2.5  # times the noise, and m, that a burst is at least off
SETTLED = 0.9  # s after liftoff, until when the push changes faster than that
LEAST_WINDOW = 5  # readings
STILL = 0.35  # m/s: slower than any canopy brings a bottle down
STILL_FOR = 3.0  # s
BLOCK = 0.2  # s
LAST = 0.3  # s
NEAR_TOP = 0.2  # of the height: what hangs there has not landed


def running_median(values: Floats, width: int) -> Floats:
    """Median over ``width`` (odd) neighbours; the ends keep theirs."""
    if width < 3 or len(values) < width:
        return values
    from scipy.ndimage import median_filter

    found: Floats = median_filter(values, size=width, mode="nearest")
    return found


def bursts(time: Floats, height: Floats, liftoff: float, noise: float) -> NDArray[np.bool_]:
    """Tell readings that go off the height and come back sooner than any vehicle could.

    In a climb or a fall the median of a window is its middle, however fast; so what differs from
    that is a turn, and one within a fraction of a second is none of the vehicle.
    """
    every = float(np.median(np.diff(time))) if len(time) > 1 else 1.0
    width = 2 * int(0.5 * TURNS / every) + 1
    if width < LEAST_WINDOW:
        return np.zeros(len(time), bool)
    off = np.abs(height - running_median(height, width))
    late = (time > liftoff + SETTLED) | (time < liftoff - SETTLED)
    return np.asarray(late & (off > max(BURST_NOISE * noise, BURST)))


def top_about(time: Floats, height: Floats, liftoff: float) -> float:
    """When the height is greatest after liftoff [s], single readings and short bursts left out."""
    after = time > liftoff + 0.3
    if not after.any():
        return float(time[-1])
    time, height = time[after], height[after]
    every = float(np.median(np.diff(time))) if len(time) > 1 else 1.0
    width = 2 * int(0.25 / every / 2.0 + 0.5) + 1
    return float(time[int(np.argmax(running_median(height, max(width, 3))))])


def ends_about(time: Floats, height: Floats, top: float, noise: float) -> float | None:
    """When it has come to rest after the top [s]; None where the record ends before that."""
    after = time >= top
    if after.sum() < 8:
        return None
    time, height = time[after], height[after]
    place = np.floor((time - time[0]) / BLOCK).astype(int)
    starts = np.flatnonzero(np.diff(place, prepend=-1))
    centre = np.array([np.median(each) for each in np.split(time, starts[1:])])
    level = np.array([np.median(each) for each in np.split(height, starts[1:])])
    tall = float(level.max())
    for k in range(len(centre)):
        later = (centre >= centre[k]) & (centre <= centre[k] + STILL_FOR)
        if centre[-1] - centre[k] < min(STILL_FOR, 1.0) or later.sum() < 4:
            return _back_at_the_pad(time, height, noise)
        if level[k] > (1.0 - NEAR_TOP) * tall:
            continue
        slope = np.polyfit(centre[later], level[later], 1)[0]
        if abs(slope) < STILL and np.ptp(level[later]) < max(6.0 * noise, 1.0):
            return float(centre[k])
    return _back_at_the_pad(time, height, noise)


def _back_at_the_pad(time: Floats, height: Floats, noise: float) -> float | None:
    """When it comes back to the height of the pad, where the record ends right after that [s]."""
    near = max(4.0 * noise, 0.7)
    last = time > time[-1] - LAST
    if last.sum() < 3 or abs(float(np.median(height[last]))) > near:
        return None
    above = np.flatnonzero(running_median(height, 5) > near)
    return float(time[above[-1]]) if above.size else None
