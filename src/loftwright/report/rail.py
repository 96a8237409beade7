"""The rail above a strip: events in words, in as many rows as they need, and when each is due."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from loftwright.report import svg
from loftwright.report.scales import Scale
from loftwright.report.strip_model import Event
from loftwright.report.svg import Box

__all__ = ["RailWord", "draw_rail", "place_words", "rail_height"]

GAP = 7.0
BAR = 4.0


@dataclass(frozen=True, slots=True)
class RailWord:
    """An event with its place: ``x`` of its hairline, row above the rail, room of its words."""

    event: Event
    x: float
    row: int
    anchor: str
    box: Box


def _fits(box: Box, stem: float, placed: Sequence[RailWord], row: int, *, clear: bool) -> bool:
    for other in placed:
        if other.row == row and other.box.overlaps(box, GAP):
            return False
        # A hairline runs down from its own row: no word of a lower row may stand across it.
        if clear and other.row < row and other.box.left - 3 < stem < other.box.right + 3:
            return False
    return True


def _box(x: float, words: str, anchor: str, size: float, row: int) -> Box:
    offset = 4.0 if anchor == "start" else -4.0
    return svg.text_box(x + offset, -row * 1.35 * size, words, size, anchor=anchor)


def _place(
    event: Event,
    x: float,
    others: Sequence[float],
    placed: Sequence[RailWord],
    page: tuple[float, float],
    size: float,
) -> RailWord:
    # First where no other event's hairline would meet the words, then where only words matter.
    for clear in (True, False):
        for row in range(len(placed) + 1):
            for anchor in ("start", "end"):
                box = _box(x, event.words, anchor, size, row)
                inside = box.left >= page[0] and box.right <= page[1]
                met = clear and anchor == "end" and any(box.left < o < box.right for o in others)
                if inside and not met and _fits(box, x, placed, row, clear=clear):
                    return RailWord(event, x, row, anchor, box)
    # Words that fit on neither side: the free row on top of all the others, as much as fits.
    row = max((word.row for word in placed), default=-1) + 1
    anchor = "start" if x < sum(page) / 2 else "end"
    room = (page[1] - x if anchor == "start" else x - page[0]) - 4.0
    event = replace(event, words=svg.shortened(event.words, room, size))
    return RailWord(event, x, row, anchor, _box(x, event.words, anchor, size, row))


def place_words(
    events: Sequence[Event], clock: Scale, *, left: float, right: float, size: float
) -> list[RailWord]:
    """Place each event's words so that no two overlap, from the last event to the first.

    Boxes are relative to the baseline of row 0; events without a finite time, or outside the
    clock, are left out.
    """
    shown = [e for e in events if math.isfinite(e.time) and clock.low <= e.time <= clock.high]
    places = [clock(e.time) for e in shown]
    placed: list[RailWord] = []
    for event in sorted(shown, key=lambda e: e.time, reverse=True):
        x = clock(event.time)
        placed.append(_place(event, x, places, placed, (left, right), size))
    return placed[::-1]


def rail_height(words: Sequence[RailWord], size: float) -> float:
    """Return the room that the words need above the rail, px."""
    rows = max((word.row for word in words), default=-1) + 1
    return rows * 1.35 * size + (10.0 if rows else 0.0)


def _due(word: RailWord, clock: Scale, y: float) -> str:
    event = word.event
    if event.early is None or event.late is None:
        return ""
    if not (math.isfinite(event.early) and math.isfinite(event.late)):
        return ""
    first = max(clock(event.early), clock.start)
    last = min(clock(event.late), clock.end)
    if last < clock.start or first > clock.end:
        return ""
    if last - first < 3.0:
        middle = (first + last) / 2
        first, last = middle - 1.5, middle + 1.5
    role = "payload" if event.role == "payload" else "vehicle"
    return svg.rect(Box(first, y - BAR, last, y), fill=f"var(--{role})", opacity=0.6)


def _hairline(
    word: RailWord, words: Sequence[RailWord], top: float, bottom: float, base: float
) -> list[tuple[float, float]]:
    """Return the pieces of an event's hairline, with gaps where it would cross words."""
    crossed = [other.box for other in words if other.box.left - 2 < word.x < other.box.right + 2]
    pieces = []
    for box in sorted(crossed, key=lambda b: b.top):
        if base + box.bottom > top:
            pieces.append((top, base + box.top))
            top = base + box.bottom
    return [(start, end) for start, end in [*pieces, (top, bottom)] if end > start]


def draw_rail(
    words: Sequence[RailWord], clock: Scale, y: float, bottom: float, size: float
) -> tuple[str, str]:
    """Return hairlines and bars (to lie under the lanes), and words (to lie above them).

    ``y`` is the rail, ``bottom`` where the hairlines end.
    """
    under = [svg.line(clock.start, y, clock.end, y)]
    above = []
    base = y - 10.0
    for word in words:
        top = base - word.row * 1.35 * size - 0.6 * size
        for start, end in _hairline(word, words, top, bottom, base):
            under.append(svg.line(word.x, start, word.x, end))
        above.append(_due(word, clock, y))
        offset = 4.0 if word.anchor == "start" else -4.0
        above.append(
            svg.text(
                word.x + offset,
                base - word.row * 1.35 * size,
                word.event.words,
                size=size,
                role=word.event.role,
                anchor=word.anchor,
            )
        )
    return "".join(under), "".join(above)
