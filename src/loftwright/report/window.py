"""A part of a strip, drawn as large as the whole: windows in time, lanes left out."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError, Where
from loftwright.report.levels import Levels, levels_of, rows_in
from loftwright.report.scales import Scale
from loftwright.report.strip import Layout, clock_of, draw_lanes, room_of
from loftwright.report.strip_lines import inside
from loftwright.report.strip_model import Curve, Lane, Spread, Strip

__all__ = [
    "LEAST_SPAN",
    "LevelledStrip",
    "Window",
    "cut_strip",
    "draw_window",
    "lane_calls",
    "levelled",
    "trimmed",
    "whole_of",
    "window_of",
]

Floats = NDArray[np.float64]
Place = tuple[int, int, int]  # lane, line of the lane (curves, then spreads), column of the line

LEAST_SPAN: Final = 1e-6  # s: finer than any clock on board


@dataclass(frozen=True, slots=True)
class LevelledStrip:
    """A strip with the levels of its long columns, ready to be cut to any window."""

    strip: Strip
    levels: Mapping[Place, Levels]


@dataclass(frozen=True, slots=True)
class Window:
    """A part of a strip's clock from ``start`` to ``end``, s.

    ``without`` are the numbers of the lanes that are left out.
    """

    start: float
    end: float
    without: frozenset[int] = frozenset()


def levelled(strip: Strip) -> LevelledStrip:
    """Return a strip with the levels of those columns that are long."""
    found = {}
    for place, time, value in columns_by_place(strip):
        levels = levels_of(time, value)
        if levels is not None:
            found[place] = levels
    return LevelledStrip(strip, found)


def columns_by_place(strip: Strip) -> list[tuple[Place, Floats, Floats]]:
    """Return every column of a strip: its place, its times and its values."""
    found: list[tuple[Place, Floats, Floats]] = []
    for lane_number, lane in enumerate(strip.lanes):
        for number, curve in enumerate(lane.curves):
            found.append(((lane_number, number, 0), curve.time, curve.value))
        for number, spread in enumerate(lane.spreads, start=len(lane.curves)):
            for k in range(spread.percentiles.shape[1]):
                found.append(((lane_number, number, k), spread.time, spread.percentiles[:, k]))
    return found


def whole_of(strip: Strip) -> tuple[float, float]:
    """Return the start and the end of a strip's clock, s."""
    return strip.start, strip.end if strip.end > strip.start else strip.start + 1.0


def lane_calls(strip: Strip) -> list[str]:
    """Return what each lane is called: its name, and where others share it its unit as well."""
    counts = Counter(lane.name for lane in strip.lanes)
    calls = [
        lane.name if counts[lane.name] == 1 else f"{lane.name}, {lane.unit}" for lane in strip.lanes
    ]
    again = Counter(calls)
    return [
        call if again[call] == 1 else f"{call}, {1 + calls[:number].count(call)}"
        for number, call in enumerate(calls)
    ]


def window_of(
    strip: Strip,
    start: float | None = None,
    end: float | None = None,
    without: Sequence[str] = (),
) -> Window:
    """Return a window that the strip has: edges beyond the strip's are moved to these.

    What is left out counts as the strip's own edge; lanes are named as `lane_calls` does, in
    letters of either case. Raises ``ProblemError``: ``strip-window`` for
    times that are no numbers, run backwards, lie beside the strip, or are closer together than
    `LEAST_SPAN`; ``strip-no-lane`` for a lane that the strip does not have.
    """
    first, last = whole_of(strip)
    low = first if start is None else start
    high = last if end is None else end
    if not (math.isfinite(low) and math.isfinite(high)):
        raise _no_window(strip, low, high, "a window needs two times that are numbers")
    if low >= high:
        raise _no_window(strip, low, high, "the window ends before it begins")
    low, high = max(low, first), min(high, last)
    if high - low < min(LEAST_SPAN, last - first):
        said = "the window lies beside the strip" if high <= low else "the window is too short"
        raise _no_window(strip, low, high, said)
    return Window(low, high, _named(strip, without))


def _no_window(strip: Strip, low: float, high: float, message: str) -> ProblemError:
    first, last = whole_of(strip)
    where = Where(field="--from, --to", value=f"{low:g} s to {high:g} s")
    mend = f"give times between {first:g} s and {last:g} s, the earlier one first"
    return ProblemError([Problem("strip-window", message, where, mend)])


def _named(strip: Strip, without: Sequence[str]) -> frozenset[int]:
    """Return the lanes that are meant; a name that several share means all of them."""
    calls = [call.casefold() for call in lane_calls(strip)]
    names = [lane.name.casefold() for lane in strip.lanes]
    found: set[int] = set()
    strange = []
    for said in without:
        wanted = said.casefold()
        meant = [k for k, call in enumerate(calls) if wanted in (call, names[k])]
        found.update(meant)
        if not meant:
            strange.append(said)
    if strange:
        mend = f"its lanes are {'; '.join(lane_calls(strip))}"
        raise ProblemError([
            Problem(
                "strip-no-lane",
                "the strip has no such lane",
                Where(field="--without", value=said[:80]),
                mend,
            )
            for said in strange
        ])  # fmt: skip
    return frozenset(found)


# ---------------------------------------------------------------- cutting


def trimmed(strip: Strip) -> Strip:
    """Return a strip with every sample that its clock shows and one beyond, and no others."""
    clock = Scale(*whole_of(strip), 0.0, 1.0)
    lanes = tuple(_trimmed_lane(lane, clock) for lane in strip.lanes)
    return replace(strip, lanes=lanes)


def _trimmed_lane(lane: Lane, clock: Scale) -> Lane:
    def rows(time: Floats) -> NDArray[np.intp]:
        return np.flatnonzero(inside(time, clock))

    return replace(
        lane,
        curves=tuple(_rows_of_curve(curve, rows(curve.time)) for curve in lane.curves),
        spreads=tuple(_rows_of_spread(spread, rows(spread.time)) for spread in lane.spreads),
    )


def cut_strip(source: LevelledStrip, window: Window, layout: Layout) -> Strip:
    """Return the part of a strip that a window shows, with rows enough to draw it alike.

    Lanes that the whole strip shows stay, though nothing may be in them. In a part of the strip a
    lane is as high as what is in sight: who looks closer wants to see what changes.
    """
    strip = source.strip
    part = (window.start, window.end)
    close = strip.close_up
    if close is not None and (close[1] <= part[0] or close[0] >= part[1] or _all_of(close, part)):
        close = None  # there is no part to mark
    clock = clock_of(replace(strip, start=window.start, end=window.end), layout)
    lanes = tuple(
        _cut_lane(number, lane, source.levels, clock)
        for number, lane in enumerate(strip.lanes)
        if not lane.empty and number not in window.without
    )
    if part != whole_of(strip):
        lanes = tuple(replace(lane, from_zero=False) for lane in lanes)
    return replace(strip, start=window.start, end=window.end, lanes=lanes, close_up=close)


def _all_of(outer: tuple[float, float], inner: tuple[float, float]) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def _cut_lane(number: int, lane: Lane, levels: Mapping[Place, Levels], clock: Scale) -> Lane:
    curves = []
    for line, curve in enumerate(lane.curves):
        rows = _rows(curve.time, [levels.get((number, line, 0))], clock)
        curves.append(_rows_of_curve(curve, rows))
    spreads = []
    for line, spread in enumerate(lane.spreads, start=len(lane.curves)):
        columns = range(spread.percentiles.shape[1])
        rows = _rows(spread.time, [levels.get((number, line, k)) for k in columns], clock)
        spreads.append(_rows_of_spread(spread, rows))
    return replace(lane, curves=tuple(curves), spreads=tuple(spreads))


def _rows(time: Floats, levels: Sequence[Levels | None], clock: Scale) -> NDArray[np.intp]:
    """Return the rows that count for any of a line's columns; none where it is not in sight."""
    known = [each for each in levels if each is not None]
    if len(known) == len(levels):
        rows = reduce(np.union1d, (rows_in(time, each, clock) for each in known))
    else:
        rows = np.flatnonzero(inside(time, clock))
    at = time[rows]
    in_sight = bool(((at >= clock.low) & (at <= clock.high)).any())
    crosses = bool((at < clock.low).any() and (at > clock.high).any())
    return rows if in_sight or crosses else rows[:0]


def _rows_of_curve(curve: Curve, rows: NDArray[np.intp]) -> Curve:
    return replace(curve, time=curve.time[rows], value=curve.value[rows])


def _rows_of_spread(spread: Spread, rows: NDArray[np.intp]) -> Spread:
    return replace(spread, time=spread.time[rows], percentiles=spread.percentiles[rows])


# ---------------------------------------------------------------- drawing


def draw_window(source: LevelledStrip, window: Window, layout: Layout, kind: str = "") -> str:
    """Return a window of a strip as inline SVG; the whole strip draws as `strip.draw_strip` does.

    Whatever the window, there is as much room above and below the lanes as around the whole strip,
    so that lanes stay where they are.
    """
    part = cut_strip(source, window, layout)
    return draw_lanes(part, layout, kind, room_of(source.strip, layout))
