"""How far a program's estimate lags behind the truth, and how noisy it is, reckoned not flown."""

from __future__ import annotations

from math import sqrt

from loftwright.physics.estimation import (
    low_pass_climb_lag,
    low_pass_height_lag,
    tracking_climb_lag,
    tracking_height_lag,
)
from loftwright.program.table import Estimator, Table

__all__ = ["climb_noise", "estimate_lag", "height_noise"]


def estimate_lag(table: Table, climb: float, acceleration: float) -> tuple[float, float]:
    """Return how far height [m] and climb [m/s] stay behind the truth, once settled.

    ``climb`` in m/s and ``acceleration`` in m/s2 are the true ones, the latter steady; a positive
    lag means that the truth is larger than the estimate.
    """
    step = table.step_ms / 1000.0
    height_gain, climb_gain = table.height_gain, table.climb_gain
    if table.estimator == Estimator.TRACKING:
        beta = climb_gain * step
        return (
            tracking_height_lag(acceleration, height_gain, beta, step),
            tracking_climb_lag(acceleration, height_gain, beta, step),
        )
    if table.estimator == Estimator.RAW:
        height_gain = climb_gain = 1.0
    return (
        low_pass_height_lag(climb, acceleration, height_gain, step),
        low_pass_climb_lag(acceleration, height_gain, climb_gain, step),
    )


def height_noise(table: Table, sample_sd: float) -> float:
    """Return the spread of the height [m] from white noise of each sample's height [m]."""
    return sample_sd * sqrt(_noise_shares(table)[0])


def climb_noise(table: Table, sample_sd: float) -> float:
    """Return the spread of the climb [m/s] from white noise of each sample's height [m]."""
    return sample_sd * sqrt(_noise_shares(table)[1])


def _noise_shares(table: Table) -> tuple[float, float]:
    """Return the variances of height and climb [1, 1/s2] for samples of unit variance.

    Of the tracking filter after R. Benedict and G. Bordner, IRE Transactions on Automatic Control
    7 (1962) 27-32 (from memory); of the others as sums of their squared weights.
    """
    step = table.step_ms / 1000.0
    alpha, g = table.height_gain, table.climb_gain
    if table.estimator == Estimator.TRACKING:
        beta = g * step
        under = alpha * (4.0 - 2.0 * alpha - beta)
        height = (2.0 * alpha**2 + beta * (2.0 - 3.0 * alpha)) / under
        return height, 2.0 * beta**2 / under / step**2
    if table.estimator == Estimator.RAW:
        return 1.0, 2.0 / step**2
    # The rate of a low-passed height is a low-passed difference; one more low-pass follows. Its
    # weights are those of both poles, whose squares sum to the last line.
    a, b = 1.0 - alpha, 1.0 - g
    gain = (alpha * g / step) ** 2
    return alpha / (2.0 - alpha), gain * 2.0 / ((1.0 + a) * (1.0 + b) * (1.0 - a * b))
