"""One quantity varied: a curve for each figure, one above the other on a common axis."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from loftwright.report import svg
from loftwright.report.labels import push_apart
from loftwright.report.study_axis import Axis, figure_axis, hatching, span_axis
from loftwright.report.svg import Box
from loftwright.report.words import figure
from loftwright.study.explore import Explored
from loftwright.study.spans import shown

__all__ = ["WIDTHS", "draw_curves"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """Sizes in px for one page width."""

    width: float
    left: float
    right: float
    lane: float
    ticks: int
    type: float = 13.0


WIDTHS: dict[str, Frame] = {
    "wide": Frame(1120, 56, 24, 230, 10),
    "medium": Frame(720, 52, 20, 200, 7),
    "narrow": Frame(340, 40, 10, 170, 4),
}
HEAD = 30.0  # above each lane, for its name
GAP = 22.0
FOOT = 46.0


def draw_curves(explored: Explored, system: str, frame: Frame, kind: str) -> str:
    """Return the curves as inline SVG for one page width."""
    along = span_axis(explored.spans[0], frame.left, frame.width - frame.right)
    top, parts = _head(explored, along), [hatching(f"hatch-curve-{kind}")]
    notes = _notes(explored, along, frame)
    parts.append(notes)
    first = top
    for key in explored.shown:
        lane = Box(frame.left, top + HEAD, frame.width - frame.right, top + HEAD + frame.lane)
        parts.append(_lane(explored, key, along, lane, system, frame, kind))
        top = lane.bottom + GAP
    bottom = top - GAP
    parts += [_uprights(explored, along, first + 8, bottom), along.along(bottom, frame.ticks, 12)]
    return svg.document(
        frame.width, bottom + FOOT, "".join(parts),
        title=f"Varied: {along.words.lower()}",
        description=describe(explored, system),
        kind=f"strip {kind}".strip(),
    )  # fmt: skip


def describe(explored: Explored, system: str) -> str:
    """Say in words what the curves show."""
    from loftwright.report.study_words import best_words

    return " ".join(best_words(explored, key, system) for key in explored.shown)


def _uprights(explored: Explored, along: Axis, top: float, bottom: float) -> str:
    """Draw where things stand now, and where limits begin, through all lanes."""
    parts = []
    now = explored.spans[0].inside
    if now is not None:
        parts.append(svg.line(along.at(now), top, along.at(now), bottom, role="ink", dash="2 4"))
    for crossing in explored.crossings():
        x = along.at(crossing.at)
        parts.append(svg.line(x, top, x, bottom, role="warning", width=1.5, dash="7 4"))
    return "".join(parts)


def _marks(explored: Explored, along: Axis) -> list[tuple[float, str, str]]:
    """Return what stands above the lanes: place, words, role."""
    span = explored.spans[0]
    marks = []
    if span.inside is not None:
        marks.append((along.at(span.inside), f"as written, {shown(span, span.inside)}", "ink"))
    for crossing in explored.crossings():
        marks.append((along.at(crossing.at), crossing.limit.text, "warning"))
    return marks


def _head(explored: Explored, along: Axis) -> float:
    return 18.0 * max(len(_marks(explored, along)), 1) + 2.0


def _notes(explored: Explored, along: Axis, frame: Frame) -> str:
    """Write each mark's words on a row of its own, beside its line."""
    parts = []
    for row, (x, words, role) in enumerate(_marks(explored, along)):
        y = 14.0 + 18.0 * row
        left_half = x < 0.5 * frame.width
        at, anchor = (x + 5, "start") if left_half else (x - 5, "end")
        parts.append(svg.line(x, y - 10, x, _head(explored, along) + 8, role=role,
                              dash="2 4" if role == "ink" else "7 4"))  # fmt: skip
        parts.append(svg.text(at, y, words, size=12, role=role, anchor=anchor, kind="halo"))
    return "".join(parts)


def _lane(
    explored: Explored, key: str, along: Axis, lane: Box, system: str, frame: Frame, kind: str
) -> str:
    values, x = explored.figures[key], explored.grid[0]
    band = explored.bands.get(key)
    known = values if band is None else np.concatenate([values, band.ravel()])
    known = known[np.isfinite(known)]
    up = figure_axis(key, float(known.min()), float(known.max()), lane.bottom, lane.top, system)
    words = figure(key).words
    name = f"{words[:1].upper() + words[1:]}{', ' + up.unit if up.unit else ''}"
    parts = [
        _forbidden(explored, along, lane, kind),
        up.upwards(lane.left, lane.right, 5, 12),
        svg.text(lane.left, lane.top - 8, name, size=frame.type, bold=True, kind="halo"),
    ]
    points = _runs(values)
    if band is not None:
        for run in points:
            edge = [(along.at(x[i]), up.at(band[i, 1])) for i in run]
            edge += [(along.at(x[i]), up.at(band[i, 0])) for i in reversed(run)]
            parts.append(f'<path d="{svg.polyline(edge, close=True)}" fill="var(--vehicle)" '
                         'fill-opacity="0.16"/>')  # fmt: skip
    for run in points:
        parts.append(_stroke([(along.at(x[i]), up.at(values[i])) for i in run], explored))
    return "".join(parts) + _best(explored, key, along, up, lane)


def _runs(values: Floats) -> list[list[int]]:
    """Return the stretches in which the figure happens, as lists of indices."""
    finite = np.isfinite(values)
    return [
        [i for i, _ in group]
        for there, group in groupby(enumerate(finite.tolist()), key=lambda each: each[1])
        if there
    ]


def _stroke(points: list[tuple[float, float]], explored: Explored) -> str:
    faint = ' stroke-opacity="0.35"' if explored.spans[0].whole else ""
    path = (
        f'<path d="{svg.polyline(points)}" fill="none" stroke="var(--vehicle)" '
        f'stroke-width="2" stroke-linejoin="round"{faint}/>'
    )
    if not explored.spans[0].whole and len(points) > 1:
        return path
    # Whole numbers have nothing between them: each is a mark of its own.
    squares = "".join(
        svg.rect(Box(x - 4, y - 4, x + 4, y + 4), fill="var(--vehicle)") for x, y in points
    )
    return path + squares


def _forbidden(explored: Explored, along: Axis, lane: Box, kind: str) -> str:
    """Hatch what a limit forbids or the documents refuse, with words for the latter."""
    parts = []
    bad = ~explored.allowed
    x = explored.grid[0]
    edges = np.concatenate([x[:1], 0.5 * (x[1:] + x[:-1]), x[-1:]])
    crossings = np.array([each.at for each in explored.crossings()])
    for there, group in groupby(enumerate(bad.tolist()), key=lambda each: each[1]):
        run = [i for i, _ in group]
        if not there:
            continue
        ends = [_snapped(edges[run[0]], x, crossings), _snapped(edges[run[-1] + 1], x, crossings)]
        box = Box(along.at(ends[0]), lane.top, along.at(ends[1]), lane.bottom)
        parts.append(svg.rect(box, fill=f"url(#hatch-curve-{kind})"))
    return "".join(parts)


def _snapped(edge: float, x: Floats, crossings: Floats) -> float:
    """Move an edge between two points onto the crossing of a limit that lies there."""
    step = float(x[1] - x[0]) if len(x) > 1 else 0.0
    close = crossings[np.abs(crossings - edge) <= 0.51 * step]
    return float(close[0]) if len(close) else float(edge)


def _best(explored: Explored, key: str, along: Axis, up: Axis, lane: Box) -> str:
    """Mark the best allowed point with a cross and its value, and where things stand now."""
    parts, texts = [], []
    span = explored.spans[0]
    if span.inside is not None and np.isfinite(explored.now[key]):
        texts.append((along.at(span.inside), up.at(explored.now[key]), explored.now[key], "ink"))
    at = explored.best_at(key)
    if at is not None:
        x, value = float(explored.grid[0][at[0]]), float(explored.figures[key][at])
        texts.append((along.at(x), up.at(value), value, "vehicle"))
    places = push_apart([y - 14.0 for _, y, _, _ in texts], 16.0, lane.top + 10, lane.bottom - 4)
    for (x, y, value, role), place in zip(texts, places, strict=True):
        parts.append(svg.line(x - 6, y, x + 6, y, role=role, width=2.5))
        parts.append(svg.line(x, y - 6, x, y + 6, role=role, width=2.5))
        words = up.shown(value) if role == "ink" else f"best {up.shown(value)}"
        side = svg.text_width(words, 13, bold=True) + 12
        at_x, anchor = (x + 10, "start") if x + side < lane.right else (x - 10, "end")
        parts.append(
            svg.text(at_x, place + 4, words, size=13, role=role, anchor=anchor, bold=True,
                     kind="halo")
        )  # fmt: skip
    return "".join(parts)
