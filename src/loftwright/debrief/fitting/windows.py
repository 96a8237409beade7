"""Which parts of a recorded flight count for a fit, and what is measured in them.

The ascent counts as long as the vehicle is what the documents describe: up to the apogee, or to
the moment at which something leaves it or opens. The way down counts where it is steady.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loftwright.rehearsal.recorded import STANDARD_PAD, PressureTruth, heights_over

__all__ = [
    "Ascent",
    "Descent",
    "Heights",
    "ascent_of",
    "descent_of",
    "heights_of",
    "standing_alone",
    "top_of",
]

Floats = NDArray[np.float64]

REST = (-6.0, -0.3)  # s before first motion whose mean is zero height
NEIGHBOURS = 3  # readings on either side that tell a spike from the flight
SPIKE = 6.0  # deviations from them
LEAST_NOISE = 0.02  # m
MOST_BINS = 40
SHORTEST_BIN = 0.1  # s; closer readings share what the model gets wrong
MOST_READINGS = 400  # of an ascent, where a log has more they are averaged first
SETTLING = 2.0  # s after an opening, before the way down counts as steady
ABOVE = 2.0  # m above the ground at which it no longer does
PIECES = 5
STEADY = 0.25  # share by which the rates of pieces may differ
LEAST_WAY = 3.0  # s of steady descent


@dataclass(frozen=True, slots=True)
class Heights:
    """A record as heights in the standard atmosphere over its own rest, without its spikes.

    ``noise`` (m) is the standard deviation of a reading, ``memory`` how much of it the next
    reading shares, ``spikes`` how many readings were left out.
    """

    time: Floats
    height: Floats
    noise: float
    memory: float
    rest_sd: float
    spikes: int


@dataclass(frozen=True, slots=True)
class Ascent:
    """Mean heights over short stretches of the ascent.

    ``bins`` (k, m) averages readings at ``times`` (m,); ``variance`` (k,) is that of each mean,
    ``rest_variance`` what all share; ``share`` (k,) is how much of the ascent has gone by, and
    ``climb`` (k,) how fast it climbs then [m/s].
    """

    times: Floats
    bins: Floats
    heights: Floats
    variance: Floats
    rest_variance: float
    share: Floats
    climb: Floats
    top: float

    @property
    def centres(self) -> Floats:
        """Mean time of each stretch [s]."""
        found: Floats = self.bins @ self.times
        return found


@dataclass(frozen=True, slots=True)
class Descent:
    """The mean rate of a steady way down (m/s, positive downwards) from ``begin`` to ``end``."""

    begin: float
    end: float
    rate: float
    variance: float


def heights_of(truth: PressureTruth) -> Heights:
    """Return a record as heights, cleaned of readings that stand alone."""
    time, pressure = truth.time_s, truth.port_pressure
    resting = (time > REST[0]) & (time < REST[1])
    if resting.sum() < 5:
        resting = time <= max(REST[1], time[min(5, len(time) - 1)])
    level = float(np.median(pressure[resting]))
    height = heights_over(pressure, level, STANDARD_PAD)
    noise, memory = _noise(height[resting])
    bad = standing_alone(height, max(noise, LEAST_NOISE))
    kept = ~bad
    number = int((resting & kept).sum())
    rest = float(np.mean(height[resting & kept])) if number else 0.0
    rest_sd = noise * np.sqrt(_shared(memory, number) / max(number, 1))
    return Heights(
        time[kept], height[kept] - rest, max(noise, LEAST_NOISE), memory, rest_sd, int(bad.sum())
    )


def standing_alone(values: Floats, least: float) -> NDArray[np.bool_]:
    """Tell which values are far from their neighbours, or are none.

    ``least`` is the least deviation that counts as noise. Beside a spike the median is a value
    early or late: that much a steep climb may differ.
    """
    centre = _running_median(values)
    away = np.abs(values - centre)
    usual = 1.4826 * float(np.nanmedian(away)) if away.size else 0.0
    step = 2.0 * np.abs(np.gradient(centre)) if len(centre) > 1 else np.zeros(len(centre))
    found: NDArray[np.bool_] = ~np.isfinite(values) | (away > SPIKE * max(usual, least) + step)
    return found


def _noise(resting: Floats) -> tuple[float, float]:
    """Deviation of readings at rest, robustly, and how much of it the next reading shares."""
    good = resting[np.isfinite(resting)]
    away = good - np.median(good)
    noise = 1.4826 * float(np.median(np.abs(away)))
    if len(away) < 20 or noise == 0.0:
        return max(noise, LEAST_NOISE), 0.0
    tame = np.clip(away, -4.0 * noise, 4.0 * noise)
    memory = float(np.sum(tame[1:] * tame[:-1]) / np.sum(tame**2))
    return noise, float(np.clip(memory, 0.0, 0.98))


def _shared(memory: float, count: int) -> float:
    """How many readings that remember each other are worth one that does not.

    Variance of the mean of an autoregressive series of first order over that of white noise.
    """
    return min((1.0 + memory) / (1.0 - memory), max(float(count), 1.0))


def _running_median(values: Floats) -> Floats:
    width = 2 * NEIGHBOURS + 1
    if len(values) < width:
        return values
    padded = np.pad(values, NEIGHBOURS, mode="edge")
    found: Floats = np.nanmedian(np.lib.stride_tricks.sliding_window_view(padded, width), axis=1)
    return found


def top_of(heights: Heights) -> tuple[float, float]:
    """Return when and how high the record is highest, from a parabola through its top."""
    time, height = heights.time, heights.height
    flying = time >= 0.0
    time, height = time[flying], height[flying]
    highest = int(np.argmax(_running_median(height)))
    near = np.abs(time - time[highest]) <= 0.6
    if near.sum() < 5:
        return float(time[highest]), float(height[highest])
    bend, slope, level = np.polyfit(time[near] - time[highest], height[near], 2)
    if bend >= 0.0:
        return float(time[highest]), float(height[highest])
    shift = float(np.clip(-0.5 * slope / bend, -0.6, 0.6))
    return float(time[highest]) + shift, float(level + shift * (slope + shift * bend))


def ascent_of(heights: Heights, end: float, top: float, jitter: float) -> Ascent | None:
    """Return the ascent up to ``end`` [s] in short stretches; None where there is too little.

    ``top`` is when the ascent ends, whatever counts of it; ``jitter`` how unsure the moments of
    single readings are [s].
    """
    inside = (heights.time > 0.05) & (heights.time <= end)
    time, height = heights.time[inside], heights.height[inside]
    if len(time) < 8 or end < 0.3:
        return None
    width = max(SHORTEST_BIN, end / MOST_BINS, float(np.median(np.diff(time))))
    number = np.minimum((time / width).astype(int), int(end / width))
    labels = np.unique(number)
    bins = (number[None, :] == labels[:, None]).astype(float)
    count = bins.sum(axis=1)
    bins /= count[:, None]
    means = bins @ height
    climb = np.gradient(means, bins @ time)
    shared = np.array([_shared(heights.memory, int(n)) for n in count])
    noise = max(heights.noise, _flying_noise(height))
    variance = noise**2 * shared / count + (jitter * climb) ** 2 / count
    if len(time) > MOST_READINGS:
        time, bins = _fewer(time, bins)
    return Ascent(
        times=time,
        bins=bins,
        heights=means,
        variance=variance,
        rest_variance=heights.rest_sd**2,
        share=np.minimum(bins @ time / top, 1.0),
        # Vents that take away hide climb at first: it never was less than later on.
        climb=np.maximum.accumulate(np.maximum(climb, 0.0)[::-1])[::-1],
        top=top,
    )


def _flying_noise(height: Floats) -> float:
    """Deviation of readings in flight, from what three neighbours have that a line has not."""
    bend = np.diff(height[len(height) // 3 :], 2)
    return 1.4826 * float(np.median(np.abs(bend))) / np.sqrt(6.0) if bend.size > 8 else 0.0


def _fewer(time: Floats, bins: Floats) -> tuple[Floats, Floats]:
    """Take fewer moments for each mean: enough to follow how a flight bends within it."""
    moments, rows = [], []
    for row in bins:
        own = time[row > 0.0]
        places = np.unique(np.linspace(0, len(own) - 1, min(len(own), 8)).astype(int))
        moments.append(own[places] + (own.mean() - own[places].mean()))
        rows.append(len(places))
    times = np.concatenate(moments)
    table = np.zeros((len(rows), len(times)))
    first = 0
    for number, count in enumerate(rows):
        table[number, first : first + count] = 1.0 / count
        first += count
    return times, table


def descent_of(heights: Heights, opened: float) -> Descent | None:
    """Return the longest steady part of the way down after ``opened`` [s], None without one."""
    after = heights.time > opened + SETTLING
    low = after & (heights.height < ABOVE)
    down = heights.time[low][0] if low.any() else heights.time[-1]
    begin, end = opened + SETTLING, float(down) - 0.3
    if end - begin < LEAST_WAY:
        return None
    inside = (heights.time >= begin) & (heights.time <= end)
    time, height = heights.time[inside], heights.height[inside]
    if len(time) < 3 * PIECES:
        return None
    edges = np.linspace(begin, end, PIECES + 1)
    rates = np.array(
        [
            -_slope(time[part], height[part])
            for first, last in pairwise(edges)
            if (part := (time >= first) & (time <= last)).sum() >= 3
        ]
    )
    middle = float(np.median(rates)) if rates.size else 0.0
    if middle <= 0.5 or np.abs(rates - middle).max() > STEADY * middle + 0.5:
        return None
    rate = -_slope(time, height)
    shared = _shared(heights.memory, len(time))
    noise = heights.noise**2 * shared / (len(time) * np.var(time))
    return Descent(begin, end, rate, float(noise))


def _slope(time: Floats, height: Floats) -> float:
    away = time - time.mean()
    return float(away @ height / (away @ away))
