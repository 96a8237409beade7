"""Gusts: a field of waves, its energy spread as low-altitude turbulence is published.

White noise has no place inside an adaptive integrator; a sum of waves is smooth, bounded, and the
same for every body of a flight. Each wave runs in a direction of its own, moves the air square to
that direction, and is carried along by the mean wind (Taylor) and by larger gusts (Tennekes).
"""

from __future__ import annotations

from functools import cache
from math import atan, tan
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.draws import normals, uniforms
from loftwright.physics.gust_spectrum import gust_energy_share
from loftwright.physics.turbulence import (
    horizontal_turbulence,
    horizontal_turbulence_length,
    vertical_turbulence,
)

__all__ = [
    "LEVEL",
    "REFERENCE_HEIGHT",
    "UPRIGHT",
    "WAVES",
    "Gusts",
    "blown",
    "draw_fields",
    "draw_gusts",
]

LEVEL = 8  # waves of level wind, in pairs that blow square to each other
UPRIGHT = 4  # waves of vertical wind
WAVES = LEVEL + UPRIGHT
# Height whose turbulence stands for the whole flight. The published lengths are within a factor
# of two of those here from 15 m to 60 m, and the ratio of vertical to level gusts within an eighth.
REFERENCE_HEIGHT = 30.0  # m
# Shorter waves would shorten the integrator's steps (a glider met 10 m ones at half its cost again)
# and average out over the body: their energy, a sixth of the vertical and a thirtieth of the level
# one, is put on waves of this length.
SHORTEST_WAVE = 20.0  # m
LEVEL_LENGTH = horizontal_turbulence_length(REFERENCE_HEIGHT)
UPRIGHT_LENGTH = REFERENCE_HEIGHT  # the standard's vertical length is the height
UPRIGHT_SHARE = vertical_turbulence(1.0) / horizontal_turbulence(REFERENCE_HEIGHT, 1.0)

Floats = NDArray[np.float64]


class Gusts(NamedTuple):
    """Waves of wind, one row a flight: ``WAVES`` columns, the level ones first.

    The phase of a wave is ``east x + north y + up z + rate t + phase``. Level waves 2j and 2j + 1
    blow along ``(along[j], across[j])`` and ``(-across[j], along[j])`` east and north; each of
    the rest blows ``upright`` up.
    """

    east: Floats  # rad/m
    north: Floats  # rad/m
    up: Floats  # rad/m
    rate: Floats  # rad/s
    phase: Floats  # rad
    along: Floats  # m/s, a column a pair
    across: Floats  # m/s, a column a pair
    upright: Floats  # m/s, (n,)


@cache
def _shares() -> tuple[Floats, Floats]:
    """Share of the energy below a wavenumber, against the arc tangent of length times that."""
    angles = np.linspace(0.0, 0.5 * np.pi, 4097)[:-1]
    return np.array([gust_energy_share(tan(angle)) for angle in angles]), angles


def _wavenumbers(place: Floats, length: float, shortest: float) -> Floats:
    """Cut the energy spectrum into strata of equal energy and take a wavenumber in each."""
    strata = place.shape[1]
    highest = gust_energy_share(2.0 * np.pi / shortest * length)
    share = np.minimum((np.arange(strata) + place) / strata, highest)
    shares, angles = _shares()
    top = atan(2.0 * np.pi / shortest * length)
    angle = np.minimum(np.interp(share, shares, angles), top)
    number: Floats = np.tan(angle) / length
    return number


def _directions(rise: Floats, azimuth: Floats, roll: Floats) -> tuple[Floats, Floats, Floats]:
    """Unit vectors square to a motion of the air that rises so much towards an azimuth."""
    flat = np.sqrt(1.0 - rise**2)
    level, steep = np.cos(roll), np.sin(roll)
    return (
        -level * np.sin(azimuth) - steep * rise * np.cos(azimuth),
        level * np.cos(azimuth) - steep * rise * np.sin(azimuth),
        steep * flat,
    )


def draw_fields(
    seed: int, flights: int, *, first: int = 0, shortest: float = SHORTEST_WAVE
) -> Gusts:
    """Draw the gust waves of flight ``first`` and those after it, for ``blown`` to scale.

    Level and vertical gusts are components of two isotropic fields, with the standard's lengths
    and deviations at ``REFERENCE_HEIGHT``; so the spectrum along any line through them, level,
    upright or slanting, is the published one for that component. A wave's motion and direction
    are drawn together, each as often as it carries energy, so that all waves of a kind are
    equally strong and every flight has the whole variance.

    Larger gusts carry a wave along as well as the mean wind does, at a steady speed drawn for each
    wave: what the mean wind alone carries never changes for a glider that circles with it, and
    can hold it up for good.

    Returns the waves of level gusts of 1 m/s deviation, without a mean wind.

    Parameters
    ----------
    seed, flights : int
        Seed of the draws, number of flights n.
    shortest : float
        Length of the shortest waves [m].

    References
    ----------
    MIL-F-8785C (1980), section 3.7 (from memory): spectra, lengths and deviations below 1000 ft;
    R. H. Kraichnan, Phys. Fluids 13 (1970) 22 (from memory): a field as a sum of random waves
    square to their directions, each with a frequency of its own; H. Tennekes, J. Fluid Mech. 67
    (1975) 561 (from memory): small eddies are carried along by large ones.
    """
    draws = uniforms(seed, "site.wind.waves", first, flights, WAVES * 5)
    place, tilt, turn, roll, start = np.split(draws, 5, axis=1)
    azimuth = 2.0 * np.pi * turn
    azimuth[:, 1:LEVEL:2] = azimuth[:, 0:LEVEL:2] + 0.5 * np.pi
    # How steeply the air moves: level waves by their level energy, 1 - rise^2, the others by
    # their vertical one, rise^2. Both distributions are inverted in closed form.
    rise = np.hstack(
        [
            2.0 * np.sin(np.arcsin(2.0 * tilt[:, :LEVEL] - 1.0) / 3.0),
            np.cbrt(tilt[:, LEVEL:]),
        ]
    )
    wavenumber = np.hstack(
        [
            _wavenumbers(place[:, :LEVEL], LEVEL_LENGTH, shortest),
            _wavenumbers(place[:, LEVEL:], UPRIGHT_LENGTH, shortest),
        ]
    )
    directions = _directions(rise, azimuth, 2.0 * np.pi * roll)
    east, north, up = (wavenumber * part for part in directions)
    sweeping = np.sqrt(east**2 + north**2 + (UPRIGHT_SHARE * up) ** 2)
    pairs = azimuth[:, 0:LEVEL:2]
    each = (4.0 / LEVEL) ** 0.5
    return Gusts(
        east=east,
        north=north,
        up=up,
        rate=sweeping * normals(seed, "site.wind.sweep", first, flights, (WAVES,)),
        phase=2.0 * np.pi * start,
        along=each * np.cos(pairs),
        across=each * np.sin(pairs),
        upright=np.full(flights, UPRIGHT_SHARE * (2.0 / UPRIGHT) ** 0.5),
    )


def blown(
    fields: Gusts,
    deviation: Floats | float,
    speed: Floats | float,
    coming_from: Floats | float = 0.0,
) -> Gusts:
    """Return what ``draw_fields`` drew, made as strong as the day's gusts and carried by its wind.

    Parameters
    ----------
    deviation : float or (n,) array
        Standard deviation of each level component [m/s].
    speed : float or (n,) array
        Mean wind at ``REFERENCE_HEIGHT``, which carries the gusts along [m/s].
    coming_from : float or (n,) array
        Where that comes from, clockwise from north [rad].

    References
    ----------
    G. I. Taylor, Proc. R. Soc. A 164 (1938) 476: the mean wind carries its turbulence along.
    """
    strength, wind, origin = (np.reshape(each, (-1, 1)) for each in (deviation, speed, coming_from))
    carried = fields.east * np.sin(origin) + fields.north * np.cos(origin)
    return fields._replace(
        rate=fields.rate * strength + carried * wind,
        along=fields.along * strength,
        across=fields.across * strength,
        upright=fields.upright * strength[:, 0],
    )


def draw_gusts(
    seed: int,
    flights: int,
    deviation: Floats | float,
    speed: Floats | float,
    coming_from: Floats | float = 0.0,
    *,
    first: int = 0,
    shortest: float = SHORTEST_WAVE,
) -> Gusts:
    """Draw the gusts of flight ``first`` and those after it: ``draw_fields``, ``blown``."""
    fields = draw_fields(seed, flights, first=first, shortest=shortest)
    return blown(fields, deviation, speed, coming_from)
