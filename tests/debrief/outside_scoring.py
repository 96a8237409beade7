"""Scores, validation and propagated uncertainty beside standards and their worked examples."""

from __future__ import annotations

from functools import cache
from math import cos, pi, sin, sqrt

import numpy as np
from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register

from loftwright.debrief.scoring.crps import crps
from loftwright.debrief.scoring.propagation import correlation_of, covariance_of, propagate
from loftwright.physics.scoring import crps_of_normal
from loftwright.physics.validation import (
    comparison_error,
    model_error_bounds,
    validation_uncertainty,
)


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Forecast scored",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- validation of a simulation

VV20 = "ASME V&V 20-2009: E = S - D, u_val; example of novasolver.jp, Validation metric"
BARE = "S 105, D 100, u_D 8, u_num 3, u_input 0"
check(
    "comparison error", BARE, 5.0, lambda: comparison_error(105.0, 100.0), absolute(0.0), VV20, READ
)
check(
    "validation uncertainty",
    BARE,
    8.54400,
    lambda: validation_uncertainty(3.0, 0.0, 8.0),
    absolute(1e-5),
    VV20,
    READ,
)
check(
    "error in validation uncertainties",
    BARE,
    0.585206,
    lambda: comparison_error(105.0, 100.0) / validation_uncertainty(3.0, 0.0, 8.0),
    absolute(1e-6),
    VV20,
)
HALVES = "the same, 8 and 3 being 95 % half-widths"
check(
    "validation uncertainty",
    HALVES,
    4.272002,
    lambda: validation_uncertainty(1.5, 0.0, 4.0),
    absolute(1e-6),
    VV20,
)
check(
    "error in validation uncertainties",
    HALVES,
    1.170412,
    lambda: comparison_error(105.0, 100.0) / validation_uncertainty(1.5, 0.0, 4.0),
    absolute(1e-6),
    VV20,
)
ALL_THREE = "S 105, D 100, u_num 3, u_input 2, u_D 4"
check(
    "validation uncertainty",
    ALL_THREE,
    5.385165,
    lambda: validation_uncertainty(3.0, 2.0, 4.0),
    absolute(1e-6),
    VV20,
)
check(
    "error in validation uncertainties",
    ALL_THREE,
    0.928477,
    lambda: comparison_error(105.0, 100.0) / validation_uncertainty(3.0, 2.0, 4.0),
    absolute(1e-6),
    VV20,
)
for place, bound in enumerate((-5.770330, 15.770330)):
    check(
        f"{('lower', 'upper')[place]} bound of the model's error, k = 2",
        ALL_THREE,
        bound,
        lambda place=place: model_error_bounds(5.0, validation_uncertainty(3.0, 2.0, 4.0), 2.0)[
            place
        ],
        absolute(1e-6),
        VV20,
    )

# ---------------------------------------------------------------- continuous ranked probability

GNEITING = "T. Gneiting and A. E. Raftery (2007), section 4.2: σ (2 φ(z) + z (2 Φ(z) - 1) - 1/√π)"
check(
    "score of a normal forecast",
    "mean 0, sd 1, value 0",
    (sqrt(2.0) - 1.0) / sqrt(pi),
    lambda: crps_of_normal(0.0, 0.0, 1.0),
    absolute(1e-12),
    GNEITING,
)
check(
    "score of a normal forecast",
    "mean 2, sd 3, value -1: z = -1",
    3.0 * (2.0 * 0.24197072 - (2.0 * 0.15865525 - 1.0) - 1.0 / sqrt(pi)),
    lambda: crps_of_normal(-1.0, 2.0, 3.0),
    absolute(1e-6),
    GNEITING,
)
for fair, expected in ((False, 1.0 - 0.5 * 0.5), (True, 1.0 - 0.5)):
    check(
        f"score of two flights, {'fair' if fair else 'plain'}",
        "flights 0 and 1, value 1.5",
        expected,
        lambda fair=fair: crps(np.array([0.0, 1.0]), 1.5, fair=fair),
        absolute(1e-12),
        "the definition, by hand" if not fair else "C. A. T. Ferro (2014), by hand",
    )

# ---------------------------------------------------------------- propagation of uncertainty

GAUGE = "JCGM 100:2008 (GUM), H.1, end gauge"
GAUGE_INPUTS = (
    "l_s 50.000623 mm, u 25 nm; d 215 nm, u 5.8, 3.9 and 6.7 nm; δα ± 1e-6, δθ ± 0.05 °C, both "
    "rectangular; α 11.5e-6; θ -0.1 °C"
)


@cache
def end_gauge() -> tuple[float, float]:
    """Return length [mm] and its standard uncertainty [nm]."""

    def length(x):
        standard, difference, expansion, deviation, alpha, apart = x
        return [standard + difference - standard * (expansion * deviation + alpha * apart)]

    values = np.array([50.000623, 215e-6, 0.0, -0.1, 11.5e-6, 0.0])
    third = sqrt(3.0)
    difference = 1e-6 * sqrt(5.8**2 + 3.9**2 + 6.7**2)
    spread = [25e-6, difference, 1e-6 / third, 0.41, 2e-6 / third, 0.05 / third]
    found, covariance = propagate(length, values, covariance_of(spread))
    return float(found[0]), 1e6 * sqrt(covariance[0, 0])


check("length, mm", GAUGE_INPUTS, 50.000838, lambda: end_gauge()[0], absolute(5e-7), GAUGE, MEMORY)
check(
    "standard uncertainty, nm",
    GAUGE_INPUTS,
    32.0,
    lambda: end_gauge()[1],
    absolute(0.5),
    f"{GAUGE}, as printed",
    MEMORY,
)
check(
    "standard uncertainty before rounding, nm",
    GAUGE_INPUTS,
    31.664,
    lambda: end_gauge()[1],
    absolute(1e-3),
    GAUGE,
)

OBSERVED = np.array(
    [
        [5.007, 4.994, 5.005, 4.990, 4.999],  # V
        [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],  # A
        [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],  # rad
    ]
)
IMPEDANCE = "JCGM 100:2008 (GUM), H.2, resistance and reactance; observations from memory"
MEANS = "means of five observations of V, I, φ with their covariances"


@cache
def impedance(correlated: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """Return R, X and Z with their covariance, ohm."""

    def of(x):
        ratio = x[0] / x[1]
        return [ratio * cos(x[2]), ratio * sin(x[2]), ratio]

    covariance = np.cov(OBSERVED) / OBSERVED.shape[1]
    if not correlated:
        covariance = np.diag(np.diagonal(covariance))
    return propagate(of, OBSERVED.mean(axis=1), covariance)


PRINTED = {
    "resistance": (127.732, 0.071),
    "reactance": (219.847, 0.295),
    "impedance": (254.260, 0.236),
}
for place, (name, (value, uncertainty)) in enumerate(PRINTED.items()):
    check(
        f"{name}, ohm",
        MEANS,
        value,
        lambda place=place: float(impedance()[0][place]),
        absolute(5e-4),
        IMPEDANCE,
        MEMORY,
    )
    check(
        f"standard uncertainty of {name}, ohm",
        MEANS,
        uncertainty,
        lambda place=place: sqrt(impedance()[1][place, place]),
        absolute(1e-3),  # the Guide rounds on its way
        IMPEDANCE,
        MEMORY,
    )
for one, other, names, expected in (
    (0, 1, "resistance and reactance", -0.588),
    (0, 2, "resistance and impedance", -0.485),
    (1, 2, "reactance and impedance", 0.993),
):
    check(
        f"correlation of {names}",
        MEANS,
        expected,
        lambda one=one, other=other: float(correlation_of(impedance()[1])[one, other]),
        absolute(5e-4),
        IMPEDANCE,
        MEMORY,
    )
for place, (name, expected) in enumerate(zip(PRINTED, (0.1945, 0.2009, 0.2041), strict=True)):
    check(
        f"standard uncertainty of {name} where covariances are dropped, ohm",
        MEANS,
        expected,
        lambda place=place: sqrt(impedance(correlated=False)[1][place, place]),
        absolute(5e-5),
        IMPEDANCE,
    )
check(
    "correlation of resistance and reactance where covariances are dropped",
    MEANS,
    0.056,
    lambda: float(correlation_of(impedance(correlated=False)[1])[0, 1]),
    absolute(5e-4),
    IMPEDANCE,
)

OHM = "first example of the documentation of GTC, pypi.org/project/GTC"
for what, expected, place in (("resistance", 6.67, 0), ("standard uncertainty", 0.23, 1)):
    check(
        f"{what} of a resistor, ohm",
        "V 0.1 ± 0.001 V, I 15 ± 0.5 mA",
        expected,
        lambda place=place: ohm()[place],
        absolute(0.005),
        OHM,
        READ,
    )


@cache
def ohm() -> tuple[float, float]:
    """Return a resistance and its standard uncertainty."""
    values, spread = np.array([0.1, 15e-3]), covariance_of([0.001, 0.5e-3])
    found, covariance = propagate(lambda x: [x[0] / x[1]], values, spread)
    return float(found[0]), sqrt(covariance[0, 0])
