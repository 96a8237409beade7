"""Whether the best point stands alone, or others are as good within what can be told apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.study.optimum import Archive
from loftwright.study.phrases import Aim
from loftwright.study.spans import Span

__all__ = ["Alike", "alike", "basins", "noise_of"]

Floats = NDArray[np.float64]

# Of a single flight: less than any model of this kind tells apart (judgement).
MODEL_NOISE = 0.005
RESAMPLES = 200
APART = 0.2  # of the range: groups of good points this far from each other are two solutions
MOST_BASINS = 4
MOST = 1500  # points that are grouped
WIDE = 0.1  # of the range: a quantity that may be anywhere in this much of it matters little


class Alike(NamedTuple):
    """What is as good as the best point within ``noise``, in the unit of the first aim.

    ``ranges`` maps each path to the least and greatest value among points as good; ``free`` lists
    the paths whose range is wide; ``groups`` holds the best point of each separate solution, the
    best first.
    """

    noise: float
    ranges: dict[str, tuple[float, float]]
    free: tuple[str, ...]
    groups: tuple[dict[str, float], ...]


def noise_of(aim: Aim, column: Floats, seed: int) -> float:
    """Return what differences of an aim cannot be told apart.

    Of one flight it is a share of the value. Of many it is two standard errors of the statistic
    by bootstrap over the flights; the draws are common to all points, so this errs on the wide
    side.
    """
    value = float(aim.value(column)[0])
    if column.ndim == 1:
        return MODEL_NOISE * abs(value)
    flights = column.shape[1]
    picks = np.random.default_rng(seed).integers(0, flights, (RESAMPLES, flights))
    again = aim.value(column[0][picks])
    return max(2.0 * float(np.nanstd(again)), MODEL_NOISE * abs(value))


def alike(
    spans: Sequence[Span],
    archive: Archive,
    weigh: Callable[[Floats], Floats],
    scale: float,
    noise: float,
) -> Alike:
    """Find, among all points that were looked at, those as good as the best."""
    shares, costs, excess = archive.all()
    cost = weigh(costs) * scale
    kept = (excess <= archive.slack) & np.isfinite(cost)
    order = np.argsort(np.where(kept, cost, np.inf), kind="stable")
    good = [i for i in order.tolist() if kept[i] and cost[i] <= cost[order[0]] + noise][:MOST]
    best = shares[good]
    values = {span.path: span.at(best[:, k]) for k, span in enumerate(spans)}
    ranges = {path: (float(each.min()), float(each.max())) for path, each in values.items()}
    free = [
        span.path for span in spans
        if ranges[span.path][1] - ranges[span.path][0] > WIDE * (span.high - span.low)
    ]  # fmt: skip
    firsts = _firsts(best)
    groups = [{path: float(each[i]) for path, each in values.items()} for i in firsts]
    return Alike(noise, ranges, tuple(free), tuple(groups))


def basins(archive: Archive, weigh: Callable[[Floats], Floats], width: float) -> Floats:
    """Return the best point of each separate group of points within ``width`` of the best."""
    shares, costs, excess = archive.all()
    cost = np.where(excess <= archive.slack, weigh(costs), np.nan)
    cost = np.where(np.isfinite(cost), cost, np.inf)
    order = np.argsort(cost, kind="stable")
    good = order[cost[order] <= cost[order[0]] + width][:MOST]
    starts: Floats = shares[good][_firsts(shares[good])[:MOST_BASINS]]
    return starts


def _firsts(shares: Floats) -> list[int]:
    """Return the first point of each group of points that hang together."""
    if len(shares) < 2:
        return [0]
    from scipy.cluster.hierarchy import fcluster, linkage

    group = fcluster(linkage(shares, "single"), APART, "distance")
    firsts: dict[int, int] = {}
    for index, number in enumerate(group.tolist()):
        firsts.setdefault(number, index)
    return sorted(firsts.values())
