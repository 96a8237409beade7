"""The air around the bodies: its density, and wind with gusts."""

from math import cos, log

from loftwright.flight.kernel.slots import (
    GUST_EAST_0,
    GUST_EAST_1,
    GUST_EAST_2,
    GUST_EAST_3,
    GUST_EAST_PHASE_0,
    GUST_EAST_PHASE_1,
    GUST_EAST_PHASE_2,
    GUST_EAST_PHASE_3,
    GUST_NORTH_0,
    GUST_NORTH_1,
    GUST_NORTH_2,
    GUST_NORTH_3,
    GUST_NORTH_PHASE_0,
    GUST_NORTH_PHASE_1,
    GUST_NORTH_PHASE_2,
    GUST_NORTH_PHASE_3,
    GUST_RATE_0,
    GUST_RATE_1,
    GUST_RATE_2,
    GUST_RATE_3,
    GUST_WAVE_0,
    GUST_WAVE_1,
    GUST_WAVE_2,
    GUST_WAVE_3,
    PAD_DENSITY,
    PAD_TEMPERATURE,
    ROUGHNESS,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    WIND_EAST,
    WIND_NORTH,
)
from loftwright.physics.atmosphere import air_density_at

__all__ = ["density", "relative_wind", "wind"]


def density(y, p, l):
    """Density of the air where the body is [kg/m3]."""
    return air_density_at(y[UP + l], p[PAD_DENSITY + l], p[PAD_TEMPERATURE + l])


def _wave(phase, amplitude, shift):
    return amplitude * cos(phase + shift)


def wind(t, height, p, l):
    """Where the air goes to, east and north [m/s]: logarithmic profile plus four gust waves.

    Gusts fade with the mean wind towards the ground. See ``flight.gusts`` for the waves.
    """
    growth = log(max(height / p[ROUGHNESS + l], 1.0))
    phase_0 = t * p[GUST_RATE_0 + l] + height * p[GUST_WAVE_0 + l]
    phase_1 = t * p[GUST_RATE_1 + l] + height * p[GUST_WAVE_1 + l]
    phase_2 = t * p[GUST_RATE_2 + l] + height * p[GUST_WAVE_2 + l]
    phase_3 = t * p[GUST_RATE_3 + l] + height * p[GUST_WAVE_3 + l]
    east = (
        _wave(phase_0, p[GUST_EAST_0 + l], p[GUST_EAST_PHASE_0 + l])
        + _wave(phase_1, p[GUST_EAST_1 + l], p[GUST_EAST_PHASE_1 + l])
        + _wave(phase_2, p[GUST_EAST_2 + l], p[GUST_EAST_PHASE_2 + l])
        + _wave(phase_3, p[GUST_EAST_3 + l], p[GUST_EAST_PHASE_3 + l])
    )
    north = (
        _wave(phase_0, p[GUST_NORTH_0 + l], p[GUST_NORTH_PHASE_0 + l])
        + _wave(phase_1, p[GUST_NORTH_1 + l], p[GUST_NORTH_PHASE_1 + l])
        + _wave(phase_2, p[GUST_NORTH_2 + l], p[GUST_NORTH_PHASE_2 + l])
        + _wave(phase_3, p[GUST_NORTH_3 + l], p[GUST_NORTH_PHASE_3 + l])
    )
    fade = min(growth, 1.0)
    return p[WIND_EAST + l] * growth + fade * east, p[WIND_NORTH + l] * growth + fade * north


def relative_wind(t, y, p, l):
    """Velocity of the body through the air, ground frame [m/s]."""
    east, north = wind(t, y[UP + l], p, l)
    return y[V_EAST + l] - east, y[V_NORTH + l] - north, y[V_UP + l]
