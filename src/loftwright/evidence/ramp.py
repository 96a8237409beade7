"""The weight ramp: a stand that was tared with the water in it reads more as the water leaves."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.rest import Span
from loftwright.evidence.smoothing import centred_mean

__all__ = ["by_mass_flow", "even", "remove_ramp"]

Floats = NDArray[np.float64]
PASSES = 6  # thrust and ramp depend on each other; the ramp is small, so this settles fast


def by_mass_flow(thrust: Floats) -> Floats:
    """Return a rate of weight loss that follows the water's flow.

    Thrust goes with the square of the jet's speed and flow with the speed itself, so the flow
    goes with the root of thrust (F = C_d C_v rho A v^2, m' = C_d rho A v).
    """
    return np.sqrt(np.maximum(thrust, 0.0))


def even(thrust: Floats) -> Floats:
    """Return a constant rate over the whole firing."""
    return np.ones_like(thrust)


def _share(rate: Floats, first: int, last: int) -> Floats:
    """Integrate a rate from ``first`` to ``last`` and scale it to rise from 0 to 1."""
    gone = np.zeros_like(rate)
    part = rate[first:last]
    gone[first:last] = part if part.any() else 1.0  # no flow at all: spread it evenly
    total = np.cumsum(gone)
    share: Floats = total / total[-1]
    return share


def remove_ramp(
    span: Span,
    samples: int,
    shape: Callable[[Floats], Floats],
    *,
    water: float | None = None,
    last: int | None = None,
) -> Floats:
    """Take tare and weight ramp off the force of a record.

    Parameters
    ----------
    span : where the firing stands
    samples : window (odd) that averages the ringing out before the ramp's rate is taken
    shape : rate of weight loss for a given thrust, up to a factor
    water : weight of the water [N], if known: the step of the rest beyond it came at a time that
        nobody knows, so its expected course is an even ramp; if not known, all of the step is water
    last : sample at which the ramp is complete; the end of the firing when left out

    Returns
    -------
    (n,) thrust over the whole record, N; the ramp rises from the rest before to the rest after.
    """
    last = span.end if last is None else last
    bare = span.force - span.before
    step = span.after - span.before
    water = step if water is None else water
    thrust = bare - (step - water) * _share(np.ones_like(bare), span.onset, span.end)
    bare = thrust.copy()
    for _ in range(PASSES):
        thrust = bare - water * _share(shape(centred_mean(thrust, samples)), span.onset, last)
    return thrust
