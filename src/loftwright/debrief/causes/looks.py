"""Small things that are read off many records at once: first times, means, runs, steadiness."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "first_time",
    "last_time",
    "longest_run",
    "mean_between",
    "peak_between",
    "quietly",
    "rough",
    "slope_between",
    "smoothed",
]

Floats = NDArray[np.float64]
Singles = NDArray[np.floating[Any]]  # of either size
Bools = NDArray[np.bool_]


def quietly() -> np.errstate:
    """Return what lets sums over nothing be not-a-number without a warning."""
    return np.errstate(invalid="ignore", divide="ignore", over="ignore")


def first_time(mask: Bools, time: Singles) -> Floats:
    """Time of the first place where a mask holds, (n,); not-a-number where it never does."""
    return np.where(mask.any(axis=1), time[mask.argmax(axis=1)], np.nan).astype(float)


def last_time(mask: Bools, time: Singles) -> Floats:
    """Time of the last place where a mask holds, (n,)."""
    return np.where(mask.any(axis=1), time[::-1][mask[:, ::-1].argmax(axis=1)], np.nan).astype(
        float
    )


def _window(time: Singles, begin: float, end: float) -> slice:
    first, last = np.searchsorted(time, [begin, end])
    return slice(int(first), int(last))


def mean_between(values: Singles, time: Singles, begin: float, end: float) -> Floats:
    """Mean of what is there between two times, (n,)."""
    some = values[:, _window(time, begin, end)]
    good = np.isfinite(some)
    with quietly():
        return np.asarray(np.where(good, some, 0.0).sum(axis=1) / _over_none(good.sum(axis=1)))


def _over_none(count: NDArray[np.int64]) -> Floats:
    return np.where(count > 0, count, np.nan)


def peak_between(values: Singles, time: Singles, begin: float, end: float) -> tuple[Floats, Floats]:
    """Largest value between two times and when it stands there, (n,) both."""
    window = _window(time, begin, end)
    some = values[:, window]
    if some.shape[1] == 0:
        nothing = np.full(len(values), np.nan)
        return nothing, nothing
    filled = np.where(np.isfinite(some), some, -np.inf)
    place = filled.argmax(axis=1)
    top = filled[np.arange(len(filled)), place]
    known = np.isfinite(top)
    return np.where(known, top, np.nan), np.where(known, time[window][place], np.nan)


def slope_between(values: Singles, time: Singles, begin: float, end: float) -> Floats:
    """Slope of the straight line through what is there between two times, (n,)."""
    window = _window(time, begin, end)
    some, when = values[:, window].astype(float), time[window].astype(float)
    good = np.isfinite(some)
    count = _over_none(good.sum(axis=1) * (good.sum(axis=1) > 2))
    with quietly():
        filled = np.where(good, some, 0.0)
        centre = (good * when).sum(axis=1) / count
        away = np.where(good, when - centre[:, None], 0.0)
        return np.asarray((away * filled).sum(axis=1) / (away**2).sum(axis=1))


def smoothed(values: Singles, width: int) -> Floats:
    """Moving mean over ``width`` places of what is there; where less than a third is, nothing."""
    width = max(1, width) | 1
    half = width // 2
    good = np.isfinite(values)
    padded = np.pad(np.where(good, values, 0.0).astype(float), ((0, 0), (half + 1, half)))
    counts = np.pad(good.astype(np.int32), ((0, 0), (half + 1, half)))
    total, number = np.cumsum(padded, axis=1), np.cumsum(counts, axis=1)
    total = total[:, width:] - total[:, :-width]
    number = number[:, width:] - number[:, :-width]
    with quietly():
        return np.where(3 * number >= width, total / number, np.nan)


def rough(values: Singles) -> Singles:
    """Second difference of neighbours, which what flies hardly has and noise has: (n, m - 2)."""
    found: Singles = values[:, 2:] - 2.0 * values[:, 1:-1] + values[:, :-2]
    return found


def longest_run(mask: Bools) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Places of the longest run in which a mask holds, and where it begins, (n,) both."""
    columns = np.arange(mask.shape[1])
    broken = np.maximum.accumulate(np.where(mask, -1, columns), axis=1)
    length = np.where(mask, columns - broken, 0)
    end = length.argmax(axis=1)
    long = length[np.arange(len(mask)), end]
    return long, end - long + 1
