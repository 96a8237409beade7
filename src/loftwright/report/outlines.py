"""Outlines of other landings under a scatter: where a baseline comes down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loftwright.field.contours import highest_density_contours
from loftwright.report import svg

__all__ = ["outlines"]

SHARE = 0.9


def outlines(
    points: Sequence[NDArray[np.float64]], at: Callable[[float, float], tuple[float, float]]
) -> str:
    """Return the contours that hold nine in ten of each body's landings, dashed, not filled.

    ``points`` are (n, 2) east and north; ``at`` takes these to the page.
    """
    parts = []
    for each in points:
        for contour in _contours(each.tobytes()):
            data = svg.polyline((at(e, n) for e, n in contour), close=True)
            parts.append(
                f'<path d="{data}" fill="none" stroke="var(--ink)" stroke-width="1.4" '
                'stroke-dasharray="7 4" stroke-linejoin="round"/>'
            )
    return "".join(parts)


@lru_cache(maxsize=16)  # a baseline stands while what is drawn over it moves
def _contours(points: bytes) -> tuple[list[tuple[float, float]], ...]:
    known = np.frombuffer(points).reshape(-1, 2)
    return tuple(
        [(e, n) for e, n in contour.tolist()]
        for lines in highest_density_contours(known, (SHARE,)).values()
        for contour in lines
    )
