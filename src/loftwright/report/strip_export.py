"""A window of a strip by itself: as a drawing that any program shows, and as a table of numbers."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.cells import cell, cells
from loftwright.report.drawn import LAYOUTS
from loftwright.report.strip_model import Strip
from loftwright.report.strip_numbers import Column, columns_in
from loftwright.report.theme import LIGHT
from loftwright.report.window import LevelledStrip, Window, draw_window

__all__ = ["strip_csv", "strip_svg"]

Floats = NDArray[np.float64]

ROWS_AT_ONCE: Final = 20_000
FACES: Final = "system-ui, 'Segoe UI', Roboto, 'Noto Sans', 'DejaVu Sans', sans-serif"
_ROLE: Final = re.compile(r"var\(--([a-z]+)\)")
_CURSOR: Final = re.compile(r'<line class="cursor"[^>]*/>')


# ---------------------------------------------------------------- the drawing


def strip_svg(
    source: LevelledStrip,
    window: Window,
    width: str = "wide",
    colours: Mapping[str, str] = LIGHT,
) -> str:
    """Return a window as an SVG file, in the colours of paper if not in others.

    ``width`` is one of `LAYOUTS`, ``colours`` maps roles to them.
    """
    drawn = draw_window(source, window, LAYOUTS[width], width)
    drawn = _ROLE.sub(lambda found: colours.get(found[1], found[0]), _CURSOR.sub("", drawn))
    head, _, body = drawn.partition(">")
    size = re.search(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"', head)
    assert size is not None
    wide, high = float(size[1]), float(size[2])
    margin = 16.0
    frame = f"{-margin:g} {-margin:g} {wide + 2 * margin:g} {high + 2 * margin:g}"
    head = head.replace(size[0], f'viewBox="{frame}"')
    head += f' width="{wide + 2 * margin:g}" height="{high + 2 * margin:g}"'
    paper = colours["paper"]
    style = (
        f"text{{font-family:{FACES};font-variant-numeric:tabular-nums}}"
        f".halo{{paint-order:stroke;stroke:{paper};stroke-width:4px;stroke-linejoin:round}}"
    )
    ground = f'<rect x="{-margin:g}" y="{-margin:g}" width="100%" height="100%" fill="{paper}"/>'
    return f"{head}><style>{style}</style>{ground}{body}\n"


# ---------------------------------------------------------------- the table


def strip_csv(source: LevelledStrip, window: Window) -> Iterator[str]:
    """Yield a window as CSV, piece by piece: a row a moment, every sample of every line in it.

    Lines have clocks of their own: a row is a moment at which any of them has a sample, and a cell
    is empty where its line has none there, or none that is a number. Lanes of blocks have the words
    of the block that holds at the moment; ``event`` has what happens at it.
    """
    columns = columns_in(source.strip, window)
    moments, places = _moments(source.strip, window, columns)
    stays = _stays(source.strip, window)
    heads = ["time (s)", *(each.head for each in columns), *(name for name, _ in stays)]
    happened = _events(source.strip, window)
    yield _lines([cells([*heads, *(["event"] if happened else [])])])
    for first in range(0, moments.size, ROWS_AT_ONCE):
        part = slice(first, first + ROWS_AT_ONCE)
        table = [_cells(moments[part].tolist())]
        table += [
            _column_cells(each, rows, first, moments[part].size)
            for each, rows in zip(columns, places, strict=True)
        ]
        table += [[_during(spans, at) for at in moments[part].tolist()] for _, spans in stays]
        if happened:
            table.append(_happening(happened, moments, first, moments[part].size))
        yield _lines(zip(*table, strict=True))


def _lines(rows: Iterable[Iterable[str]]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def _moments(
    strip: Strip, window: Window, columns: Sequence[Column]
) -> tuple[Floats, list[NDArray[np.intp]]]:
    """Return the times of all rows in order, and for each column the rows of its samples.

    A time that a line has twice, as a clock with coarse steps may, has as many rows.
    """
    extra = [edge for _, spans in _stays(strip, window) for span in spans for edge in span[:2]]
    extra += [time for time, _ in _events(strip, window)]
    known = [each for each in extra if window.start <= each <= window.end]
    clocks: dict[bytes, Floats] = {}
    for each in [*(c.time for c in columns), np.unique(np.array(known, dtype=float))]:
        clocks.setdefault(each.tobytes(), each)
    times, turns = _with_turns(clocks.values())
    order = np.lexsort((turns, times))
    times, turns = times[order], turns[order]
    fresh = np.r_[True, (times[1:] != times[:-1]) | (turns[1:] != turns[:-1])][: times.size]
    row = np.empty(times.size, dtype=np.intp)
    row[order] = np.cumsum(fresh) - 1
    at: dict[bytes, NDArray[np.intp]] = {}
    first = 0
    for key, clock in clocks.items():
        at[key] = row[first : first + clock.size]
        first += clock.size
    return times[fresh], [at[each.time.tobytes()] for each in columns]


def _with_turns(clocks: Collection[Floats]) -> tuple[Floats, NDArray[np.intp]]:
    """Return all times one after the other, and how often each came before in its own clock."""
    times: list[Floats] = []
    turns: list[NDArray[np.intp]] = []
    for clock in clocks:
        order = np.argsort(clock, kind="stable")
        ordered = clock[order]
        starts = np.r_[True, ordered[1:] != ordered[:-1]][: clock.size]
        count = np.arange(clock.size)
        turn = np.empty(clock.size, dtype=np.intp)
        turn[order] = count - np.maximum.accumulate(np.where(starts, count, 0))
        times.append(clock)
        turns.append(turn)
    return np.concatenate(times), np.concatenate(turns)


def _cells(values: Sequence[float]) -> list[str]:
    return [repr(each) if math.isfinite(each) else "" for each in values]


def _column_cells(column: Column, rows: NDArray[np.intp], first: int, count: int) -> list[str]:
    here = np.flatnonzero((rows >= first) & (rows < first + count))
    cells = [""] * count
    for row, text in zip(
        (rows[here] - first).tolist(), _cells(column.value[here].tolist()), strict=True
    ):
        cells[row] = text
    return cells


Span = tuple[float, float, str]


def _stays(strip: Strip, window: Window) -> list[tuple[str, list[Span]]]:
    return [
        (lane.name, [(b.start, b.end, cell(b.words)) for b in lane.blocks])
        for number, lane in enumerate(strip.lanes)
        if lane.blocks and number not in window.without
    ]


def _during(spans: Sequence[Span], at: float) -> str:
    # Of two that run over each other the later one holds, as it is drawn.
    return next((words for start, end, words in reversed(spans) if start <= at < end), "")


def _events(strip: Strip, window: Window) -> list[tuple[float, str]]:
    return [
        (each.time, cell(each.words))
        for each in strip.events
        if window.start <= each.time <= window.end
    ]


def _happening(
    events: Sequence[tuple[float, str]], moments: Floats, first: int, count: int
) -> list[str]:
    cells = [""] * count
    for time, words in events:
        row = int(np.searchsorted(moments, time)) - first
        if 0 <= row < count:
            cells[row] = f"{cells[row]}; {words}" if cells[row] else words
    return cells
