"""The statistics of a flight fit beside closed forms and reference libraries."""

from __future__ import annotations

from functools import cache

import numpy as np
from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register, relative
from scipy.special import gamma, kv, ndtr
from scipy.stats import foldnorm, multivariate_normal

from loftwright.debrief.fitting.doubt import LENGTH, doubt_of, smooth_error
from loftwright.debrief.fitting.posterior import near, sample_posterior, settle
from loftwright.debrief.fitting.prior import FieldPrior
from loftwright.debrief.fitting.summary import overlap
from loftwright.debrief.results import Estimate


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Fit to flights",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=float(expected),
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- a linear model, normal errors

SLOPES = np.array([[1.0, 0.5, 0.0], [0.2, -1.0, 0.3], [0.7, 0.7, -0.4], [0.0, 0.1, 0.2]])
NOISE = np.array([0.5, 0.8, 0.4, 1.0])
MEASURED = np.array([1.0, -0.6, 0.9, 0.3])
LINEAR = "A. Gelman and others, Bayesian Data Analysis (2013), section 14.8: regression as least"
LINEAR += " squares with the prior as more rows; numpy.linalg.lstsq"


def predict(points):
    return points @ SLOPES.T


@cache
def linear():
    doubt = doubt_of(np.diag(NOISE**2), np.zeros((4, 4)), np.ones(1), np.ones(1))
    found = settle(predict, MEASURED, doubt, np.zeros(3))
    start = near(found, 400, np.random.default_rng(2))
    return found, sample_posterior(predict, MEASURED, doubt, found, start, seed=4)


_rows = np.concatenate([SLOPES / NOISE[:, None], np.eye(3)])
_best = np.linalg.lstsq(_rows, np.concatenate([MEASURED / NOISE, np.zeros(3)]), rcond=None)[0]
_spread = np.sqrt(np.diag(np.linalg.inv(_rows.T @ _rows)))
for place in range(3):
    check(
        f"number {place + 1} of a linear model: best value", "four measurements, three numbers",
        _best[place], lambda i=place: float(linear()[0].point[i]), absolute(1e-6), LINEAR,
    )  # fmt: skip
    check(
        f"number {place + 1} of a linear model: mean of draws", "four measurements, three numbers",
        _best[place], lambda i=place: float(linear()[1].mean[i]), absolute(0.06), LINEAR,
    )  # fmt: skip
    check(
        f"number {place + 1} of a linear model: sd", "four measurements, three numbers",
        _spread[place], lambda i=place: float(np.sqrt(linear()[1].covariance[i, i])),
        relative(0.08), LINEAR,
    )  # fmt: skip

# ---------------------------------------------------------------- pieces

for share in (0.1, 0.5, 0.9):
    check(
        f"value below which {share:g} of a folded prior lies", "1 ± 0.8, kept above 0",
        foldnorm(1.0 / 0.8, scale=0.8).ppf(share),
        lambda s=share: float(
            FieldPrior(1.0, 0.8, 0.0, np.inf).at(np.array([NORMAL[s]]))[0]
        ),
        absolute(2e-3), "scipy.stats.foldnorm",
    )  # fmt: skip
NORMAL = {0.1: -1.2815515655446004, 0.5: 0.0, 0.9: 1.2815515655446004}

for apart in (0.05, 0.2, 0.6):
    scaled = np.sqrt(3.0) * apart / LENGTH
    check(
        f"correlation of the model's error {apart:g} of an ascent apart", "Matern, order 3/2",
        2.0 ** (1.0 - 1.5) / gamma(1.5) * scaled**1.5 * kv(1.5, scaled),
        lambda d=apart: float(
            smooth_error(np.array([0.3]), np.array([0.3 + d]))[0, 0] / (0.3 * (0.3 + d))
        ),
        relative(1e-9),
        "Rasmussen and Williams, Gaussian Processes for Machine Learning (2006), eq. 4.14, with "
        "scipy.special.kv",
    )  # fmt: skip

check(
    "overlap of two normal distributions", "one sd apart, sds 1", 2.0 * ndtr(-0.5),
    lambda: overlap(Estimate(0.0, 1.0, 0.0, 0.0), Estimate(1.0, 1.0, 0.0, 0.0)), absolute(1e-5),
    "H. F. Inman, E. L. Bradley, Comm. Stat. A 18 (1989) 3851", MEMORY,
)  # fmt: skip

_fixed = np.array([[1.0, 0.3], [0.3, 2.0]])
_growing = np.array([[1.0, 0.9], [0.9, 1.0]])
_residual = np.array([0.7, -1.1])
_density = sum(
    w * multivariate_normal(cov=_fixed + s**2 * _growing).pdf(_residual)
    for s, w in ((0.5, 0.3), (2.0, 0.7))
)
check(
    "log density of a residual whose scale is not known", "two scales, two readings",
    np.log(_density * 2.0 * np.pi),
    lambda: float(
        doubt_of(
            _fixed, _growing, np.array([0.5, 2.0]), np.array([0.3, 0.7])
        ).log_likelihood(_residual[None, :])[0]
    ),
    absolute(1e-9), "scipy.stats.multivariate_normal",
)  # fmt: skip
