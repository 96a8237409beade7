"""Many points against a shape at once: the laws of ``physics.plane``, over arrays."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["Bools", "Floats", "beyond_line", "inside", "meet", "to_line"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ENDLESS = 1e6  # m; how far the ends of a line go on


def inside(points: Floats, corners: Floats) -> Bools:
    """Tell of each point ``(n, 2)`` whether the polygon ``(m, 2)`` holds it (`plane.holds`)."""
    within = np.zeros(len(points), dtype=bool)
    for one, other in zip(np.roll(corners, 1, axis=0), corners, strict=True):
        straddles = (one[1] > points[:, 1]) != (other[1] > points[:, 1])
        side = _turn(points, one, other)
        within ^= straddles & ((side > 0.0) if other[1] > one[1] else (side < 0.0))
    return within


def to_line(points: Floats, line: Floats) -> Floats:
    """Return the distance of each point to an open line, m (`plane.distance_to_edge`)."""
    nearest = np.full(len(points), np.inf)
    for one, other in pairwise(line):
        along, reach = other - one, points - one
        share = np.clip(reach @ along / max(float(along @ along), 1e-300), 0.0, 1.0)
        off = reach - share[:, None] * along
        nearest = np.minimum(nearest, np.hypot(off[:, 0], off[:, 1]))
    return nearest


def beyond_line(points: Floats, line: Floats) -> Bools:
    """Tell of each point whether the line lies between it and the pad.

    The ends of the line go straight on for ever. The straight way from the pad then crosses it an
    odd number of times to whatever lies beyond.
    """
    whole = np.concatenate([_onward(line[1], line[0]), line, _onward(line[-2], line[-1])])
    pad = np.zeros(2)
    crossed = np.zeros(len(points), dtype=bool)
    for one, other in pairwise(whole):
        # The corner's side of the way decides for both of its edges: none counts twice.
        parts = (_side(points, one) > 0.0) != (_side(points, other) > 0.0)
        apart = (_turn(pad[None], one, other) > 0.0) != (_turn(points, one, other) > 0.0)
        crossed ^= parts & apart
    return crossed


def meet(one: Floats, other: Floats) -> bool:
    """Tell whether two open lines cross each other anywhere."""
    a, b, c, d = one[:-1, None], one[1:, None], other[None, :-1], other[None, 1:]
    first = (_cross(d - c, a - c) > 0.0) != (_cross(d - c, b - c) > 0.0)
    second = (_cross(b - a, c - a) > 0.0) != (_cross(b - a, d - a) > 0.0)
    return bool((first & second).any())


def _cross(one: Floats, other: Floats) -> Floats:
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def _turn(points: Floats, one: Floats, other: Floats) -> Floats:
    return _cross(other - one, points - one)


def _side(points: Floats, corner: Floats) -> Floats:
    """On which side of the way from the pad to each point a corner lies."""
    return _cross(points, np.broadcast_to(corner, points.shape))


def _onward(before: Floats, end: Floats) -> Floats:
    along = end - before
    return np.asarray((end + along * (ENDLESS / float(np.hypot(*along))))[None])
