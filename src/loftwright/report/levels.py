"""Long curves in levels: where the lowest and highest of each stretch of samples stand.

A window of a long curve is thinned from its levels, without looking at every sample; no extreme of
any pixel column is lost by that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftwright.report.scales import Scale

__all__ = ["LONG", "SIZES", "Levels", "columns_of", "levels_of", "rows_in"]

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]

LONG: Final = 8192  # samples up to which looking at every one is quicker
SIZES: Final = (16, 64, 256)  # samples of a stretch; places within one fit into a byte
AT_ONCE: Final = 1 << 20  # samples looked at together, so that a very long curve needs no copy


@dataclass(frozen=True, slots=True)
class Levels:
    """Of a curve whose clock never runs back, the places that matter, by size of stretch.

    ``places[size]`` is ``(stretches, 4)``: within each stretch of ``size`` samples, where the first
    number stands, the lowest, the highest and the last. Samples after the last whole stretch have
    none.
    """

    places: Mapping[int, NDArray[np.uint8]]


def levels_of(time: Floats, value: Floats) -> Levels | None:
    """Return the levels of a curve; None where it is short, or its clock runs back."""
    if value.size <= LONG or not _ascends(time):
        return None
    return Levels({size: _places(value, size) for size in SIZES})


def _ascends(time: Floats) -> bool:
    # What is no number is never greater than another: it fails as well.
    return bool(np.isfinite(time[[0, -1]]).all()) and bool((time[1:] >= time[:-1]).all())


def _places(value: Floats, size: int) -> NDArray[np.uint8]:
    whole = value.size // size
    found = np.zeros((whole, 4), dtype=np.uint8)
    step = AT_ONCE // size
    for first in range(0, whole, step):
        last = min(first + step, whole)
        stretch = np.asarray(value[first * size : last * size], dtype=float).reshape(-1, size)
        good = np.isfinite(stretch)
        low, high = np.where(good, stretch, np.inf), np.where(good, stretch, -np.inf)
        found[first:last, 0] = good.argmax(axis=1)
        found[first:last, 1] = low.argmin(axis=1)
        found[first:last, 2] = size - 1 - high[:, ::-1].argmax(axis=1)
        found[first:last, 3] = size - 1 - good[:, ::-1].argmax(axis=1)
    return found


def columns_of(time: Floats, clock: Scale) -> Floats:
    """Return where each time stands on the page, px, as curves are drawn."""
    width = (clock.end - clock.start) / (clock.high - clock.low)
    return clock.start + (time - clock.low) * width


def rows_in(time: Floats, levels: Levels, clock: Scale) -> Rows:
    """Return rows of a curve, in order, that draw the same as all of those that a clock shows.

    Among them is one row beyond either edge, and of each pixel column the first number, the lowest,
    the highest and the last.
    """
    first = int(np.searchsorted(time, clock.low, "left"))
    last = int(np.searchsorted(time, clock.high, "right"))
    before, after = max(first - 1, 0), min(last + 1, time.size)
    if after - before <= LONG:
        return np.arange(before, after)
    size = _best_size(last - first, clock)
    keep = np.zeros(after - before, dtype=bool)
    keep[0] = keep[-1] = True
    places = levels.places[size]
    begin, stop = -(-first // size), min(last // size, len(places))
    # What stands before the first whole stretch, and after the last one.
    keep[: max(begin * size - before, 0)] = True
    keep[stop * size - before :] = True
    stretches = np.arange(begin, stop) * size
    column = np.floor(columns_of(time[stretches], clock))
    apart = column != np.floor(columns_of(time[stretches + size - 1], clock))
    # A stretch within one column is as good as its four places; of others all samples count.
    keep[(stretches[~apart, None] + places[begin:stop][~apart]).ravel() - before] = True
    keep[(stretches[apart, None] + np.arange(size)).ravel() - before] = True
    rows: Rows = before + np.flatnonzero(keep)
    return rows


def _best_size(count: int, clock: Scale) -> int:
    """Return the size of stretch that leaves the fewest rows to look at."""
    columns = max(abs(clock.end - clock.start), 1.0)
    return min(SIZES, key=lambda size: 4 * count / size + columns * size)
