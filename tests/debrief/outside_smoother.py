"""The filter and the smoother beside the published series that textbooks smooth."""

from __future__ import annotations

from functools import cache

import numpy as np
from outside import COMPUTED, OutsideCheck, absolute, register

from loftwright.debrief.reconstruction.smoother import (
    About,
    Phase,
    Reading,
    State,
    filtered,
    smoothed,
)

MODEL = "Flight, reconstructed"
SOURCE = (
    "flow of the Nile at Aswan, 1871 to 1970, local level model with the parameters of J. Durbin "
    "and S. J. Koopman, Time Series Analysis by State Space Methods (2012), ch. 2; solved apart by "
    "statsmodels 0.14"
)
LEVEL, NOISE = 1469.1, 15099.0  # variance a year, and of a reading
KNOWN = 1e11  # variance at the start: nothing is known

NILE = [
    1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180,
    799, 958, 1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833,
    701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845,
    864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676,
    649, 846, 812, 742, 801, 1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975,
    815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
]  # fmt: skip


@cache
def nile():
    """Filtered and smoothed levels with their variances: a height that rests and wanders."""
    assert sum(NILE) == 91935
    n = len(NILE)
    zero, time = np.zeros(n), np.arange(n, dtype=float)
    reading = Reading(time, np.array(NILE, float), np.full(n, NOISE), zero, zero, zero)
    covariance = np.zeros((7, 7))
    covariance[0, 0] = KNOWN
    start = State(0.0, np.zeros(7), covariance)
    about = About(time, zero, zero, 0.0)
    done = filtered([Phase("level", 1e9, LEVEL, rests=True)], start, reading, about, 0.0)
    path = smoothed(done, reading)
    return {
        "filtered": (done.mean[:, 0], done.covariance[:, 0, 0]),
        "smoothed": (path.mean[:, 0], path.covariance[:, 0, 0]),
    }


TOLERANCE = (1e-4, 3e-3)  # in the first years the start's variance is still felt

# which, year from 1: level, variance; not-a-number where none is told
TABLE = {
    ("filtered", 1): (1120.0, 15099.0),
    ("filtered", 2): (1140.92784, 7899.73638),
    ("filtered", 3): (1072.79853, 5781.46994),
    ("smoothed", 1): (1111.66832, 4032.15794),
    ("filtered", 100): (798.37029, 4032.15794),
    ("smoothed", 28): (999.58522, None),
    ("smoothed", 29): (950.93009, None),
    ("smoothed", 50): (834.76326, 2326.75687),
    ("smoothed", 100): (798.37029, 4032.15794),
}
for (which, year), values in TABLE.items():
    for number, (quantity, expected) in enumerate(zip(("level", "variance"), values, strict=True)):
        if expected is not None:
            register(
                OutsideCheck(
                    model=MODEL,
                    quantity=f"{which} {quantity} of the Nile",
                    source=SOURCE,
                    inputs=f"year {year} of 100",
                    expected=expected,
                    ours=lambda w=which, y=year, n=number: float(nile()[w][n][y - 1]),
                    tolerance=absolute(TOLERANCE[year < 4]),
                    standing=COMPUTED,
                )
            )
