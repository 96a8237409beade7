"""How well people pace, point and press, where they do not say so themselves.

A figure that somebody wrote without ± is not certain. What is supposed then is supposed here, and
whoever states better is believed.
"""

from __future__ import annotations

from math import radians

from loftwright.units import Quantity

__all__ = [
    "BEARING_SD",
    "COORDINATE_SD",
    "ELEVATION_SD",
    "FRAME_SD",
    "PACED_SHARE",
    "PRESS_SD",
    "sd_of",
]

# One press of a watch. NIST SP 960-12 (2004), section 2: what starting and stopping by hand adds is
# "typically tens or even hundreds of milliseconds"; J. B. Mann et al., J. Strength Cond. Res. 29
# (2015), 1509: 40 yd dashes by hand are 0.22 s short, with 0.07 s of scatter (both read). A moment
# that comes unexpectedly is pressed some 0.2 s late.
PRESS_SD = 0.15  # s
FRAME_SD = 0.02  # s; a moment found in a film or a sound, some frames (common practice, no source)
PACED_SHARE = 0.05  # of a distance that was paced (common practice, no source)
COORDINATE_SD = 5.0  # m, of a phone under open sky (common practice, no source)
BEARING_SD = radians(5.0)  # of a pocket compass, pointed (common practice, no source)
ELEVATION_SD = radians(2.0)  # of a protractor with a plumb line (common practice, no source)


def sd_of(told: Quantity, supposed: float) -> float:
    """Return how sure a figure is: as it was told, or as is supposed where nothing was said."""
    return told.sd if told.sd > 0.0 else supposed
