"""The flights in a log: each a rise from rest; one file may hold several, or restarts of a clock.

Readings are gathered in short spans of time as they come, so that a log of any length needs little
memory here. Nothing but the difference of heights counts: where the recorder counts them from does
not matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.log_guess import FLIGHT_PRESSURE
from loftwright.physics.atmosphere import LAPSE_RATE, PRESSURE_EXPONENT
from loftwright.physics.standard_atmosphere import STANDARD_PRESSURE

__all__ = ["FlightFinder", "FlightSpan", "height_of"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
AT_ONCE = 1 << 16  # rows
SPAN = 0.1  # s that readings are gathered over
STANDARD = 288.15  # K
# What is taken for a liftoff: common practice, no source.
RISE = 5.0  # m over the rest before it, ...
HELD = 0.5  # ... for so many seconds without a reading below it
GUARD, REST = 1.0, 5.0  # s before it between which the rest lies
LEAST_REST = 2  # spans
STEADY = 2.0  # m that a rest may drift or scatter
# What is taken for a rest after landing.
STILL, LYING = 1.5, 5.0  # m within which heights stay, for so many seconds
NEAR = (120.0, 60.0)  # s before liftoff and after landing that belong to a flight


@dataclass(frozen=True, slots=True)
class FlightSpan:
    """A flight in a log: lines from ``first`` up to and without ``end``, its liftoff among them.

    ``liftoff_s`` is by the log's clock, ``top_m`` how far it rose over the rest before. ``landed``
    tells that it is seen to lie still afterwards. ``near`` are the lines of the flight itself, with
    a wait before it and after.
    """

    first: int
    end: int
    liftoff: int
    liftoff_s: float
    top_m: float
    landed: bool
    near: tuple[int, int]

    def describe(self) -> str:
        """In a few words, for a list."""
        return f"line {self.liftoff}, {self.liftoff_s:.6g} s by its clock, {self.top_m:.0f} m high"


def height_of(values: Floats, *, is_pressure: bool) -> Floats:
    """Return heights [m] to compare: of pressure [Pa] those of the standard atmosphere (ISO 2533).

    Not-a-number where pressure is none that a flight meets.
    """
    if not is_pressure:
        return values
    met = (values >= FLIGHT_PRESSURE[0]) & (values <= FLIGHT_PRESSURE[1])
    ratio = np.where(met, values, np.nan) / STANDARD_PRESSURE
    found: Floats = (1.0 - ratio ** (1.0 / PRESSURE_EXPONENT)) * STANDARD / LAPSE_RATE
    return found


@dataclass(frozen=True, slots=True)
class _Piece:
    """The spans between two restarts of the clock: time, lowest and mean height, first line."""

    time: Floats
    lowest: Floats
    mean: Floats
    line: Whole
    end: int


class FlightFinder:
    """Takes time [s] and height [m], or pressure [Pa], of rows as they come.

    ``flights`` says what was in them.

    ``began_s`` is the first time there was, ``end`` the line after the last.
    """

    def __init__(self, *, is_pressure: bool) -> None:
        self.is_pressure = is_pressure
        self.end = 1
        self.began_s: float | None = None
        self._last = float("nan")
        self._parts: list[tuple[Floats, Floats, Floats, Whole]] = []
        self._starts: list[int] = [0]

    def feed(self, time: Floats, values: Floats, lines: NDArray[np.int32]) -> None:
        """Take the next rows, with their lines; those without time or value tell nothing."""
        for first in range(0, len(time), AT_ONCE):
            part = slice(first, first + AT_ONCE)
            height = height_of(values[part], is_pressure=self.is_pressure)
            self._feed(time[part], height, lines[part])

    def _feed(self, time: Floats, height: Floats, lines: NDArray[np.int32]) -> None:
        timed = np.isfinite(time)
        moment, number = time[timed], lines[timed].astype(np.int64)
        if not moment.size:
            return
        self.end = int(lines[-1]) + 1
        self.began_s = float(moment[0]) if self.began_s is None else self.began_s
        step = np.diff(moment, prepend=moment[0] if np.isnan(self._last) else self._last)
        back = step < 0.0
        self._starts += number[back].tolist()
        self._last = float(moment[-1])
        level = height[timed]
        known = np.isfinite(level)
        if known.any():
            piece = np.cumsum(back, dtype=np.int64)
            self._gather(moment[known], level[known], number[known], piece[known])

    def _gather(self, time: Floats, height: Floats, line: Whole, piece: Whole) -> None:
        place = np.floor(time / SPAN)
        begins = np.flatnonzero(
            np.concatenate([[True], (np.diff(place) != 0.0) | (np.diff(piece) != 0)])
        )
        many = np.diff(np.append(begins, len(time)))
        self._parts.append(
            (
                time[begins],
                np.minimum.reduceat(height, begins),
                np.add.reduceat(height, begins) / many,
                line[begins],
            )
        )

    @property
    def restarts(self) -> int:
        """How often the clock went back."""
        return len(self._starts) - 1

    def flights(self) -> list[FlightSpan]:
        """Return the flights in the order of the file."""
        return [flight for piece in self._pieces() for flight in _flights(piece)]

    def _pieces(self) -> Iterator[_Piece]:
        if not self._parts:
            return
        time, lowest, mean, line = (np.concatenate(each) for each in zip(*self._parts, strict=True))
        edges = [*self._starts, self.end]
        for first, end in pairwise(edges):
            part = slice(*np.searchsorted(line, (first, end)))
            if part.stop > part.start:
                yield _Piece(time[part], lowest[part], mean[part], line[part], end)


def _flights(piece: _Piece) -> list[FlightSpan]:
    found: list[tuple[int, int | None, float]] = []
    after = 0
    for place in _rises(piece):
        if place < after:
            continue
        rest = _rest_before(piece, place)
        if rest is None or not _is_held(piece, place, rest):
            continue
        landed = _landing(piece, place)
        if landed == place:  # a step of the sensor: it lies as still as before, only higher
            continue
        last = len(piece.time) if landed is None else landed
        found.append((place, landed, float(piece.mean[place:last].max()) - rest))
        after = last
        if landed is None:
            break
    return _spans(piece, found)


def _rises(piece: _Piece) -> list[int]:
    """Places that are as high over a second before as a liftoff is."""
    before = np.searchsorted(piece.time, piece.time - GUARD)
    rise = piece.lowest - piece.mean[np.minimum(before, len(piece.time) - 1)]
    found: list[int] = np.flatnonzero(rise >= RISE).tolist()
    return found


def _rest_before(piece: _Piece, place: int) -> float | None:
    """Return the height of the rest before a place; None where there is none."""
    now = piece.time[place]
    first, last = np.searchsorted(piece.time, (now - REST, now - GUARD))
    rest = piece.mean[first:last]
    if len(rest) < LEAST_REST or piece.time[first] > now - 2.0 * GUARD:
        return None
    level = float(np.median(rest))
    middle = len(rest) // 2
    drift = abs(float(np.median(rest[:middle]) - np.median(rest[middle:])))
    scatter = float(np.median(np.abs(rest - level)))
    return level if max(drift, scatter) <= STEADY else None


def _is_held(piece: _Piece, place: int, rest: float) -> bool:
    end = int(np.searchsorted(piece.time, piece.time[place] + HELD, side="right"))
    return end < len(piece.time) and bool((piece.lowest[place : end + 1] > rest + RISE).all())


def _landing(piece: _Piece, place: int) -> int | None:
    """Return the first place from which heights stay together, None where there is none."""
    time, mean = piece.time, piece.mean
    while True:
        end = int(np.searchsorted(time, time[place] + LYING))
        if end >= len(time):
            return None
        off = np.flatnonzero(np.abs(mean[place:end] - np.median(mean[place:end])) > STILL)
        if not off.size:
            return place
        place += max(1, int(off[0]), (end - place) // 20)


def _spans(piece: _Piece, found: Sequence[tuple[int, int | None, float]]) -> list[FlightSpan]:
    """Part the lines of a piece among its flights: halfway from a landing to the next liftoff."""
    if not found:
        return []
    edges = [int(piece.line[0])]
    for (_, landed, _), (place, _, _) in pairwise(found):
        middle = (place if landed is None else landed) + place
        edges.append(int(piece.line[middle // 2]))
    edges.append(piece.end)
    return [
        FlightSpan(
            first=first,
            end=end,
            liftoff=int(piece.line[place]),
            liftoff_s=float(piece.time[place]),
            top_m=top,
            landed=landed is not None,
            near=_near(piece, place, landed, (first, end)),
        )
        for (place, landed, top), (first, end) in zip(found, pairwise(edges), strict=True)
    ]


def _near(
    piece: _Piece, place: int, landed: int | None, within: tuple[int, int]
) -> tuple[int, int]:
    """Return the first and the last line of a flight with its wait before and after."""
    first = int(np.searchsorted(piece.time, piece.time[place] - NEAR[0]))
    begin = max(within[0], int(piece.line[first]) if first else within[0])
    if landed is None:
        return begin, within[1] - 1
    last = int(np.searchsorted(piece.time, piece.time[landed] + NEAR[1]))
    end = int(piece.line[last]) - 1 if last < len(piece.line) else within[1] - 1
    return begin, min(end, within[1] - 1)
