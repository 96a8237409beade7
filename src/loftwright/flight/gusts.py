"""Gusts as a few waves whose energy follows a published spectrum of low-altitude turbulence.

White noise has no place inside an adaptive integrator; a sum of waves is smooth, bounded, and
the same for every body of a flight.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.draws import uniforms
from loftwright.physics.turbulence import horizontal_turbulence_length

__all__ = ["MODES", "Gusts", "draw_gusts"]

MODES = 4
# Height whose turbulence stands for the whole flight: most of a descent is spent around it.
REFERENCE_HEIGHT = 30.0  # m
# The top stratum of the spectrum is cut here: waves shorter than a few vehicle lengths average
# out over the body and would only shorten the integrator's steps.
HIGHEST_SHARE = 0.97

Floats = NDArray[np.float64]


class Gusts(NamedTuple):
    """Waves of horizontal wind, one row a flight, ``MODES`` columns.

    East and north parts of wave k are ``amplitude cos(rate t + wave z + phase)``.
    """

    rate: Floats  # rad/s
    wave: Floats  # rad/m of height
    amplitude: Floats  # m/s, the same east and north
    east_phase: Floats  # rad
    north_phase: Floats  # rad


def draw_gusts(
    seed: int,
    flights: int,
    deviation: Floats | float,
    speed: Floats | float,
    first: int = 0,
) -> Gusts:
    """Draw the gust waves of flight ``first`` and those after it.

    The longitudinal spectrum ``2 L / (pi (1 + (L k)^2))`` is cut into ``MODES`` strata of equal
    energy and one wavenumber k is drawn in each. The field is carried along frozen at the mean
    speed, and varies over height with the same wavenumbers.

    Parameters
    ----------
    seed, flights : int
        Seed of the draws, number of flights n.
    deviation : float or (n,) array
        Standard deviation of each horizontal component [m/s].
    speed : float or (n,) array
        Mean speed that carries the gusts along [m/s].

    References
    ----------
    MIL-F-8785C (1980), section 3.7 (from memory): spectrum and length scale below 1000 ft;
    G. I. Taylor, Proc. R. Soc. A 164 (1938) 476: frozen turbulence.
    """
    draws = uniforms(seed, "site.wind.waves", first, flights, MODES * 4)
    place, lean, east, north = np.split(draws, 4, axis=1)
    share = np.minimum((np.arange(MODES) + place) / MODES, HIGHEST_SHARE)
    length = horizontal_turbulence_length(REFERENCE_HEIGHT)
    wavenumber = np.tan(0.5 * np.pi * share) / length
    ones = np.ones((flights, MODES))
    return Gusts(
        rate=wavenumber * np.reshape(speed, (-1, 1)),
        wave=wavenumber * (2.0 * lean - 1.0),
        amplitude=ones * np.reshape(deviation, (-1, 1)) * (2.0 / MODES) ** 0.5,
        east_phase=2.0 * np.pi * east,
        north_phase=2.0 * np.pi * north,
    )
