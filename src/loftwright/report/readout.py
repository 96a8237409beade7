"""The numbers behind a strip, thinned for the cursor that reads them off the page."""

from __future__ import annotations

import json
import math

import numpy as np
from numpy.typing import NDArray

from loftwright.report.strip_model import Lane, Strip

__all__ = ["readout_data", "readout_json"]

Floats = NDArray[np.float64]
SAMPLES = 141
CLOSE = 61


def readout_data(strip: Strip) -> dict[str, object]:
    """Return times and, for each lane, its main line and its 5 to 95 % band, numbers or None.

    A lane of blocks has its stays instead: start, end and words of each.
    """
    end = strip.end if strip.end > strip.start else strip.start + 1.0
    times = np.linspace(strip.start, end, SAMPLES)
    if strip.close_up:
        # Little of the whole flight's clock, and most of what happens.
        times = np.union1d(times, np.linspace(*strip.close_up, CLOSE))
    lanes = [_lane(lane, times) for lane in strip.lanes if not lane.empty]
    return {"t": _short(times, 6), "lanes": lanes}


def _lane(lane: Lane, times: Floats) -> dict[str, object]:
    out: dict[str, object] = {"name": lane.name, "unit": lane.unit}
    if lane.blocks:
        return out | {"stays": [[b.start, b.end, b.words] for b in lane.blocks if b.words]}
    if lane.spreads:
        main = lane.spreads[0]
        columns = [_sample(main.time, main.percentiles[:, k], times) for k in (2, 0, 4)]
        return out | {"v": columns[0], "lo": columns[1], "hi": columns[2]}
    curve = lane.curves[0]
    return out | {"v": _sample(curve.time, curve.value, times)}


def _sample(time: Floats, value: Floats, at: Floats) -> list[float | None]:
    good = np.isfinite(time) & np.isfinite(value)
    if not good.any():
        return [None] * at.size
    return _short(np.interp(at, time[good], value[good], left=np.nan, right=np.nan))


def _short(values: Floats, figures: int = 3) -> list[float | None]:
    return [float(f"{v:.{figures}g}") if math.isfinite(v) else None for v in values.tolist()]


def readout_json(strips: list[Strip]) -> str:
    """Return the data of several strips as JSON that is safe inside a script element."""
    text = json.dumps([readout_data(s) for s in strips], separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace("&", "\\u0026").replace(">", "\\u003e")
