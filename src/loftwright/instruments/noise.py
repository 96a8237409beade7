"""Standard normals for sensors: seeded, and each flight on a stream of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.draws import generator
from loftwright.instruments.kernel import slots

__all__ = ["Noise", "noise"]

Singles = NDArray[np.float32]


def noise(seed: int, controller: str, first: int, flights: int, samples: int) -> Singles:
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
    kinds = Noise(seed, controller, first, flights).up_to(samples)
    return np.ascontiguousarray(np.moveaxis(kinds, 0, -1))


class Noise:
    """The same, made longer as it is asked for; what has been drawn is kept.

    The parameters are those of `noise`.
    """

    def __init__(self, seed: int, controller: str, first: int, flights: int) -> None:
        self._streams = [
            generator(seed, f"noise/{controller}", first + row) for row in range(flights)
        ]
        self._drawn: Singles = np.zeros((slots.NOISE_ROWS, flights, 0), np.float32)

    def up_to(self, samples: int) -> Singles:
        """Return the first samples, (``slots.NOISE_ROWS``, flights, samples)."""
        have = self._drawn.shape[2]
        if samples > have:
            longer = np.empty((*self._drawn.shape[:2], samples), np.float32)
            longer[..., :have] = self._drawn
            row = np.empty((samples - have, slots.NOISE_ROWS), np.float32)
            for number, stream in enumerate(self._streams):
                stream.standard_normal(dtype=np.float32, out=row)
                longer[:, number, have:] = row.T
            self._drawn = longer
        return self._drawn[..., :samples]
