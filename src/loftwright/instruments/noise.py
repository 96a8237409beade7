"""Standard normals for sensors: seeded, and each flight on a stream of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.draws import generator
from loftwright.instruments.kernel import slots

__all__ = ["noise"]


def noise(
    seed: int, controller: str, first: int, flights: int, samples: int
) -> NDArray[np.float32]:
    """Draw what ``sense`` scales into noise, jitter and lost samples.

    What a flight draws depends on the seed, the controller's name and the flight's number alone;
    the first samples of a longer draw are those of a shorter one. Every case of a flight is given
    the same, so that cases differ by their faults and by nothing else.

    Parameters
    ----------
    seed : int
        Of the rehearsal.
    controller : str
        Name of the controller whose sensors these are.
    first, flights : int
        First flight and number of flights.
    samples : int
        Number of samples from power-up.

    Returns
    -------
    array
        float32 (flights, samples, ``slots.NOISE_ROWS``).
    """
    out = np.empty((flights, samples, slots.NOISE_ROWS), np.float32)
    for row in range(flights):
        stream = generator(seed, f"noise/{controller}", first + row)
        stream.standard_normal(dtype=np.float32, out=out[row])
    return out
