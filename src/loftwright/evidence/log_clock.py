"""The clock of a log: where it repeats, stops, or jumps back. Nothing is put in order silently."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem
from loftwright.evidence.log_problems import log_problem, log_warning

__all__ = ["Kept", "check_clock"]

Floats = NDArray[np.float64]
WHOLE = 0.9  # share of the rows that one piece must have to be read alone
LONG = 5.0  # usual steps that make a hole
LEAST_HOLE = 0.1  # s
LOOK = 1 << 18  # rows that are looked at at once


@dataclass(frozen=True, slots=True)
class Kept:
    """The rows of a log that count: from ``first`` up to and without ``end``."""

    first: int
    end: int
    warnings: tuple[Problem, ...]


def _steps(time: Floats) -> Iterator[tuple[int, Floats]]:
    """Yield steps in pieces, with the row that each begins at, so that memory stays flat."""
    for first in range(0, max(len(time) - 1, 0), LOOK):
        yield first, np.diff(time[first : first + LOOK + 1])


def check_clock(file: str, time: Floats, lines: NDArray[np.int32]) -> Kept:
    """Say which rows to read: all, or the longest piece between two jumps back of the clock.

    A piece is read alone where it has nine tenths of the rows; else the log is refused.

    Raises
    ------
    ProblemError
        The clock jumps back in the middle of the log, or stands still in most rows.
    """
    nothing = np.zeros(0, dtype=np.int64)
    places = [first + 1 + np.flatnonzero(step < 0.0) for first, step in _steps(time)]
    backs = np.concatenate([nothing, *places])
    first, end = 0, len(time)
    warnings: list[Problem] = []
    if backs.size:
        first, end = _longest(backs, len(time))
        warnings.append(_told_back(file, time, lines, backs, (first, end)))
    warnings += _repeats_and_holes(file, time[first:end], lines[first:end])
    return Kept(first, end, tuple(warnings))


def _longest(backs: NDArray[np.int64], rows: int) -> tuple[int, int]:
    edges = np.concatenate([[0], backs, [rows]])
    place = int(np.argmax(np.diff(edges)))
    return int(edges[place]), int(edges[place + 1])


def _told_back(
    file: str,
    time: Floats,
    lines: NDArray[np.int32],
    backs: NDArray[np.int64],
    kept: tuple[int, int],
) -> Problem:
    """Return the warning that a piece is read alone; raise where none is nearly all."""
    row = int(backs[0])
    before, value, line = f"{time[row - 1]:.6g} s", f"{time[row]:.6g} s", int(lines[row])
    count = kept[1] - kept[0]
    if count < WHOLE * len(time):
        raise log_problem(
            "log-clock-back",
            file=file,
            line=line,
            value=value,
            before=before,
            jumps=len(backs),
            share=round(100.0 * count / len(time)),
        )
    facts = {
        "before": before,
        "value": value,
        "first": int(lines[kept[0]]),
        "last": int(lines[kept[1] - 1]),
        "left": len(time) - count,
    }
    return log_warning("log-clock-cut", file=file, line=line, facts=facts)


def _repeats_and_holes(file: str, time: Floats, lines: NDArray[np.int32]) -> list[Problem]:
    found: list[Problem] = []
    repeats, first_repeat = 0, 0
    usual = _usual_step(time)
    holes, first_hole, longest = 0, 0, 0.0
    for first, step in _steps(time):
        same = np.flatnonzero(step == 0.0)
        if same.size and not repeats:
            first_repeat = first + int(same[0]) + 1
        repeats += same.size
        long = np.flatnonzero(step > max(LONG * usual, LEAST_HOLE))
        if long.size and not holes:
            first_hole = first + int(long[0]) + 1
        holes += long.size
        longest = max(longest, float(step.max()))
    if 2 * repeats > len(time):
        raise log_problem("log-clock-coarse", file=file, line=int(lines[first_repeat]))
    if repeats:
        line, facts = int(lines[first_repeat]), {"count": repeats}
        found.append(log_warning("log-time-repeats", file=file, line=line, facts=facts))
    if holes:
        line, said = int(lines[first_hole]), {"count": holes, "value": f"{longest:.4g} s"}
        found.append(log_warning("log-time-holes", file=file, line=line, facts=said))
    return found


def _usual_step(time: Floats) -> float:
    """Median step of the first rows that have one, s."""
    step = np.diff(time[:LOOK])
    step = step[step > 0.0]
    return float(np.median(step)) if step.size else 0.0
