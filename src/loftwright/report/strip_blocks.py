"""Lanes of blocks: stages of a controller, or when an output is on, each named where it fits."""

from __future__ import annotations

from loftwright.report import svg
from loftwright.report.scales import Scale
from loftwright.report.strip_model import Block, Lane
from loftwright.report.svg import Box

__all__ = ["draw_blocks", "hatched"]

GAP = 1.0  # px on either side of a block
PAD = 6.0  # px between a block's edge and its words
LEAST = 3  # letters of a shortened name that still say something
SHADE = {"rule": 0.75, "vehicle": 0.24, "payload": 0.24, "warning": 0.12}


def draw_blocks(lane: Lane, clock: Scale, room: Box, size: float) -> str:
    """Return the blocks of a lane; ``size`` is that of their words, px.

    Blocks stand one after the other: of two that run over each other the later one is drawn from
    its start on. A name that does not fit is shortened, or left out where nothing would remain.
    """
    middle = 0.5 * (room.top + room.bottom)
    parts = [svg.line(room.left, middle, room.right, middle)]
    blocks = sorted(lane.blocks, key=lambda block: block.start)
    for number, block in enumerate(blocks):
        later = blocks[number + 1].start if number + 1 < len(blocks) else block.end
        left = max(clock(block.start), room.left)
        right = min(clock(min(block.end, later)), room.right)
        if right > left:
            # What is very short can still be seen.
            inner = Box(left + GAP, room.top, max(right - GAP, left + GAP + 1.0), room.bottom)
            parts.append(_block(block, inner, size))
    return "".join(parts)


def _block(block: Block, box: Box, size: float) -> str:
    warns = block.role == "warning"
    shade = SHADE.get(block.role, 0.24)
    parts = [
        svg.rect(box, fill="var(--paper)"),
        svg.rect(box, fill=f"var(--{block.role})", opacity=shade),
    ]
    if warns:
        parts.append(hatched(box))
    words = fitting(block.words, box.right - box.left - 2 * PAD, size)
    if words:
        y = 0.5 * (box.top + box.bottom) + 0.35 * size
        role = "warning" if warns else "ink"
        kind = "halo" if warns else ""
        parts.append(svg.text(box.left + PAD, y, words, size=size, role=role, kind=kind))
    return "".join(parts)


def fitting(words: str, width: float, size: float) -> str:
    """Return the words as far as they fit into ``width`` px, or nothing."""
    short = svg.shortened(words, width, size)
    if short == words or len(short) > LEAST:
        return short
    return ""


def hatched(box: Box, step: float = 7.0) -> str:
    """Return hatching in the colour of warnings that fills a box (no patterns, hence no ids)."""
    high, wide = box.bottom - box.top, box.right - box.left
    lines = []
    for k in range(int((wide + high) / step) + 1):
        # Along each line x + y is the same: it enters at the bottom or the left, and leaves at
        # the top or the right.
        along = step * k
        x1, x2 = max(along - high, 0.0), min(along, wide)
        if x2 > x1:
            start = f"M{svg.num(box.left + x1)},{svg.num(box.top + along - x1)}"
            lines.append(f"{start}L{svg.num(box.left + x2)},{svg.num(box.top + along - x2)}")
    return f'<path d="{"".join(lines)}" stroke="var(--warning)" stroke-opacity="0.5" fill="none"/>'
