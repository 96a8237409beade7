"""The band of a quick look: what a drawing of heights needs, straight from the engine's tapes.

A hand that moves a slider waits for it. Samples are farther apart than a forecast's, and only the
lanes that a strip of a what-if shows are worked out; the moments are close together while the
vehicle climbs, where the strip is looked at most closely.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.engine import Raw
from loftwright.flight.kernel import slots
from loftwright.flight.results import Band
from loftwright.flight.statistics import percentiles

__all__ = ["CAPACITY", "SPARSE", "sketch_band"]

Floats = NDArray[np.float64]

# s between samples, while pushed and after, and samples of one track. A straight line between two
# samples misses a path that bends with g by g/8 times the square of their distance: a few
# centimetres at the top, a fraction of a pixel. A short tape is sooner laid out.
SPARSE, CAPACITY = (2e-2, 0.15), 256
_PUSHED, _CLIMBING, _FALLING = 20, 60, 60  # moments
_PAST_TOP = 1.5  # of the time of the top


def sketch_band(raws: Sequence[Raw]) -> Band:
    """Return percentiles of heights, and of the vehicle's climb, over recorded flights.

    As `statistics.band`, at fewer moments: what has ended rests at zero, and what is carried counts
    from when it was let go.
    """
    tapes = [each for raw in raws for tape in raw.tapes for each in tape.items() if len(each[1])]
    if not tapes:
        return Band(np.zeros(0), {})
    clock = _clock(raws, np.array([tape[-1, slots.RECORD_TIME] for _, tape in tapes]))
    gathered: dict[str, list[Floats]] = {}
    for body, tape in tapes:
        time, before = tape[:, slots.RECORD_TIME], 0.0 if body == "vehicle" else np.nan
        for lane, column in _lanes(body):
            values = np.interp(clock, time, tape[:, column], left=before, right=0.0)
            gathered.setdefault(lane, []).append(values)
    return Band(clock, {lane: percentiles(np.array(rows)) for lane, rows in gathered.items()})


def _lanes(body: str) -> Iterator[tuple[str, int]]:
    """Yield the lanes of a body, each with its column on a tape."""
    height, climb = (slots.RECORD_STATE + each // slots.LANES for each in (slots.UP, slots.V_UP))
    yield ("height_m" if body == "vehicle" else f"{body}_height_m"), height
    if body == "vehicle":
        yield "climb_m_s", climb


def _clock(raws: Sequence[Raw], ends: Floats) -> Floats:
    end = float(np.percentile(ends, 95.0))
    boost, top = (
        min(share * _late(raws, slot), end)
        for share, slot in ((_PAST_TOP, slots.AIR_OUT_TIME), (_PAST_TOP, slots.APOGEE_TIME))
    )
    parts = ((0.0, boost, _PUSHED), (boost, top, _CLIMBING), (max(boost, top), end, _FALLING))
    return np.unique(np.concatenate([np.linspace(*each) for each in parts if each[0] <= each[1]]))


def _late(raws: Sequence[Raw], slot: int) -> float:
    """Return when an event of the body on the pad has happened in nearly all flights, or 0."""
    times = np.concatenate([raw.figures[:, slot] for raw in raws])
    times = times[np.isfinite(times)]
    return float(np.percentile(times, 95.0)) if len(times) else 0.0
