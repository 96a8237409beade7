"""The lines of a lane: curves and bands, thinned to what a page can show."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.report import svg
from loftwright.report.decimate import column_extremes, thin
from loftwright.report.scales import Scale
from loftwright.report.strip_model import Curve, Role, Spread
from loftwright.report.svg import Box

__all__ = ["draw_curve", "draw_spread", "inside"]

Floats = NDArray[np.float64]

DENSE = 1.5  # points a pixel from which on a line is drawn as what it fills
SHEER = 0.45  # opacity of lines that lie over one another


def inside(time: Floats, clock: Scale) -> NDArray[np.bool_]:
    """Return which rows a clock shows, ``(n,)``: those within it, and one beyond either edge."""
    # One row beyond, so that lines run to the edge, where they are cut.
    good = np.isfinite(time)
    shown: NDArray[np.bool_] = good & (time >= clock.low) & (time <= clock.high)
    before = np.flatnonzero(good & (time < clock.low))
    after = np.flatnonzero(good & (time > clock.high))
    shown[before[-1:]] = True
    shown[after[:1]] = True
    return shown


def _clip(x: Floats, y: Floats, room: Box) -> tuple[Floats, Floats]:
    """Cut a curve to the lane's sides by interpolation (no clip paths, hence no ids)."""
    if x.size == 0:
        return x, y
    edges = [e for e in (room.left, room.right) if x[0] < e < x[-1]]
    keep = (x >= room.left) & (x <= room.right)
    if edges:
        all_x = np.concatenate((x[keep], edges))
        all_y = np.concatenate((y[keep], np.interp(edges, x, y)))
        order = np.argsort(all_x, kind="stable")
        return all_x[order], all_y[order]
    return x[keep], y[keep]


def _points(
    time: Floats,
    value: Floats,
    clock: Scale,
    level: Scale,
    room: Box,
    shown: NDArray[np.bool_] | None = None,
) -> tuple[Floats, Floats]:
    rows = (inside(time, clock) if shown is None else shown) & np.isfinite(value)
    if not rows.any():
        return np.zeros(0), np.zeros(0)
    x = clock.start + (time[rows] - clock.low) * (clock.end - clock.start) / (
        clock.high - clock.low
    )
    y = level.start + (value[rows] - level.low) * (level.end - level.start) / (
        level.high - level.low
    )
    return _clip(x, y, room)


def draw_curve(curve: Curve, clock: Scale, level: Scale, room: Box) -> str:
    """Return a line as a path; one that goes up and down in every pixel as what it fills."""
    every = _points(curve.time, curve.drawn, clock, level, room)
    x, y = thin(*every)
    if x.size == 0:
        return ""
    width = 1.0 if curve.faint else 1.5
    opacity = SHEER if curve.sheer else 1.0
    if _dashes(curve.role, curve.dash) == "" and x.size > DENSE * (room.right - room.left):
        shade = f' fill-opacity="{opacity:g}"' if opacity < 1.0 else ""
        data = _filled(*every, width)
        return f'<path class="curve" d="{data}" fill="var(--{curve.role.value})"{shade}/>'
    data = svg.polyline_of(x, y)
    return _path(data, curve.role, width=width, opacity=opacity, dash=curve.dash)


def _filled(x: Floats, y: Floats, width: float) -> str:
    """Return the outline of what a dense line covers: from the top to the foot of each pixel.

    A browser takes many times as long to draw a line of thousands of corners, and shows the same.
    """
    rows = column_extremes(x, y)
    x, y = x[rows], y[rows]
    column = np.floor(x)
    starts = np.flatnonzero(np.r_[True, column[1:] != column[:-1]])
    lasts = np.r_[starts[1:], x.size] - 1
    half = 0.5 * width
    top, foot = np.minimum.reduceat(y, starts), np.maximum.reduceat(y, starts)
    near = np.r_[False, np.diff(column[starts]) <= 1]
    # The line goes on from pixel to pixel: what lies apart is joined where it has passed.
    before = np.r_[0, lasts[:-1]]
    apart = near & ((top > np.r_[foot[0], foot[:-1]]) | (foot < np.r_[top[0], top[:-1]]))
    join = np.where(apart, y[before], y[starts])
    top, foot = np.minimum(top, join) - half, np.maximum(foot, join) + half
    # Where pixels have no sample the line runs straight, and is as thin as it is.
    far = np.flatnonzero(~near[1:])
    ends = np.concatenate((lasts[far], starts[far + 1]))
    at = np.concatenate((0.5 * (x[starts] + x[lasts]), x[ends]))
    order = np.lexsort((np.repeat([1, 2, 0], [starts.size, far.size, far.size]), at))
    at, low = at[order], np.concatenate((foot, y[ends] + half))[order]
    return _outline((at, low), (at, np.concatenate((top, y[ends] - half))[order]))


def _path(
    data: str,
    role: Role,
    *,
    width: float,
    opacity: float = 1.0,
    dash: str | None = None,
) -> str:
    steps = _dashes(role, dash)
    dash = f' stroke-dasharray="{steps}"' if steps else ""
    if opacity < 1.0:
        dash += f' stroke-opacity="{opacity:g}"'
    return (
        f'<path class="curve" d="{data}" fill="none" stroke="var(--{role.value})" '
        f'stroke-width="{svg.num(width)}" stroke-linejoin="round"{dash}/>'
    )


def draw_spread(spread: Spread, clock: Scale, level: Scale, room: Box) -> str:
    """Return a band as two shades and its median as a line."""
    shown = inside(spread.time, clock)  # the same rows of all five
    columns = [
        thin(*_points(spread.time, spread.percentiles[:, k], clock, level, room, shown))
        for k in range(5)
    ]
    if columns[2][0].size == 0:
        return ""
    colour = f"var(--{spread.role.value})"
    parts = []
    # Where both lie, 16 % over 16 % reads as the stronger half in the middle.
    for low, high in ((0, 4), (1, 3)):
        data = _outline(columns[low], columns[high])
        parts.append(f'<path class="band" d="{data}" fill="{colour}" fill-opacity="0.16"/>')
    median = svg.polyline_of(*columns[2])
    parts.append(_path(median, spread.role, width=1.3, dash=spread.dash))
    return "".join(parts)


def _dashes(role: Role, dash: str | None) -> str:
    return dash if dash is not None else "6 4" if role is Role.PAYLOAD else ""


def _outline(low: tuple[Floats, Floats], high: tuple[Floats, Floats]) -> str:
    x, y = (np.concatenate((high[k], low[k][::-1])) for k in (0, 1))
    return svg.polyline_of(x, y, close=True)
