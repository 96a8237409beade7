"""How much each reading counts: what strays from the path weighs less, what is wild nothing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.found import Found
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["weigh"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

OUTLIER, WILD = 3.0, 7.0  # standard deviations
COMPANY = 2  # readings


def weigh(found: Found) -> None:
    """Let readings that stray weigh less, and those that are wild not at all."""
    path = found.path
    assert path is not None
    each = found.readings
    place = np.clip(np.searchsorted(path.time, each.time), 0, len(path.time) - 1)
    after = each.time > found.start.time
    climb = path.mean[place, 1]
    port = path.mean[place, 3]
    row = np.zeros((len(place), 7))
    row[:, 0], row[:, 4], row[:, 5] = 1.0, 1.0, found.creeps
    row[:, 1], row[:, 3] = -port * climb / GRAVITY, -climb * climb / (2.0 * GRAVITY)
    late = found.bay * climb * np.abs(climb) / (2.0 * GRAVITY)
    late += found.reference.port * found.sideways(each.time) / (2.0 * GRAVITY)
    says = path.mean[place, 0] - port * climb**2 / (2.0 * GRAVITY) + path.mean[place, 4]
    says += path.mean[place, 5] * found.creeps - late
    known = np.einsum("ni,nij,nj->n", row, path.covariance[place], row)
    jitter = (found.instrument.jitter * climb) ** 2
    variance = each.variance * found.louder**2 + each.steps + jitter
    counted = found.keep & after
    used = variance * found.inflation
    # Of what a reading leaves, its own pull on the path taken out of it.
    spread = np.where(counted, np.maximum(used - known, 0.05 * used), variance + known)
    off = np.where(counted, used / spread, 1.0) * (each.height - says)
    away = np.abs(off) / np.sqrt(variance + np.where(counted, known * used / spread, known))
    # One or two that stray are the sensor's; where many in a row do, the path is what is wrong.
    stray = after & ~found.burst & (away > OUTLIER)
    alone = stray & ~_in_company(stray)
    found.keep = after & ~found.burst & ~(alone & (away > WILD))
    found.inflation = np.where(alone, np.maximum(1.0, (away / OUTLIER) ** 2), 1.0)


def _in_company(stray: Flags) -> Flags:
    """Tell which stand in a row of more than COMPANY that stray."""
    number = np.concatenate([[0], np.cumsum(np.diff(stray.astype(int)) != 0)])
    lengths = np.bincount(number)[number]
    return np.asarray(stray & (lengths > COMPANY))
