"""A kept forecast as a flight's page holds the record against it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.scoring.kept_forecast import KeptForecast
from loftwright.flight.results import Band
from loftwright.report.flight_told import Expected

__all__ = ["expected_of"]

OFTEN = 0.5  # share of the flights in which a figure must come about to be expected


def expected_of(kept: KeptForecast, before_flight: bool | None = None) -> Expected:
    """Return percentiles and bands of a kept forecast.

    A figure that comes about in less than half of the flights is not expected. ``before_flight``
    tells whether the forecast was kept before the flight, None where that is not known.
    """
    statistics, samples = {}, {}
    for name in kept.samples:
        if kept.chance(name) >= OFTEN:
            samples[name] = kept.happened(name)
            low, middle, high = np.percentile(samples[name], (5.0, 50.0, 95.0)).tolist()
            statistics[name] = {"p05": low, "p50": middle, "p95": high}
    return Expected(
        made=kept.made,
        before_flight=before_flight,
        statistics=statistics,
        samples=samples,
        band=Band(kept.band_time, kept.band),
        places=dict(_places(kept)),
        flights=kept.flights,
        seed=kept.seed,
    )


def _places(kept: KeptForecast) -> Iterator[tuple[str, NDArray[np.float64]]]:
    for name, east in kept.samples.items():
        body = name.removeprefix("touchdown_").removesuffix("_east_m")
        north = kept.samples.get(f"touchdown_{body}_north_m")
        if name == f"touchdown_{body}_east_m" and north is not None:
            both = np.stack((east, north), axis=1)
            yield body, both[np.isfinite(both).all(axis=1)]
