"""Two quantities varied: a map with filled contours, limits as lines, what is forbidden hatched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.field.contours import DensityGrid, contour_lines
from loftwright.report import svg
from loftwright.report.quantities import amount, unit_of
from loftwright.report.scales import nice_ticks, tick_texts
from loftwright.report.study_axis import Axis, hatching, span_axis
from loftwright.report.svg import Box
from loftwright.report.words import figure
from loftwright.study.explore import Explored
from loftwright.study.phrases import NEVER, SLACK

__all__ = ["WIDTHS", "draw_map"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """Sizes in px for one page width."""

    width: float
    left: float
    right: float
    tall: float
    ticks: int


WIDTHS: dict[str, Frame] = {
    "wide": Frame(1120, 64, 24, 520, 9),
    "medium": Frame(720, 60, 20, 440, 7),
    "narrow": Frame(340, 44, 12, 300, 4),
}
LEVELS = 8
SHADE = 0.07  # each level adds this much to the one below it
OUT = 1e-9  # of the range: a rim this wide closes every contour at the edge


def draw_map(explored: Explored, key: str, system: str, frame: Frame, kind: str) -> str:
    """Return the map of one figure as inline SVG for one page width."""
    top = 26.0
    box = Box(frame.left, top, frame.width - frame.right, top + frame.tall)
    across = span_axis(explored.spans[0], box.left, box.right)
    up = span_axis(explored.spans[1], box.bottom, box.top)
    name = f"{key}-{kind}".replace("_", "-")
    unit = unit_of(figure(key).kind, system)
    shown = (_filled(explored.figures[key]) - unit.zero) / unit.size
    grid = _rimmed(explored, shown)
    levels = nice_ticks(float(np.min(shown)), float(np.max(shown)), LEVELS)
    marks = _mark_points(explored, key, across, up, box, system)
    limits = _limit_words(explored, across, up, box, marks.taken)
    parts = [
        hatching(f"hatch-{name}"),
        f'<defs><clipPath id="clip-{name}">{svg.rect(box, fill="none")}</clipPath></defs>',
        f'<g clip-path="url(#clip-{name})">',
        *(_level(grid, level, across, up) for level in levels),
        *(_isoline(explored, shown, level, across, up) for level in levels),
        _forbidden(explored, across, up, f"hatch-{name}"),
        _limits(explored, across, up),
        _refused(explored, across, up, f"hatch-{name}"),
        "</g>",
        _frame_of(box),
        _level_words(explored, grid, levels, unit.symbol, across, up, box, limits.taken),
        limits.drawn,
        up.upwards(box.left, box.left, 7, 12),
        across.along(box.bottom, frame.ticks, 12),
        svg.text(0, 12, up.title, size=12),
        marks.drawn,
    ]
    words = figure(key).words
    return svg.document(
        frame.width, box.bottom + 46, "".join(parts),
        title=f"{words[:1].upper() + words[1:]} over {across.words.lower()} and "
        f"{up.words.lower()}",
        description=_description(explored, key, system),
        kind=f"strip {kind}".strip(),
    )  # fmt: skip


def _description(explored: Explored, key: str, system: str) -> str:
    from loftwright.report.study_words import best_words

    return best_words(explored, key, system)


def _filled(values: Floats) -> Floats:
    """Give points without a value that of the nearest with one, so that contours can be drawn.

    What they show there is hatched over.
    """
    missing = ~np.isfinite(values)
    if not missing.any():
        return values
    known = np.argwhere(~missing)
    filled = np.array(values)
    for i, j in np.argwhere(missing).tolist():
        nearest = known[np.argmin(((known - (i, j)) ** 2).sum(axis=1))]
        filled[i, j] = values[tuple(nearest)]
    return filled


def _rimmed(explored: Explored, values: Floats) -> DensityGrid:
    """Put a rim of low values round the grid: contours close along the edge."""
    x, y = (
        np.concatenate([[g[0] - OUT * (g[-1] - g[0])], g, [g[-1] + OUT * (g[-1] - g[0])]])
        for g in explored.grid
    )
    low = float(values.min()) - max(float(np.ptp(values)), 1.0)
    return DensityGrid(x, y, np.pad(values, 1, constant_values=low))


def _path(lines: list[Floats], across: Axis, up: Axis, *, close: bool) -> str:
    return "".join(
        svg.polyline([(across.at(x), up.at(y)) for x, y in line.tolist()], close=close)
        for line in lines
    )


def _level(grid: DensityGrid, level: float, across: Axis, up: Axis) -> str:
    data = _path(contour_lines(grid, level), across, up, close=True)
    return f'<path d="{data}" fill="var(--vehicle)" fill-opacity="{SHADE}" fill-rule="evenodd"/>'


def _isoline(explored: Explored, values: Floats, level: float, across: Axis, up: Axis) -> str:
    plain = DensityGrid(explored.grid[0], explored.grid[1], values)
    data = _path(contour_lines(plain, level), across, up, close=False)
    return f'<path d="{data}" fill="none" stroke="var(--vehicle)" stroke-opacity="0.8"/>'


def _forbidden(explored: Explored, across: Axis, up: Axis, hatch: str) -> str:
    """Hatch where a limit is broken."""
    if not explored.excesses:
        return ""
    worst = np.max([_border(explored, excess).values for excess in explored.excesses], axis=0)
    return _hatched(explored, np.asarray(worst), across, up, hatch)


def _refused(explored: Explored, across: Axis, up: Axis, hatch: str) -> str:
    """Cover what the documents refuse with hatched paper."""
    refused = np.where(np.equal(explored.refused, ""), -1.0, 1.0)
    lines = contour_lines(_rimmed(explored, refused), SLACK)
    data = _path(lines, across, up, close=True)
    cover = f'<path d="{data}" fill="var(--paper)" fill-rule="evenodd"/>'
    return cover + _hatched(explored, refused, across, up, hatch)


def _hatched(explored: Explored, excess: Floats, across: Axis, up: Axis, hatch: str) -> str:
    lines = contour_lines(_rimmed(explored, np.clip(excess, -1.0, 1.0)), SLACK)
    data = _path(lines, across, up, close=True)
    return f'<path d="{data}" fill="url(#{hatch})" fill-rule="evenodd"/>'


def _border(explored: Explored, excess: Floats) -> DensityGrid:
    """Return a limit's excess as a grid; where nothing flew it goes on as beside it."""
    there = np.where(excess >= NEVER, np.nan, excess)
    if not np.isfinite(there).any():
        there = np.ones_like(excess)
    return DensityGrid(explored.grid[0], explored.grid[1], _filled(there))


def _limits(explored: Explored, across: Axis, up: Axis) -> str:
    parts = []
    for excess in explored.excesses:
        data = _path(contour_lines(_border(explored, excess), SLACK), across, up, close=False)
        parts.append(f'<path d="{data}" fill="none" stroke="var(--warning)" stroke-width="2"/>')
    return "".join(parts)


def _frame_of(box: Box) -> str:
    return (
        f'<rect x="{svg.num(box.left)}" y="{svg.num(box.top)}" '
        f'width="{svg.num(box.right - box.left)}" height="{svg.num(box.bottom - box.top)}" '
        'fill="none" stroke="var(--rule)"/>'
    )


def _level_words(
    explored: Explored,
    grid: DensityGrid,
    levels: list[float],
    unit: str,
    across: Axis,
    up: Axis,
    box: Box,
    marked: list[Box],
) -> str:
    """Write each level's value once, where its line is well inside and nothing else is written."""
    parts: list[str] = []
    taken = list(marked)
    inner = Box(box.left + 26, box.top + 16, box.right - 34, box.bottom - 12)
    for level, number in zip(levels, tick_texts(levels), strict=True):
        words = f"{number}\u00a0{unit}".rstrip("\u00a0")
        for line in sorted(contour_lines(grid, level), key=len, reverse=True)[:1]:
            spots = [(across.at(x), up.at(y)) for x, y in line.tolist() if _flown(explored, x, y)]
            order = sorted(spots, key=lambda s: abs(s[0] - s[1] * 1.3 - 0.2 * box.right))
            for x, y in order:
                room = svg.text_box(x, y + 4, words, 12, anchor="middle")
                inside = inner.left < x < inner.right and inner.top < y < inner.bottom
                if inside and not any(room.overlaps(other, 6) for other in taken):
                    taken.append(room)
                    parts.append(
                        svg.text(x, y + 4, words, size=12, role="vehicle", anchor="middle",
                                 kind="halo")
                    )  # fmt: skip
                    break
    return "".join(parts)


def _flown(explored: Explored, x: float, y: float) -> bool:
    """Tell whether the nearest point was flown."""
    i, j = (int(np.abs(g - each).argmin()) for g, each in zip(explored.grid, (x, y), strict=True))
    return bool(explored.refused[i, j] == "")


class _Marks(NamedTuple):
    drawn: str
    taken: list[Box]  # where their words stand


def _from_the_middle(spots: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return spots of a line from its middle outwards."""
    half = len(spots) // 2
    return [spots[k] for k in sorted(range(len(spots)), key=lambda k: abs(k - half))]


def _limit_words(explored: Explored, across: Axis, up: Axis, box: Box, marked: list[Box]) -> _Marks:
    """Write each limit beside its line, as near its middle as there is room."""
    drawn, taken = [], list(marked)
    for limit, excess in zip(explored.limits, explored.excesses, strict=True):
        lines = contour_lines(_border(explored, excess), SLACK)
        spots = sorted(tuple(spot) for line in lines for spot in line.tolist())
        spots = [spot for spot in spots if _flown(explored, *spot)]
        for x, y in _from_the_middle(spots):
            at, low = across.at(x), up.at(y) - 6
            right = at + svg.text_width(limit.text, 12) + 10 < box.right
            place, anchor = (at + 8, "start") if right else (at - 8, "end")
            room = svg.text_box(place, low, limit.text, 12, anchor=anchor)
            if room.left > box.left and not any(room.overlaps(other, 4) for other in taken):
                taken.append(room)
                drawn.append(svg.text(place, low, limit.text, size=12, role="warning",
                                      anchor=anchor, kind="halo"))  # fmt: skip
                break
    return _Marks("".join(drawn), taken)


def _mark_points(
    explored: Explored, key: str, across: Axis, up: Axis, box: Box, system: str
) -> _Marks:
    """Draw the point as written and the best one, each a cross with its value."""
    kind, spans = figure(key).kind, explored.spans
    marks = []
    now = [span.inside for span in spans]
    if now[0] is not None and now[1] is not None:
        value = amount(explored.now[key], kind, system)
        marks.append((across.at(now[0]), up.at(now[1]), f"as written, {value}"))
    at = explored.best_at(key)
    if at is not None:
        x, y = (float(grid[k]) for grid, k in zip(explored.grid, at, strict=True))
        value = amount(float(explored.figures[key][at]), kind, system)
        marks.append((across.at(x), up.at(y), f"best {value}"))
    drawn, taken = [], []
    for x, y, words in marks:
        side = svg.text_width(words, 13, bold=True) + 14
        place, anchor = (x + 11, "start") if x + side < box.right else (x - 11, "end")
        low = y + 5 if y > box.top + 14 else y + 16
        drawn.append(svg.line(x - 7, y, x + 7, y, role="ink", width=2.5))
        drawn.append(svg.line(x, y - 7, x, y + 7, role="ink", width=2.5))
        drawn.append(svg.text(place, low, words, size=13, anchor=anchor, bold=True, kind="halo"))
        taken.append(svg.text_box(place, low, words, 13, anchor=anchor, bold=True))
    return _Marks("".join(drawn), taken)
