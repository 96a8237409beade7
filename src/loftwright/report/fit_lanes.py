"""From a fit to strips: what was recorded over its forecast, before the fit and after it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.before_after import BeforeAfter
from loftwright.report.pair import SCALE, Pair, on_one_clock
from loftwright.report.quantities import amount, unit_of
from loftwright.report.strip_model import Curve, Event, Lane, Role, Spread, Strip

__all__ = ["fit_pairs"]

Floats = NDArray[np.float64]

LABELS: Final = ("before the fit", "after the fit")


def fit_pairs(flights: Iterable[BeforeAfter], system: str) -> Iterator[Pair]:
    """Yield for each flight its ascent over the forecast by the documents, and by the fit."""
    for number, each in enumerate(flights):
        strips = [
            _strip(each, band, label, system)
            for band, label in zip((each.before, each.after), LABELS, strict=True)
        ]
        counted = f"The ascent counted up to {amount(each.until, 'time', system)}."
        caption = f"{_shown(each)} {counted}" if number == 0 else counted
        title = f"{each.name}: the ascent"
        yield Pair(title, LABELS, tuple(on_one_clock(strips)), caption)


def _shown(each: BeforeAfter) -> str:
    return (
        f"{SCALE} Ink: what the barometer read. Shaded: what it would have read in {each.flights} "
        "flights, its noise left out, 5 to 95 %, the darker middle 25 to 75 %. Below, both less "
        "the median. Time zero is first motion as the fit has it."
    )


def _strip(each: BeforeAfter, band: Floats, label: str, system: str) -> Strip:
    unit = unit_of("height", system)
    middle = band[:, 2]
    height = Lane(
        "height", unit.symbol,
        (Curve("record", each.record_time, each.record / unit.size, Role.RECORD),),
        (Spread("forecast", each.time, band / unit.size),),
        height=180.0,
    )  # fmt: skip
    apart = each.record - np.interp(each.record_time, each.time, middle)
    less = Lane(
        "less median", unit.symbol,
        (Curve("", each.record_time, apart / unit.size, Role.RECORD, told="record"),),
        (Spread("", each.time, (band - middle[:, None]) / unit.size, told="forecast"),),
        height=110.0,
    )  # fmt: skip
    said = f"Height as recorded over the forecast {label}, up to a little past the ascent."
    events = (Event("liftoff", 0.0), Event("counted up to here", each.until, role="quiet"))
    return Strip(
        f"{each.name}, {label}", said, float(each.time[0]), float(each.time[-1]),
        (height, less), events,
    )  # fmt: skip
