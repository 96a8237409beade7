"""What one quantity, or two together, change: a row or a grid of points in one batch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.chance import chance_of
from loftwright.study.evaluate import Draws, evaluate
from loftwright.study.figures import is_chance, less_is_better, remedy, short_name, two_sided
from loftwright.study.phrases import SLACK, Limit, statistic, usual
from loftwright.study.spans import Span

__all__ = ["PERCENTILES", "Crossing", "Explored", "explore"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

PERCENTILES = ("p05", "median", "p95")
# Points that are flown before the next are begun: what is done is kept when it is stopped.
SLICE = 4096


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where along a single range a limit begins or ceases to hold."""

    limit: Limit
    at: float


@dataclass(frozen=True, slots=True)
class Explored:
    """The points and what they came to.

    ``grid`` holds the values of each span, ``(n0,)`` and ``(n1,)``; ``figures`` maps a column to
    ``(n0,)`` or ``(n0, n1)`` for the flight (the median of many), and ``bands`` to 5 and 95 %,
    ``(..., 2)``, with many flights. A chance is the share of the flights, with its 95 % interval.
    NaN where a figure did not happen or the documents refuse, with ``refused`` saying why.
    """

    campaign: Campaign
    spans: tuple[Span, ...]
    grid: tuple[Floats, ...]
    shown: tuple[str, ...]
    figures: dict[str, Floats]
    bands: dict[str, Floats]
    now: dict[str, float]  # each figure shown, as the documents are written
    limits: tuple[Limit, ...]
    kept: tuple[NDArray[np.bool_], ...]  # for each limit, where it is kept
    excesses: tuple[Floats, ...]
    refused: NDArray[np.object_]
    draws: Draws | None
    stopped: bool

    @property
    def allowed(self) -> NDArray[np.bool_]:
        """Return where every limit is kept and the documents read."""
        allowed = np.equal(self.refused, "")
        for kept in self.kept:
            allowed = allowed & kept
        return np.asarray(allowed, bool)

    def best_at(self, key: str) -> tuple[int, ...] | None:
        """Return where a figure is best among what is allowed; None where nothing is.

        Best is most, or least for what had better be small; of a place to one side nothing is.
        """
        if two_sided(key):
            return None
        values = np.where(self.allowed, self.figures[key], np.nan)
        if not np.isfinite(values).any():
            return None
        chosen = np.nanargmin(values) if less_is_better(key) else np.nanargmax(values)
        return tuple(int(k) for k in np.unravel_index(chosen, values.shape))

    def crossings(self) -> list[Crossing]:
        """Return where limits begin or cease to hold along a single range."""
        if len(self.spans) > 1:
            return []
        found = []
        for limit, excess in zip(self.limits, self.excesses, strict=True):
            signs = np.flatnonzero(np.diff(np.sign(excess - SLACK)))
            for i in signs.tolist():
                a, b = excess[i], excess[i + 1]
                if abs(a) + abs(b) < 100.0:  # not where a figure ceases to happen
                    x = self.grid[0]
                    found.append(Crossing(limit, float(x[i] + a / (a - b) * (x[i + 1] - x[i]))))
        return found


def explore(
    campaign: Campaign,
    spans: Sequence[Span],
    shown: Sequence[str],
    *,
    points: int,
    limits: Sequence[Limit] = (),
    draws: Draws | None = None,
    progress: Progress | None = None,
) -> Explored:
    """Fly every point of a row (one span) or a grid (two).

    Parameters
    ----------
    shown : sequence of str
        Columns to answer with.
    points : int
        Along each span; fewer where only whole numbers may stand.
    draws : Draws, optional
        Make every point an ensemble, all with the same draws and gusts.

    Raises
    ------
    ProblemError
        When a figure happens at no point, or the documents refuse all of them.
    """
    grid = tuple(span.points(points) for span in spans)
    across = np.meshgrid(*grid, indexing="ij")
    shape = across[0].shape
    columns = {span.path: each.ravel() for span, each in zip(spans, across, strict=True)}
    wanted = [*shown, *(limit.figure for limit in limits)]
    flown, refused, stopped = _sliced(campaign, columns, draws, wanted, progress)
    now = evaluate(campaign, {}, draws, wanted=wanted).columns
    middle = {key: statistic(flown[key], usual(key)).reshape(shape) for key in shown}
    _refuse_empty(middle, refused)
    excesses = tuple(limit.excess(flown[limit.figure]).reshape(shape) for limit in limits)
    return Explored(
        campaign=campaign,
        spans=tuple(spans),
        grid=grid,
        shown=tuple(shown),
        figures=middle,
        bands={} if draws is None else {key: _band(key, flown[key], shape) for key in shown},
        now={key: float(statistic(now[key], usual(key))[0]) for key in shown},
        limits=tuple(limits),
        kept=tuple(excess <= SLACK for excess in excesses),
        excesses=excesses,
        refused=np.array(refused, dtype=object).reshape(shape),
        draws=draws,
        stopped=stopped,
    )


def _sliced(
    campaign: Campaign,
    columns: dict[str, Floats],
    draws: Draws | None,
    wanted: Sequence[str],
    progress: Progress | None,
) -> tuple[dict[str, Floats], list[str], bool]:
    """Fly slice after slice; stopped by the person, the rest is left as not flown."""
    number, flights = len(next(iter(columns.values()))), draws.flights if draws else 1
    step = max(1, SLICE // flights)
    parts: list[dict[str, Floats]] = []
    refused: list[str] = []
    try:
        for start in range(0, number, step):
            told = None if progress is None else _from(progress, start * flights, number * flights)
            points = {path: column[start : start + step] for path, column in columns.items()}
            part = evaluate(campaign, points, draws, wanted=wanted, progress=told)
            parts.append({key: part.columns[key] for key in wanted})
            refused += part.refused
    except KeyboardInterrupt:
        if not parts:
            raise
    left = number - len(refused)
    empty = np.full((left,) if draws is None else (left, draws.flights), np.nan)
    flown = {key: np.concatenate([*(part[key] for part in parts), empty]) for key in wanted}
    return flown, refused + ["not flown: stopped before"] * left, left > 0


def _from(progress: Progress, before: int, total: int) -> Progress:
    return lambda done, _: progress(before + done, total)


def _band(key: str, column: Floats, shape: tuple[int, ...]) -> Floats:
    """Return 5 and 95 % of the flights; of a chance, what the count leaves open."""
    if is_chance(key):
        return _chances(column).reshape(*shape, 2)
    low, high = (statistic(column, name).reshape(shape) for name in ("p05", "p95"))
    return np.stack((low, high), axis=-1)


def _chances(column: Floats) -> Floats:
    """Return the 95 % interval of each point's chance; NaN where it was not flown."""
    counted = [chance_of(row[np.isfinite(row)] > 0.5) for row in column]
    ends = [(each.low, each.high) if each.flights else (np.nan, np.nan) for each in counted]
    return np.array(ends)


def _refuse_empty(figures: dict[str, Floats], refused: Sequence[str]) -> None:
    """Raise when there is nothing to show."""
    if all(refused):
        message = f"the documents refuse every point: {refused[0]}"
        mend = "explore a range that can be built and filled"
        raise ProblemError([Problem("study-refused", message, Where(field="PATH=FROM..TO"), mend)])
    problems = [
        Problem(
            "study-never-happens",
            f"{short_name(key)} happens at no point of the range",
            Where(field="--show", value=key),
            remedy(key) or "show a figure that this campaign has, or explore another range",
        )
        for key, column in figures.items()
        if not np.isfinite(column).any()
    ]
    if problems:
        raise ProblemError(problems)
