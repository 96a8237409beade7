"""The wind where a body is: a profile over height, and gusts that are the same for all bodies."""

from math import cos, log

from loftwright.flight.kernel.slots import (
    GUST_0_EAST,
    GUST_1_EAST,
    GUST_2_EAST,
    GUST_3_EAST,
    GUST_4_EAST,
    GUST_5_EAST,
    GUST_6_EAST,
    GUST_7_EAST,
    GUST_8_EAST,
    GUST_9_EAST,
    GUST_10_EAST,
    GUST_11_EAST,
    GUST_ACROSS_0,
    GUST_ACROSS_1,
    GUST_ACROSS_2,
    GUST_ACROSS_3,
    GUST_ALONG_0,
    GUST_ALONG_1,
    GUST_ALONG_2,
    GUST_ALONG_3,
    GUST_UPRIGHT,
    LANES,
    ROUGHNESS,
    WIND_EAST,
    WIND_NORTH,
)
from loftwright.physics.gust_spectrum import vertical_gust_share

__all__ = ["wind"]

# Vertical gusts are whole from here up: a third of their length (judgement).
WHOLE_HEIGHT = 10.0  # m


def _wave(t, east, north, height, p, o):
    """One wave of height one; its five rows stand together from ``o`` on."""
    return cos(
        east * p[o]
        + north * p[o + LANES]
        + height * p[o + 2 * LANES]
        + t * p[o + 3 * LANES]
        + p[o + 4 * LANES]
    )


def wind(t, east, north, height, p, l):
    """Where the air goes to: east, north and up [m/s].

    A logarithmic profile, and gusts that fade towards the ground. See ``flight.gusts`` for the
    waves.
    """
    growth = log(max(height / p[ROUGHNESS + l], 1.0))
    fade = min(growth, 1.0)
    wave_0 = fade * _wave(t, east, north, height, p, GUST_0_EAST + l)
    wave_1 = fade * _wave(t, east, north, height, p, GUST_1_EAST + l)
    wave_2 = fade * _wave(t, east, north, height, p, GUST_2_EAST + l)
    wave_3 = fade * _wave(t, east, north, height, p, GUST_3_EAST + l)
    wave_4 = fade * _wave(t, east, north, height, p, GUST_4_EAST + l)
    wave_5 = fade * _wave(t, east, north, height, p, GUST_5_EAST + l)
    wave_6 = fade * _wave(t, east, north, height, p, GUST_6_EAST + l)
    wave_7 = fade * _wave(t, east, north, height, p, GUST_7_EAST + l)
    upright = (
        _wave(t, east, north, height, p, GUST_8_EAST + l)
        + _wave(t, east, north, height, p, GUST_9_EAST + l)
        + _wave(t, east, north, height, p, GUST_10_EAST + l)
        + _wave(t, east, north, height, p, GUST_11_EAST + l)
    )
    return (
        p[WIND_EAST + l] * growth
        + p[GUST_ALONG_0 + l] * wave_0 - p[GUST_ACROSS_0 + l] * wave_1
        + p[GUST_ALONG_1 + l] * wave_2 - p[GUST_ACROSS_1 + l] * wave_3
        + p[GUST_ALONG_2 + l] * wave_4 - p[GUST_ACROSS_2 + l] * wave_5
        + p[GUST_ALONG_3 + l] * wave_6 - p[GUST_ACROSS_3 + l] * wave_7,
        p[WIND_NORTH + l] * growth
        + p[GUST_ACROSS_0 + l] * wave_0 + p[GUST_ALONG_0 + l] * wave_1
        + p[GUST_ACROSS_1 + l] * wave_2 + p[GUST_ALONG_1 + l] * wave_3
        + p[GUST_ACROSS_2 + l] * wave_4 + p[GUST_ALONG_2 + l] * wave_5
        + p[GUST_ACROSS_3 + l] * wave_6 + p[GUST_ALONG_3 + l] * wave_7,
        p[GUST_UPRIGHT + l] * vertical_gust_share(height, WHOLE_HEIGHT) * upright,
    )  # fmt: skip
