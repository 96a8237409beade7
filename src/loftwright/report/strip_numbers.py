"""The numbers of a window of a strip: for its readout, for a table, for an answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.report.decimate import column_extremes
from loftwright.report.levels import columns_of
from loftwright.report.scales import Scale
from loftwright.report.strip import Layout, clock_of
from loftwright.report.strip_model import Lane, Strip
from loftwright.report.window import LevelledStrip, Window, cut_strip

__all__ = ["Column", "columns_in", "lines_of", "window_readout"]

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]

SHARES = ("5 %", "25 %", "50 %", "75 %", "95 %")
FEW = 2  # samples a pixel column up to which all of them are told


@dataclass(frozen=True, slots=True)
class Column:
    """One column of numbers: whose it is, and its samples ``(n,)``, as they were."""

    lane: str
    line: str
    share: str
    unit: str
    time: Floats
    value: Floats

    @property
    def head(self) -> str:
        """Its words, with its unit in brackets."""
        said = ", ".join(each for each in (self.lane, self.line, self.share) if each)
        return f"{said} ({self.unit})" if self.unit else said


def lines_of(lane: Lane) -> Iterator[Column]:
    """Yield every column of a lane, curves first."""
    for curve in lane.curves:
        yield Column(lane.name, curve.name or curve.told, "", lane.unit, curve.time, curve.value)
    for spread in lane.spreads:
        for k, share in enumerate(SHARES):
            values = spread.percentiles[:, k]
            yield Column(
                lane.name, spread.name or spread.told, share, lane.unit, spread.time, values
            )


def columns_in(strip: Strip, window: Window) -> list[Column]:
    """Return all columns of the lanes in a window, with every sample that lies in it."""
    found = []
    for number, lane in enumerate(strip.lanes):
        if lane.empty or number in window.without:
            continue
        for each in lines_of(lane):
            rows = _rows_between(each.time, window)
            found.append(
                Column(
                    each.lane, each.line, each.share, each.unit, each.time[rows], each.value[rows]
                )
            )
    return found


def _rows_between(time: Floats, window: Window) -> Rows:
    return np.flatnonzero((time >= window.start) & (time <= window.end))


# ---------------------------------------------------------------- the readout


def window_readout(source: LevelledStrip, window: Window, layout: Layout) -> dict[str, Any]:
    """Return what a cursor reads in a window: samples as they were, each with its own time.

    Of lines with more samples than a screen can show, the lowest and the highest of each pixel
    column are told, and ``thinned`` says so. Times are in s, values in the unit of the lane; a
    value that is no number is None. A band has ``v`` for its median, ``lo`` and ``hi`` for 5 and
    95 %. A lane of blocks has ``stays``: start, end and words of each, as far as
    they lie in the window.
    """
    part = cut_strip(source, window, layout)
    clock = clock_of(part, layout)
    return {
        "from": window.start,
        "to": window.end,
        "lanes": [_lane_readout(lane, clock) for lane in part.lanes],
        "events": [
            [event.time, event.words]
            for event in part.events
            if window.start <= event.time <= window.end
        ],
    }


def _lane_readout(lane: Lane, clock: Scale) -> dict[str, Any]:
    lines = [_spread_readout(s.name or s.told, s.time, s.percentiles, clock) for s in lane.spreads]
    lines += [_curve_readout(c.name or c.told, c.time, c.value, clock) for c in lane.curves]
    stays = [
        [max(b.start, clock.low), min(b.end, clock.high), b.words]
        for b in lane.blocks
        if b.words and b.end >= clock.low and b.start <= clock.high
    ]
    return {"name": lane.name, "unit": lane.unit, "lines": lines, "stays": stays}


def _curve_readout(name: str, time: Floats, value: Floats, clock: Scale) -> dict[str, Any]:
    rows, thinned = _told_rows(time, value, clock)
    return {"name": name, "thinned": thinned, "t": time[rows].tolist(), "v": _plain(value[rows])}


def _spread_readout(name: str, time: Floats, values: Floats, clock: Scale) -> dict[str, Any]:
    rows, thinned = _told_rows(time, values[:, 2], clock)
    low, middle, high = (_plain(values[rows, k]) for k in (0, 2, 4))
    at = time[rows].tolist()
    return {"name": name, "thinned": thinned, "t": at, "v": middle, "lo": low, "hi": high}


def _plain(values: Floats) -> list[float | None]:
    if np.isfinite(values).all():
        return list(values.tolist())
    return [each if np.isfinite(each) else None for each in values.tolist()]


def _told_rows(time: Floats, value: Floats, clock: Scale) -> tuple[Rows, bool]:
    """Return the rows to tell, and whether some were left out."""
    known = np.flatnonzero(np.isfinite(time))
    if known.size <= FEW * abs(clock.end - clock.start):
        return known, False
    good = known[np.isfinite(value[known])]
    return good[column_extremes(columns_of(time[good], clock), value[good], ends=False)], True
