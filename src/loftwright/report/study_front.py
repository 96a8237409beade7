"""The trade-off between two aims: a line of points that nothing beats, and where we stand now."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftwright.report import svg
from loftwright.report.study_axis import Axis, figure_axis
from loftwright.report.svg import Box
from loftwright.study.best import Best

__all__ = ["WIDTHS", "draw_front"]


@dataclass(frozen=True, slots=True)
class Frame:
    """Sizes in px for one page width."""

    width: float
    left: float
    tall: float
    ticks: int


WIDTHS: dict[str, Frame] = {
    "wide": Frame(1120, 64, 420, 9),
    "medium": Frame(720, 60, 380, 7),
    "narrow": Frame(340, 44, 300, 4),
}


def draw_front(best: Best, system: str, frame: Frame, kind: str) -> str:
    """Return the trade-off as inline SVG: the second aim along, the first one up."""
    box = Box(frame.left, 26.0, frame.width - 16.0, 26.0 + frame.tall)
    now = tuple(best.aims_now[aim.text] for aim in best.question.aims)
    rows = [trade.aims for trade in best.trade] + ([now] if np.isfinite(now).all() else [])
    across = _axis(best, 1, rows, box.left, box.right, system)
    up = _axis(best, 0, rows, box.bottom, box.top, system)
    points = [(across.at(trade.aims[1]), up.at(trade.aims[0])) for trade in best.trade]
    squares = "".join(
        svg.rect(Box(x - 3.5, y - 3.5, x + 3.5, y + 3.5), fill="var(--vehicle)") for x, y in points
    )
    parts = [
        up.upwards(box.left, box.right, 6, 12),
        across.along(box.bottom, frame.ticks, 12),
        svg.text(0, 12, up.title, size=12),
        f'<path d="{svg.polyline(points)}" fill="none" stroke="var(--vehicle)" stroke-width="2"/>',
        squares,
    ]
    if np.isfinite(now).all():
        parts.append(_now(across.at(now[1]), up.at(now[0]), box))
    return svg.document(
        frame.width, box.bottom + 46, "".join(parts),
        title="What one aim costs the other",
        description=f"{len(points)} points at which neither aim improves without loss to the "
        f"other: {up.words.lower()} from {up.shown(best.trade[0].aims[0])} to "
        f"{up.shown(best.trade[-1].aims[0])}, {across.words.lower()} from "
        f"{across.shown(best.trade[0].aims[1])} to {across.shown(best.trade[-1].aims[1])}.",
        kind=f"strip {kind}".strip(),
    )  # fmt: skip


def _axis(
    best: Best, which: int, rows: list[tuple[float, ...]], start: float, end: float, system: str
) -> Axis:
    values = [row[which] for row in rows]
    key = best.question.aims[which].figure
    return figure_axis(key, min(values), max(values), start, end, system)


def _now(x: float, y: float, box: Box) -> str:
    words = "as written"
    right = x + svg.text_width(words, 13, bold=True) + 16 < box.right
    return (
        svg.line(x - 7, y, x + 7, y, role="ink", width=2.5)
        + svg.line(x, y - 7, x, y + 7, role="ink", width=2.5)
        + svg.text(x + 11 if right else x - 11, y + 18, words, size=13, bold=True,
                   anchor="start" if right else "end", kind="halo")
    )  # fmt: skip
