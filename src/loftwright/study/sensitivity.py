"""What the spread of a figure comes from: variance shares with confidence, over many flights."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.study.figures import remedy, short_name, undrawn
from loftwright.study.uncertain import Uncertain, uncertain

__all__ = ["Index", "Sensitivity", "power_of_two", "sensitivity", "shares_of_variance"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

CONFIDENCE = 0.95
RESAMPLES = 500
# A figure that happens in fewer flights than this is not shared out: those in which it happens
# are no longer a fair sample of the inputs.
MOST = 0.9


@dataclass(frozen=True, slots=True)
class Index:
    """The share of variance that an input accounts for, with its confidence interval.

    ``first`` is what it explains alone, ``total`` what would be gone if it were known exactly.
    """

    path: str
    first: float
    first_low: float
    first_high: float
    total: float
    total_low: float
    total_high: float

    @property
    def alone_from_zero(self) -> bool:
        """Tell whether what it explains alone can be told from nothing.

        What seems to explain more alone than in all is within the noise of the sample.
        """
        return 0.0 < self.first_low <= self.total_high


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """The shares of one figure's variance, the largest total first.

    ``flights`` were flown in all, ``base`` of them in each of the two plain samples. ``happened``
    is the share of all in which the figure happened: the shares are of those.
    """

    campaign: Campaign
    figure: str
    indices: tuple[Index, ...]
    mean: float
    sd: float
    base: int
    asked: int
    flights: int
    seed: int
    happened: float = 1.0

    @property
    def alone(self) -> float:
        """Return the share that inputs explain one by one; the rest is their acting together."""
        return sum(index.first for index in self.indices)


def power_of_two(number: int) -> int:
    """Return the power of two nearest to ``number``, the greater of two equally near.

    >>> power_of_two(1000), power_of_two(96), power_of_two(5)
    (1024, 128, 4)
    """
    below = 1 << (max(number, 1).bit_length() - 1)
    return below if number - below < 2 * below - number else 2 * below


def shares_of_variance(
    function: Callable[[Floats], Floats],
    distributions: Sequence[object],
    base: int,
    seed: int,
) -> tuple[list[tuple[Floats, Floats]], Floats]:
    """Return ``(estimate, interval)`` of first and total order for every input, and the sample.

    Parameters
    ----------
    function : callable
        ``(inputs, n)`` to ``(n,)``.
    distributions : sequence
        One of ``scipy.stats`` for each input; they are independent.
    base : int
        A power of two; ``base`` times inputs plus two points are evaluated.

    Returns
    -------
    shares : list of pairs
        First order, then total order: estimates ``(inputs,)`` and intervals ``(inputs, 2)``.
    sample : (2 base,) array
        The function over the two plain samples.

    Notes
    -----
    The intervals are percentiles over resampled rows of the design, seeded. An input that has no
    effect at all gives zero, with an interval of zero width. Where the function is NaN the row
    does not count for that input: the shares are then of what is left, and nearly what they would
    be of the whole when little is missing.

    References
    ----------
    A. Saltelli et al., Computer Physics Communications 181 (2010) 259-270, table 2 (b) and (f): the
    estimators, as ``scipy.stats.sobol_indices`` has them. B. Efron and R. Tibshirani, An
    Introduction to the Bootstrap (1993), chapter 13: percentile intervals (both from memory).
    """
    from scipy.stats import sobol_indices

    seen: list[Floats] = []

    def watched(points: Floats) -> Floats:
        seen.append(function(points))
        return np.nan_to_num(seen[-1])

    library = sobol_indices(func=watched, n=base, dists=list(distributions), rng=seed)
    inputs = len(distributions)
    # The third call holds, for each row of the first, that row with one input after another
    # taken from the second.
    one, other, mixed = seen[0], seen[1], seen[2].reshape(base, inputs)
    rng = np.random.default_rng(seed)
    again = np.empty((RESAMPLES, 2, inputs))
    for k in range(RESAMPLES):
        rows = rng.integers(0, base, base)
        again[k] = _estimates(one[rows], other[rows], mixed[rows])
    tail = 50.0 * (1.0 - CONFIDENCE)
    low, high = np.nanpercentile(again, (tail, 100.0 - tail), axis=0)
    # Where something did not happen the library's estimators have no say.
    whole = all(np.isfinite(part).all() for part in seen)
    estimates = (
        np.stack([library.first_order, library.total_order])
        if whole
        else _estimates(one, other, mixed)
    )
    shares = [(estimates[k], np.column_stack([low[k], high[k]])) for k in range(2)]
    return shares, np.concatenate(seen[:2])


def _estimates(one: Floats, other: Floats, mixed: Floats) -> Floats:
    """Return first and total order of each input, over the rows in which all of it happened."""
    both = np.concatenate([one, other])
    middle, variance = np.nanmean(both), np.nanvar(both)
    if not variance > 0.0:
        return np.full((2, mixed.shape[1]), np.nan)
    change = mixed - one[:, None]
    first = np.nanmean((other - middle)[:, None] * change, axis=0)
    total = 0.5 * np.nanmean(change**2, axis=0)
    return np.asarray(np.stack([first, total]) / variance)


def sensitivity(
    campaign: Campaign,
    figures: Sequence[str],
    *,
    flights: int,
    seed: int = 1,
    progress: Progress | None = None,
) -> list[Sensitivity]:
    """Share out the variance of each figure among what is uncertain.

    Every field that carries a spread and acts on a flight is an input, normal and folded back at
    its bounds as in an ensemble; the gusts together are one more.

    Parameters
    ----------
    flights : int
        Flights in each of the two plain samples; rounded to a power of two.

    Raises
    ------
    ProblemError
        When nothing is uncertain, or a figure does not happen in most flights, which leaves its
        variance without a meaning.
    """
    inputs = uncertain(campaign, seed)
    _refuse_undrawn(figures)
    if not inputs.paths:
        message = "nothing that acts on a flight carries an uncertainty"
        mend = 'write what you know with ±, e.g. water_volume = "0.95 L ± 0.02 L"'
        raise ProblemError([Problem("study-nothing-uncertain", message, Where(), mend)])
    base = power_of_two(flights)
    flown = _Flown(inputs, figures, base, progress)
    return [_shared(campaign, inputs, key, flown, base, flights, seed) for key in figures]


class _Flown:
    """Flights of the samples, flown for all figures at once and kept for each of them."""

    def __init__(
        self, inputs: Uncertain, figures: Sequence[str], base: int, progress: Progress | None
    ) -> None:
        self.inputs, self.figures, self.progress = inputs, figures, progress
        self.total = base * (len(inputs.paths) + 2)
        self.done = 0
        self.known: dict[bytes, dict[str, Floats]] = {}

    def column(self, key: str, points: Floats) -> Floats:
        """Return one figure at the points; the same points are flown once."""
        from hashlib import sha256

        name = sha256(np.ascontiguousarray(points).tobytes()).digest()
        if name not in self.known:
            self.known[name] = self.inputs.fly(points, self.figures, self._told)
            self.done += points.shape[1]
        return self.known[name][key]

    def _told(self, done: int, _: int) -> None:
        if self.progress is not None:
            self.progress(self.done + done, self.total)


def _shared(
    campaign: Campaign,
    inputs: Uncertain,
    key: str,
    flown: _Flown,
    base: int,
    asked: int,
    seed: int,
) -> Sensitivity:
    from scipy.stats import norm

    missing = 0

    def function(points: Floats) -> Floats:
        nonlocal missing
        column = flown.column(key, points)
        _refuse_rare(key, column)
        missing += int(np.isnan(column).sum())
        return column

    (first, total), sample = shares_of_variance(function, [norm] * len(inputs.paths), base, seed)
    rows = [
        Index(path, *_numbers(*first, k), *_numbers(*total, k))
        for k, path in enumerate(inputs.paths)
    ]
    rows.sort(key=lambda row: -row.total)
    return Sensitivity(
        campaign, key, tuple(rows), float(np.nanmean(sample)), float(np.nanstd(sample, ddof=1)),
        base, asked, flown.total, seed, 1.0 - missing / flown.total,
    )  # fmt: skip


def _numbers(estimate: Floats, interval: Floats, k: int) -> tuple[float, float, float]:
    return float(estimate[k]), float(interval[k, 0]), float(interval[k, 1])


def _refuse_undrawn(figures: Sequence[str]) -> None:
    for key in figures:
        if undrawn(key):
            message = f"{short_name(key)} is of the documents as they stand: nothing of it is drawn"
            mend = "ask for a figure of the flight, such as apogee"
            where = Where(field="--figure", value=key)
            raise ProblemError([Problem("study-never-happens", message, where, mend)])


def _refuse_rare(key: str, column: Floats) -> None:
    share = float(np.isfinite(column).mean())
    if share < MOST:
        often = f"in {100.0 * share:.3g} % of the flights" if share else "in no flight"
        message = f"{short_name(key)} happens {often}, so its spread cannot be shared out"
        mend = (share == 0.0 and remedy(key)) or (
            "ask for one that happens in nearly all, such as apogee, or make it happen with --set"
        )
        where = Where(field="--figure", value=key)
        raise ProblemError([Problem("study-never-happens", message, where, mend)])
