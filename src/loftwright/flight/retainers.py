"""What flights ask of the hold of each payload, gathered from their figures."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import PAYLOADS
from loftwright.flight.chance import wilson
from loftwright.flight.figures import prefix_of
from loftwright.flight.results import Retainer

__all__ = ["retainers"]

Floats = NDArray[np.float64]


def _middle(column: Floats) -> float | None:
    """Median of what happened; None where nothing did."""
    happened = column[np.isfinite(column)]
    return float(np.median(happened)) if len(happened) else None


def retainers(columns: Mapping[str, Floats]) -> dict[str, Retainer]:
    """Return what is asked of each payload's hold, by the payload's root.

    Of several flights loads, times and margins are medians; how often a hold gives way comes with
    its 95 % interval.
    """
    found: dict[str, Retainer] = {}
    for root in PAYLOADS:
        prefix = prefix_of(root)
        if f"{prefix}hold_load_n" not in columns:
            continue
        torn = columns[f"{prefix}torn_off"]
        count, flights = int(np.nansum(torn)), int(np.isfinite(torn).sum())
        known = np.isfinite(columns[f"{prefix}hold_margin"]).any()
        found[root] = Retainer(
            max_load_n=_middle(columns[f"{prefix}hold_load_n"]),
            max_load_time_s=_middle(columns[f"{prefix}hold_load_time_s"]),
            margin=_middle(columns[f"{prefix}hold_margin"]),
            margin_time_s=_middle(columns[f"{prefix}hold_use_time_s"]) if known else None,
            tear_off_probability=count / flights if known and flights else None,
            tear_off_interval=wilson(count, flights) if known and flights > 1 else None,
        )
    return found
