"""The air where a body is: how dense it is, and how the body moves through it."""

from loftwright.flight.kernel.slots import (
    EAST,
    NORTH,
    PAD_DENSITY,
    PAD_TEMPERATURE,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
)
from loftwright.flight.kernel.weather import wind
from loftwright.physics.atmosphere import air_density_at

__all__ = ["density", "relative_wind"]


def density(y, p, l):
    """Density of the air where the body is [kg/m3]."""
    return air_density_at(y[UP + l], p[PAD_DENSITY + l], p[PAD_TEMPERATURE + l])


def relative_wind(t, y, p, l):
    """Velocity of the body through the air, ground frame [m/s]."""
    east, north, up = wind(t, y[EAST + l], y[NORTH + l], y[UP + l], p, l)
    return y[V_EAST + l] - east, y[V_NORTH + l] - north, y[V_UP + l] - up
