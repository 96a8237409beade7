"""Fewer points, same picture: curves thinned to what a screen can show, peaks kept."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["column_extremes", "simplify", "thin"]

Floats = NDArray[np.float64]

FEW = 64  # points that cost less to draw than to thin


def column_extremes(x: Floats, y: Floats, *, ends: bool = True) -> NDArray[np.intp]:
    """Return the rows that hold the first, lowest, highest and last ``y`` of each pixel column.

    ``x`` ascends, in px; both finite, ``(n,)``. Without ``ends`` only the lowest and the highest.
    """
    if x.size == 0:
        return np.zeros(0, dtype=np.intp)
    column = np.floor(x).astype(np.int64)
    starts = np.flatnonzero(np.r_[True, column[1:] != column[:-1]])
    lasts = np.r_[starts[1:], x.size] - 1
    sizes = lasts - starts + 1
    lowest = np.flatnonzero(y == np.repeat(np.minimum.reduceat(y, starts), sizes))
    highest = np.flatnonzero(y == np.repeat(np.maximum.reduceat(y, starts), sizes))
    keep = np.zeros(x.size, dtype=bool)
    # Of rows that share an extreme, the first lowest and the last highest.
    keep[lowest[np.searchsorted(lowest, starts, "left")]] = True
    keep[highest[np.searchsorted(highest, lasts, "right") - 1]] = True
    if ends:
        keep[starts] = keep[lasts] = True
    return np.flatnonzero(keep)


def simplify(x: Floats, y: Floats, tolerance: float) -> NDArray[np.intp]:
    """Return rows whose polyline stays within ``tolerance`` px of every point, extremes included.

    References: D. Douglas and T. Peucker, "Algorithms for the reduction of the number of points
    required to represent a digitized line or its caricature", Cartographica 10(2), 1973; the
    distance is taken along y, since x is a clock.
    """
    keep = np.zeros(x.size, dtype=bool)
    keep[[0, int(np.argmin(y)), int(np.argmax(y)), x.size - 1]] = True
    while True:
        # All spans at once: each takes the point that lies farthest from its chord.
        anchors = np.flatnonzero(keep)
        off = np.abs(y - _chord(x, y, anchors))
        worst = np.maximum.reduceat(off, anchors[:-1]) if anchors.size > 1 else np.zeros(0)
        bad = np.flatnonzero(worst > tolerance)
        if bad.size == 0:
            return anchors
        keep[_first_equal(off, worst, anchors, bad)] = True


def _chord(x: Floats, y: Floats, anchors: NDArray[np.intp]) -> Floats:
    """Return at each row the height of the straight line between the anchors around it."""
    if anchors.size < 2:
        return y
    width, rise = np.diff(x[anchors]), np.diff(y[anchors])
    slope = np.divide(rise, width, out=np.zeros_like(rise), where=width > 0)
    span = np.minimum(np.searchsorted(anchors, np.arange(x.size), "right") - 1, width.size - 1)
    # Of a line that stands upright, all points lie as high as its end.
    foot = np.where(width > 0, y[anchors[:-1]], y[anchors[1:]])
    line: Floats = foot[span] + slope[span] * (x - x[anchors[:-1]][span])
    line[anchors] = y[anchors]
    return line


def _first_equal(
    off: Floats, worst: Floats, anchors: NDArray[np.intp], bad: NDArray[np.intp]
) -> NDArray[np.intp]:
    """Return, for each span in ``bad``, its first row whose distance is the span's largest."""
    sizes = np.diff(np.r_[anchors[:-1], off.size])
    equal = np.flatnonzero(off == np.repeat(worst, sizes))
    return equal[np.searchsorted(equal, anchors[bad], "left")]


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
