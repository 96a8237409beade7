"""A window of a strip in rows: how many samples a line has, its least and its greatest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftwright.report.strip_model import Strip
from loftwright.report.strip_numbers import Column, columns_in
from loftwright.report.window import Window

__all__ = ["HEADS", "LineFacts", "facts_of", "line_rows", "window_words"]

HEADS = ("lane", "line", "unit", "samples", "least", "at", "greatest", "at")
Extreme = tuple[float, float]  # value, and when, s


@dataclass(frozen=True, slots=True)
class LineFacts:
    """What a window holds of one line; ``least`` and ``greatest`` are None without a number."""

    column: Column
    samples: int
    least: Extreme | None
    greatest: Extreme | None


def facts_of(strip: Strip, window: Window) -> list[LineFacts]:
    """Return what a window holds of every line of its lanes."""
    return [_facts(column) for column in columns_in(strip, window)]


def _facts(column: Column) -> LineFacts:
    good = np.flatnonzero(np.isfinite(column.value))
    if good.size == 0:
        return LineFacts(column, 0, None, None)
    time, value = column.time[good], column.value[good]
    low, high = int(value.argmin()), int(value.argmax())
    least, greatest = ((float(value[k]), float(time[k])) for k in (low, high))
    return LineFacts(column, good.size, least, greatest)


def window_words(strip: Strip, window: Window) -> str:
    """Return what is shown, and over which time."""
    return f"{strip.title}, {_short(window.start)} to {_short(window.end)} s"


def line_rows(facts: list[LineFacts]) -> list[tuple[str, ...]]:
    """Return a row for each line, under `HEADS`."""
    return [_row(each) for each in facts]


def _row(told: LineFacts) -> tuple[str, ...]:
    column = told.column
    name = ", ".join(each for each in (column.line, column.share) if each)
    ends = [*_said(told.least), *_said(told.greatest)]
    return (column.lane, name, column.unit, f"{told.samples}", *ends)


def _said(extreme: Extreme | None) -> tuple[str, str]:
    return ("", "") if extreme is None else (_short(extreme[0]), f"{_short(extreme[1])} s")


def _short(value: float) -> str:
    return f"{value:.4g}".replace("-", "−")
