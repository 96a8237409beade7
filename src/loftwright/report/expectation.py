"""Whether what was measured lies where the forecast has it: one rule for all of a flight's page."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from loftwright.debrief.results import Estimate
from loftwright.debrief.scoring.crps import rank
from loftwright.report.flight_told import Expected

__all__ = ["DUE", "due", "spread_of", "where"]

# What the record calls a moment -> the forecast's figure of it.
DUE: Final[dict[str, str]] = {
    "water out": "water_out_s",
    "air out": "burnout_s",
    "burnout": "burnout_s",
    "release": "release_time_s",
    "apogee": "apogee_time_s",
    "canopy open": "canopy_open_s",
    "touchdown": "touchdown_vehicle_time_s",
}
TAIL = 0.05  # of the forecast of the record on either side of its 90 % range, as scores have it
NINE_IN_TEN = 1.6448536  # standard deviations to either side


def spread_of(expected: Expected | None, figure: str) -> Mapping[str, float] | None:
    """Return ``p05``, ``p50`` and ``p95`` of a figure where the forecast has all three."""
    known = expected.statistics.get(figure) if expected else None
    if not known or not all(math.isfinite(known[each]) for each in ("p05", "p50", "p95")):
        return None
    return known


def due(expected: Expected | None, kind: str) -> tuple[float, float, float] | None:
    """Return 5, 50 and 95 % of when the forecast has a moment, None where it has none."""
    known = spread_of(expected, DUE.get(kind, ""))
    return (known["p05"], known["p50"], known["p95"]) if known else None


def where(expected: Expected | None, figure: str, measured: Estimate) -> str | None:
    """Return ``"inside"``, ``"below"`` or ``"above"``; None where the forecast has no such figure.

    As in the scores the error of the measurement counts: the forecast is that of the record. Where
    only percentiles are known, the range is widened by nine tenths of that error instead.
    """
    known = spread_of(expected, figure)
    if expected is None or known is None:
        return None
    samples = expected.samples.get(figure)
    if samples is not None and len(samples) > 1:
        place = rank(samples, measured.value, measured.sd)
        return "below" if place < TAIL else "above" if place > 1.0 - TAIL else "inside"
    room = NINE_IN_TEN * measured.sd
    if measured.value + room < known["p05"]:
        return "below"
    return "above" if measured.value - room > known["p95"] else "inside"
