"""What many flights say together: percentiles, bands over time, and what drives the spread."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.results import Band, Track

__all__ = [
    "DRIVER_FLIGHTS",
    "band",
    "clock_of",
    "drivers",
    "percentiles",
    "shares",
    "statistics",
]

Floats = NDArray[np.float64]

PERCENTILES = (5.0, 25.0, 50.0, 75.0, 95.0)
NOISE = 4.0  # an input without effect rises above it once in twenty
LEAST_FLIGHTS = 20  # under this a regression on the draws says nothing
DRIVER_FLIGHTS = 20_000  # of which a share has a standard error below 0.006
CODES = {"outcome"}  # columns that hold no amount


def statistics(columns: Mapping[str, Floats]) -> dict[str, dict[str, float]]:
    """Return p05, p50, p95, mean and sd of each column, over the flights in which it happened.

    ``count`` says how many those are. A column that never happened is left out. Columns are looked
    at one after the other, so that they may lie on disk.
    """
    found: dict[str, dict[str, float]] = {}
    for name in columns:
        if name in CODES:
            continue
        happened = columns[name]
        happened = happened[np.isfinite(happened)]
        if len(happened) == 0:
            continue
        low, middle, high = np.percentile(happened, (5.0, 50.0, 95.0))
        found[name] = {
            "p05": float(low),
            "p50": float(middle),
            "p95": float(high),
            "mean": float(happened.mean()),
            "sd": float(happened.std(ddof=1)) if len(happened) > 1 else 0.0,
            "count": len(happened),
        }
    return found


class _Inputs(NamedTuple):
    """What was drawn in the flights in which something happened, standardised, (n, names)."""

    names: list[str]
    standard: Floats
    inverse: Floats  # of the least squares; worked out once for all columns of these flights


def _inputs(drawn: Mapping[str, Floats], happened: NDArray[np.bool_]) -> _Inputs:
    names = [name for name, draws in drawn.items() if np.ptp(draws[happened]) > 0.0]
    standard = np.column_stack(
        [_standardised(drawn[name][happened]) for name in names] or [np.zeros(happened.sum())]
    )
    return _Inputs(names, standard, np.linalg.pinv(standard))


def _says_something(drawn: Mapping[str, Floats], amounts: Floats) -> bool:
    return len(amounts) >= max(LEAST_FLIGHTS, 2 * len(drawn)) and bool(np.ptp(amounts) > 0.0)


def shares(drawn: Mapping[str, Floats], column: Floats) -> dict[str, float]:
    """Share of a column's variance that each drawn input explains, largest first.

    Standardised regression: with independent inputs the squared standardised coefficients add up
    to the share explained linearly; "rest" is what is left, gusts and curvature among it.

    References
    ----------
    A. Saltelli et al., Global Sensitivity Analysis: The Primer (2008), section 1.2.5 (from
    memory).
    """
    happened = np.isfinite(column)
    if not _says_something(drawn, column[happened]):
        return {}
    return _shares(_inputs(drawn, happened), column[happened])


def _shares(inputs: _Inputs, amounts: Floats) -> dict[str, float]:
    target = _standardised(amounts)
    slopes = inputs.inverse @ target
    left = target - inputs.standard @ slopes
    parts = {name: float(slope**2) for name, slope in zip(inputs.names, slopes, strict=False)}
    # Chance correlation among finite draws moves their sum off what they explain together.
    explained = 1.0 - float(np.mean(left**2))
    total = sum(parts.values())
    scale = explained / total if total > 0.0 else 0.0
    ordered = dict(sorted(parts.items(), key=lambda item: -item[1]))
    found = {name: share * scale for name, share in ordered.items()}
    # What chance alone would make of the unexplained is not worth a name.
    least = NOISE * (1.0 - explained) / len(amounts)
    found = {name: share for name, share in found.items() if share > least}
    return found | {"rest": max(0.0, 1.0 - sum(found.values()))}


def _standardised(values: Floats) -> Floats:
    centred = values - values.mean()
    standard: Floats = centred / centred.std()
    return standard


def drivers(
    drawn: Mapping[str, Floats], columns: Mapping[str, Floats]
) -> dict[str, dict[str, float]]:
    """Return `shares` for every column that varies."""
    alike: dict[bytes, list[str]] = {}  # columns of things that happened in the same flights
    for name, column in columns.items():
        happened = np.isfinite(column)
        if name not in CODES and _says_something(drawn, column[happened]):
            alike.setdefault(happened.tobytes(), []).append(name)
    found: dict[str, dict[str, float]] = {}
    for names in alike.values():
        happened = np.isfinite(columns[names[0]])
        inputs = _inputs(drawn, happened)
        found |= {name: _shares(inputs, columns[name][happened]) for name in names}
    return {name: found[name] for name in columns if name in found}


def clock_of(ends: Floats, pushed: Floats) -> Floats:
    """Moments at which bands are drawn: close together while pushed, wider after."""
    boost = 1.5 * float(np.percentile(pushed, 95.0)) if len(pushed) else 0.0
    end = float(np.percentile(ends, 95.0))
    return np.concatenate(
        [np.linspace(0.0, boost, 60), np.linspace(boost, max(end, boost), 241)[1:]]
    )


def _lanes(track: Track) -> dict[str, Floats]:
    if track.body != "vehicle":
        return {f"{track.body}_height_m": track.position[:, 2]}
    return {
        "height_m": track.position[:, 2],
        "climb_m_s": track.velocity[:, 2],
        "acceleration_m_s2": track.acceleration[:, 2],
        "gauge_pressure_pa": track.gauge_pressure,
    }


def band(flights: Sequence[Sequence[Track]]) -> Band:
    """Percentiles over the recorded flights on one clock; ended flights rest at zero.

    A payload counts from its release on.
    """
    tracks = [track for flight in flights for track in flight if len(track.time)]
    if not tracks:
        return Band(np.zeros(0), {})
    ends = np.array([track.time[-1] for track in tracks])
    pushed = np.array([track.events["air out"] for track in tracks if "air out" in track.events])
    clock = clock_of(ends, pushed)
    gathered: dict[str, list[Floats]] = {}
    for track in tracks:
        before = 0.0 if track.body == "vehicle" else np.nan
        for name, values in _lanes(track).items():
            on_clock = np.interp(clock, track.time, values, left=before, right=0.0)
            gathered.setdefault(name, []).append(on_clock)
    return Band(clock, {name: percentiles(np.array(rows)) for name, rows in gathered.items()})


def percentiles(rows: Floats) -> Floats:
    """Percentiles of each column, (n, 5); NaN where fewer than half of the rows have begun."""
    found = np.full((rows.shape[1], len(PERCENTILES)), np.nan)
    share = np.isfinite(rows).mean(axis=0)
    whole, begun = share == 1.0, (share >= 0.5) & (share < 1.0)
    if whole.any():  # all columns in one go, which those with holes do not allow
        found[whole] = np.percentile(rows[:, whole], PERCENTILES, axis=0).T
    if begun.any():
        found[begun] = np.nanpercentile(rows[:, begun], PERCENTILES, axis=0).T
    return found
