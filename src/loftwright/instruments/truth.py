"""What is true on board at the moments at which a controller takes its samples."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.compiling.clone import compiled
from loftwright.flight.air import air_at_pad
from loftwright.flight.weather_rows import surroundings
from loftwright.instruments.kernel import follow as kernel

__all__ = ["Truth", "around", "truth"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]


class Truth(NamedTuple):
    """What instruments are exposed to, float32 (flights, samples) each."""

    port: Singles  # Pa, at the vents of the bay, position error included
    push: Singles  # m/s2, along the vehicle's axis, gravity's opposite included
    height: Singles  # m, above the pad
    climb: Singles  # m/s


@cache
def _follow() -> Any:
    return compiled(kernel.follow)


def around(values: Mapping[str, Any], flights: int, port_coefficient: Any = 0.0) -> Floats:
    """Return what surrounds each flight, float64 (flights, ``kernel.AROUND``).

    ``values`` are those that flights are prepared from, numbers or arrays ``(flights,)``;
    ``port_coefficient`` is that of the bay whose barometer is read.
    """
    row = surroundings(values, air_at_pad(values))
    air = ("PAD_PRESSURE", "PAD_TEMPERATURE", "PAD_DENSITY", "GRAVITY")
    names = (*air, "WIND_EAST", "WIND_NORTH", "ROUGHNESS")
    table = np.empty((flights, kernel.AROUND))
    for column, name in enumerate(names):
        table[:, column] = row[name]
    table[:, kernel.COEFFICIENT] = port_coefficient
    return table


def truth(tapes: Sequence[Floats], times: Floats, surrounds: Floats) -> Truth:
    """Read flights at the times of a controller's samples.

    Parameters
    ----------
    tapes : sequence of arrays
        Samples of the vehicle in each flight, (k, RECORD_COLUMNS), as ``engine.Raw.tapes`` holds
        them.
    times : array
        (flights, samples) or (samples,), ascending, zero at first motion [s]. Before it the
        vehicle stands on the pad; after the last sample it lies where that left it.
    surrounds : array
        As ``around`` gives it.

    Returns
    -------
    Truth

    Notes
    -----
    The pressure at the vents is that of the air at the height of the vehicle's balance point, by
    the pad's own pressure and temperature, and what the air adds at the vents in the mean wind:
    gusts shake a vehicle, but they add less there than the coefficient is uncertain.
    """
    flights, follow = len(tapes), _follow()
    moments = np.empty((flights, np.shape(times)[-1]))
    moments[:] = times
    out = Truth(*(np.empty(moments.shape, np.float32) for _ in Truth._fields))
    for row, tape in enumerate(tapes):
        follow(tape, moments[row], surrounds[row], *(each[row] for each in out))
    return out
