"""The strip: lanes on one clock, the forecast as a band, the record as a line of ink."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from loftwright.report import svg
from loftwright.report.rail import RailWord, draw_rail, place_words, rail_height
from loftwright.report.scales import Scale, nice_ticks, tick_texts
from loftwright.report.strip_blocks import draw_blocks
from loftwright.report.strip_lines import draw_curve, draw_spread, inside
from loftwright.report.strip_model import Lane, Limit, Strip
from loftwright.report.svg import Box

__all__ = ["WIDTHS", "Layout", "Room", "clock_of", "draw_lanes", "draw_strip", "room_of"]

Floats = NDArray[np.float64]


ROOMY = 1.15  # widths are estimated on the wide side
TICKS = 42  # px beside a lane that its tick labels take


@dataclass(frozen=True, slots=True)
class Layout:
    """Sizes in px for one page width; ``stacked`` puts a lane's name above it."""

    width: float
    left: float
    right: float
    type: float
    small: float
    stretch: float
    stacked: bool
    ticks: int
    gap: float


@dataclass(frozen=True, slots=True)
class Room:
    """What a drawing takes above its lanes, down to the rail, and below them, px."""

    rail: float = 0.0
    foot: float = 0.0


WIDTHS: dict[str, Layout] = {
    "wide": Layout(1120, 132, 104, 13, 12, 1.0, False, 12, 26),
    "medium": Layout(720, 130, 78, 13, 12, 0.9, False, 8, 24),
    "narrow": Layout(340, 40, 64, 13, 12, 0.85, True, 4, 36),
}


def draw_strip(strip: Strip, layout: Layout, kind: str = "") -> str:
    """Return the strip as inline SVG for one page width; lanes without numbers are left out."""
    lanes = tuple(lane for lane in strip.lanes if not lane.empty)
    return draw_lanes(replace(strip, lanes=lanes), layout, kind)


def draw_lanes(strip: Strip, layout: Layout, kind: str = "", room: Room | None = None) -> str:
    """Return the strip as `draw_strip` does, every lane drawn, with at least ``room`` around."""
    least = room or Room()
    clock = clock_of(strip, layout)
    words = _rail_words(strip, clock, layout)
    rail = max(rail_height(words, layout.small) + 4.0, least.rail)
    top, drawn = rail + (layout.gap if layout.stacked else 14.0), []
    for lane in strip.lanes:
        height = lane.height * layout.stretch
        box = Box(clock.start, top, clock.end, top + height)
        place = {"top": box.top, "bottom": box.bottom}
        drawn.append(svg.group("lane", _draw_lane(lane, clock, box, layout), place))
        top += height + layout.gap
    bottom = top - layout.gap if strip.lanes else top
    under, above = draw_rail(words, clock, rail, bottom, layout.small)
    cursor = svg.line(0, rail, 0, bottom, role="ink", kind="cursor")
    body = (
        svg.group("rail", under)
        + "".join(drawn)
        + svg.group("rail", above)
        + svg.group("axis", _time_axis(strip, clock, bottom, layout))
        + cursor
    )
    return svg.document(
        layout.width,
        bottom + max(_foot(strip), least.foot),
        body,
        title=strip.title,
        description=strip.description,
        kind=f"strip {kind}".strip(),
        data={"x0": clock.start, "x1": clock.end, "t0": clock.low, "t1": clock.high},
    )


def clock_of(strip: Strip, layout: Layout) -> Scale:
    """Return where each time of a strip stands on a page."""
    end = strip.end if strip.end > strip.start else strip.start + 1.0
    return Scale(strip.start, end, layout.left, layout.width - layout.right)


def room_of(strip: Strip, layout: Layout) -> Room:
    """Return what a strip takes above and below its lanes."""
    words = _rail_words(strip, clock_of(strip, layout), layout)
    return Room(rail_height(words, layout.small) + 4.0, _foot(strip))


def _rail_words(strip: Strip, clock: Scale, layout: Layout) -> list[RailWord]:
    return place_words(strip.events, clock, left=0.0, right=layout.width, size=layout.small)


def _foot(strip: Strip) -> float:
    return 46.0 if strip.close_up else 28.0


def _time_axis(strip: Strip, clock: Scale, y: float, layout: Layout) -> str:
    ticks = nice_ticks(clock.low, clock.high, layout.ticks)
    parts = [svg.line(clock.start, y, clock.end, y)]
    for tick, label in zip(ticks, tick_texts(ticks), strict=True):
        x = clock(tick)
        parts.append(svg.line(x, y, x, y + 5))
        parts.append(
            svg.text(x, y + 19, f"{label} s", size=layout.small, role="quiet", anchor="middle")
        )
    if strip.close_up:
        parts.append(_close_up(strip.close_up, clock, y + 27, layout))
    return "".join(parts)


def _close_up(part: tuple[float, float], clock: Scale, y: float, layout: Layout) -> str:
    first = clock(max(part[0], clock.low))
    last = max(clock(min(part[1], clock.high)), first + 4.0)
    bar = svg.rect(Box(first, y, last, y + 4), fill="var(--ink)", opacity=0.55)
    words = "this part is shown larger below"
    return bar + svg.text(first, y + 17, words, size=layout.small, role="quiet")


def _lane_range(lane: Lane, clock: Scale) -> tuple[float, float]:
    columns = [c.drawn[inside(c.time, clock)] for c in lane.curves]
    columns += [s.percentiles[inside(s.time, clock)].ravel() for s in lane.spreads]
    columns.append(np.array([*(limit.value for limit in lane.limits), *lane.reach]))
    numbers = np.concatenate([np.zeros(1 if lane.from_zero else 0), *columns])
    numbers = numbers[np.isfinite(numbers)]
    if numbers.size == 0:
        return 0.0, 1.0
    low, high = float(numbers.min()), float(numbers.max())
    if high <= low:
        high = low + 1.0
    room = 0.06 * (high - low)
    below = low < 0 or not lane.from_zero
    return (low - room if below else low), high + room


def _draw_lane(lane: Lane, clock: Scale, room: Box, layout: Layout) -> str:
    if lane.blocks:
        blocks = draw_blocks(lane, clock, room, layout.small)
        return _lane_name(lane, room, layout) + svg.group("plot blocks", blocks)
    low, high = _lane_range(lane, clock)
    level = Scale(low, high, room.bottom, room.top)
    lines = [draw_spread(spread, clock, level, room) for spread in lane.spreads]
    lines += [draw_curve(curve, clock, level, room) for curve in lane.curves]
    parts = [_lane_name(lane, room, layout), _lane_ticks(level, room, layout)]
    parts.append(svg.group("plot", "".join(lines)))
    # Where lanes are stacked, a lane's name stands where a note may want to.
    named = svg.text_width(f"{lane.name} {lane.unit}", layout.type, bold=True) + 5
    taken = [Box(0, room.top - 21, named, room.top - 4)] if layout.stacked else []
    parts += [_limit(limit, level, room, layout, taken) for limit in lane.limits]
    parts.append(svg.group("ends", _end_names(lane, clock, level, room, layout, taken)))
    parts.append(svg.group("notes", _notes(lane, clock, level, room, layout, taken)))
    return "".join(parts)


def _lane_name(lane: Lane, room: Box, layout: Layout) -> str:
    size, small = layout.type, layout.small
    if layout.stacked:
        y = room.top - 9
        name = svg.shortened(lane.name, 0.7 * layout.width, size)
        width = svg.text_width(name, size, bold=True)
        unit = svg.shortened(lane.unit, layout.width - width - 5, small)
        return svg.text(0, y, name, size=size, bold=True) + svg.text(
            width + 5, y, unit, size=small, role="quiet"
        )
    y = room.top + 12
    # Blocks have no ticks that names could meet.
    name = svg.shortened(lane.name, (layout.left - 8) / 1.1, size) if lane.blocks else lane.name
    unit = svg.shortened(lane.unit, layout.left - (8 if lane.blocks else TICKS), small)
    return svg.text(0, y, name, size=size, bold=True) + svg.text(
        0, y + 16, unit, size=small, role="quiet"
    )


def _lane_ticks(level: Scale, room: Box, layout: Layout) -> str:
    about = max(2, int((room.bottom - room.top) / 32))
    ticks = nice_ticks(level.low, level.high, about)
    parts = []
    for tick, label in zip(ticks, tick_texts(ticks), strict=True):
        y = level(tick)
        dash = "" if tick == 0 else "2 4"
        parts.append(svg.line(room.left, y, room.right, y, dash=dash))
        parts.append(
            svg.text(room.left - 7, y + 4, label, size=layout.small, role="quiet", anchor="end")
        )
    return "".join(parts)


def _limit(limit: Limit, level: Scale, room: Box, layout: Layout, taken: list[Box]) -> str:
    """Draw a level that must not be passed, hatched above, its words at the right."""
    y = level(limit.value)
    step, high = 9.0, min(6.0, y - room.top)
    count = int((room.right - room.left) / step)
    hatch = "".join(
        f"M{svg.num(room.left + step * k)},{svg.num(y)}l{svg.num(high)},{svg.num(-high)}"
        for k in range(count)
    )
    words = f"! {limit.words}"
    below, x = y + layout.small + 2, room.right - 6
    taken.append(svg.text_box(x, below, words, layout.small, anchor="end"))
    return (
        svg.line(room.left, y, room.right, y, role="warning", width=1.4)
        + f'<path d="{hatch}" stroke="var(--warning)" stroke-opacity="0.55" fill="none"/>'
        + svg.text(x, below, words, size=layout.small, role="warning", anchor="end", kind="halo")
    )


def _ends(lane: Lane, clock: Scale, level: Scale) -> list[tuple[float, str, str]]:
    lines = [(s.name, s.time, s.percentiles[:, 2], s.role) for s in lane.spreads]
    lines += [(c.name, c.time, c.drawn, c.role) for c in lane.curves]
    ends = []
    for name, time, value, role in lines:
        rows = np.flatnonzero((time <= clock.high) & np.isfinite(value) & np.isfinite(time))
        if rows.size and name:
            ends.append(
                (level(_last_value(time, value, int(rows[-1]), clock.high)), name, role.value)
            )
    return ends


def _last_value(time: Floats, value: Floats, row: int, end: float) -> float:
    """Return where a line leaves the lane: at its last row, or on its way to the next one."""
    after = row + 1
    if after == time.size or not (np.isfinite(value[after]) and time[after] > end):
        return float(value[row])
    return float(np.interp(end, time[row : after + 1], value[row : after + 1]))


def _end_names(
    lane: Lane, clock: Scale, level: Scale, room: Box, layout: Layout, taken: list[Box]
) -> str:
    """Name each line at the right, pushed apart upwards where lines end together."""
    parts, x = [], clock.end + 7
    ceiling = math.inf
    for y, name, role in sorted(_ends(lane, clock, level), key=lambda e: -e[0]):
        base = min(y + 4, room.bottom + 2, ceiling)
        ceiling = base - 1.15 * layout.small
        fitting = svg.shortened(name, ROOMY * (layout.width - x), layout.small)
        parts.append(svg.text(x, base, fitting, size=layout.small, role=role))
        taken.append(svg.text_box(x, base, fitting, layout.small))
    return "".join(parts)


def _notes(
    lane: Lane, clock: Scale, level: Scale, room: Box, layout: Layout, taken: list[Box]
) -> str:
    """Write each note beside its point where there is room; one without room is left out."""
    parts = []
    for note in lane.notes:
        if not (math.isfinite(note.time) and math.isfinite(note.value)):
            continue
        x, y = clock(note.time), level(note.value)
        place = _note_place(x, y, note.words, room, layout, taken)
        if place is None or not clock.start <= x <= clock.end:
            continue
        at_x, at_y, anchor, box = place
        taken.append(box)
        parts.append(svg.rect(Box(x - 2.5, y - 2.5, x + 2.5, y + 2.5), fill=f"var(--{note.role})"))
        parts.append(
            svg.text(
                at_x,
                at_y,
                note.words,
                size=layout.small,
                role=note.role,
                anchor=anchor,
                kind="halo",
            )
        )
    return "".join(parts)


def _note_place(
    x: float, y: float, words: str, room: Box, layout: Layout, taken: list[Box]
) -> tuple[float, float, str, Box] | None:
    small = layout.small
    sides = [(x + 8, "start"), (x - 8, "end")]
    levels = [max(y - 5, room.top - 2), y + 17, max(y - 5, room.top + 0.8 * small), y + 30]
    for at_y, (at_x, anchor) in product([min(each, room.bottom - 3) for each in levels], sides):
        box = svg.text_box(at_x, at_y, words, small, anchor=anchor)
        inside = box.left >= room.left and box.right <= layout.width
        if inside and not any(box.overlaps(other, 2) for other in taken):
            return at_x, at_y, anchor, box
    return None
