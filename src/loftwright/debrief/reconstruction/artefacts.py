"""Readings that are not the flight: what they are taken for, and by how much they would mislead."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.events import Seen
from loftwright.debrief.reconstruction.unfit import Unfit
from loftwright.debrief.results import Artefact
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["artefacts_of"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
GAP = 4.0  # times the usual time between readings: a dropout
NEAR = 0.6  # s from an event that explains a spike
LEAST_PORT = 0.5  # m that pressure of the motion must mislead by to be told


def artefacts_of(seen: Seen, unfit: Sequence[Unfit] = ()) -> tuple[Artefact, ...]:
    """Return the artefacts of a log, in order; ``unfit`` are rows that did not count at all."""
    liftoff = seen.found.shape.liftoff
    found = [*_strays(seen), *_gaps(seen), *_port(seen), *_saturated(seen), *_repeated(seen)]
    found += [Artefact(u.kind, u.begin - liftoff, u.end - liftoff, 0.0, u.says) for u in unfit]
    return tuple(sorted(found, key=lambda each: each.time_s))


def _strays(seen: Seen) -> list[Artefact]:
    """Readings that no flight would give, those together that follow on each other."""
    each, found = seen.found.readings, seen.found
    stray = ~found.keep & (each.time > found.start.time)
    rows = np.flatnonzero(stray)
    groups = np.split(rows, np.flatnonzero(np.diff(rows) > 2) + 1) if rows.size else []
    return [_stray(seen, group) for group in groups]


def _stray(seen: Seen, rows: NDArray[np.intp]) -> Artefact:
    each, shape = seen.found.readings, seen.found.shape
    time = each.time[rows] - shape.liftoff
    off = each.height[rows] - np.interp(time, seen.curve.time, seen.curve.height)
    size = float(off[np.argmax(np.abs(off))])
    kind = "spike"
    if shape.opening is not None and abs(time[0] - (shape.opening - shape.liftoff)) < NEAR:
        kind = "canopy shock"
    elif shape.touchdown is not None and abs(time[0] - (shape.touchdown - shape.liftoff)) < NEAR:
        kind = "impact spike"
    elif time[0] < shape.push_end - shape.liftoff + 0.2:
        kind = "boost pressure"
    many = len(rows)
    says = f"{many} reading{'s' if many > 1 else ''} up to {size:+.1f} m off the flight"
    return Artefact(kind, float(time[0]), float(time[-1]), size, says)


def _repeated(seen: Seen) -> list[Artefact]:
    """Values that come more than once while it climbs, where each should be a new one."""
    comes, told = seen.found.readings.comes, seen.found.readings.told
    if comes <= told:
        return []
    says = f"values repeat: a new one comes every {comes:.2g} s, where {told:.2g} s are said"
    shape = seen.found.shape
    return [Artefact("repeated", 0.0, shape.until - shape.liftoff, 0.0, says)]


def _gaps(seen: Seen) -> list[Artefact]:
    """Stretches of the flight without any value in the log."""
    log, shape = seen.log, seen.found.shape
    values = log.height_m if log.pressure_pa is None else log.pressure_pa
    assert values is not None
    time = log.time_s[np.isfinite(values)]
    time = time[(time >= shape.liftoff) & (time <= shape.until)]
    gap = np.diff(time)
    if not gap.size:
        return []
    long = np.flatnonzero(gap > max(GAP * float(np.median(gap)), GAP * seen.found.readings.every))
    begin, end = time[long] - shape.liftoff, time[long + 1] - shape.liftoff
    return [
        Artefact("dropout", float(a), float(b), 0.0, f"no readings for {b - a:.2g} s")
        for a, b in zip(begin, end, strict=True)
    ]


def _port(seen: Seen) -> list[Artefact]:
    """What the motion adds at the port, where it misleads by more than half a metre."""
    path, shape = seen.found.path, seen.found.shape
    assert path is not None
    port = float(path.mean[0, 3])
    off = -port * path.mean[:, 1] ** 2 / (2.0 * GRAVITY)
    off -= seen.found.bay * path.mean[:, 1] * np.abs(path.mean[:, 1]) / (2.0 * GRAVITY)
    strong = np.flatnonzero(np.abs(off) > LEAST_PORT)
    if not strong.size:
        return []
    worst = strong[np.argmax(np.abs(off[strong]))]
    size = float(off[worst])
    which = "high" if size > 0 else "low"
    says = f"pressure of the motion makes it read up to {abs(size):.1f} m too {which}"
    first, last = (float(path.time[k] - shape.liftoff) for k in (strong[0], strong[-1]))
    return [Artefact("boost pressure", first, last, size, says)]


def _saturated(seen: Seen) -> list[Artefact]:
    limit = seen.found.instrument.push_range
    each, shape = seen.found.readings, seen.found.shape
    if limit is None:
        return []
    full = np.flatnonzero(np.abs(each.push) >= 0.98 * limit)
    if not full.size:
        return []
    first, last = (float(each.time[k] - shape.liftoff) for k in (full[0], full[-1]))
    says = f"the accelerometer is at the end of its range in {full.size} readings"
    return [Artefact("saturated", first, last, 0.0, says)]
