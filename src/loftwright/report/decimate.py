"""Fewer points, same picture: curves thinned to what a screen can show, peaks kept."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["column_extremes", "simplify", "thin"]

Floats = NDArray[np.float64]

FEW = 64  # points that cost less to draw than to thin


def column_extremes(x: Floats, y: Floats) -> NDArray[np.intp]:
    """Return the rows that hold the first, lowest, highest and last ``y`` of each pixel column.

    ``x`` ascends, in px; both finite, ``(n,)``.
    """
    if x.size == 0:
        return np.zeros(0, dtype=np.intp)
    column = np.floor(x).astype(np.int64)
    starts = np.flatnonzero(np.r_[True, column[1:] != column[:-1]])
    ends = np.r_[starts[1:], x.size] - 1
    by_height = np.lexsort((y, column))
    return np.unique(np.concatenate((starts, ends, by_height[starts], by_height[ends])))


def simplify(x: Floats, y: Floats, tolerance: float) -> NDArray[np.intp]:
    """Return rows whose polyline stays within ``tolerance`` px of every point, extremes included.

    References: D. Douglas and T. Peucker, "Algorithms for the reduction of the number of points
    required to represent a digitized line or its caricature", Cartographica 10(2), 1973; the
    distance is taken along y, since x is a clock.
    """
    keep = np.zeros(x.size, dtype=bool)
    anchors = sorted({0, int(np.argmin(y)), int(np.argmax(y)), x.size - 1})
    keep[anchors] = True
    spans = list(pairwise(anchors))
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        inner = slice(first + 1, last)
        chord = np.interp(x[inner], (x[first], x[last]), (y[first], y[last]))
        off = np.abs(y[inner] - chord)
        worst = int(np.argmax(off))
        if off[worst] > tolerance:
            middle = first + 1 + worst
            keep[middle] = True
            spans += [(first, middle), (middle, last)]
    return np.flatnonzero(keep)


def thin(x: Floats, y: Floats, tolerance: float = 0.2) -> tuple[Floats, Floats]:
    """Return a curve that looks the same, thinned if long; rows with NaN are left out."""
    good = np.isfinite(x) & np.isfinite(y)
    x, y = x[good], y[good]
    if x.size <= FEW:
        return x, y
    rows = column_extremes(x, y)
    x, y = x[rows], y[rows]
    if x.size < 3:
        return x, y
    rows = simplify(x, y, tolerance)
    return x[rows], y[rows]
