"""Whether the model is wrong on average, over the flights of a campaign, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt

import numpy as np

from loftwright.debrief.scoring.measured_figures import FIGURES
from loftwright.debrief.scoring.results import FigureScore, ForecastScore, ModelBias
from loftwright.rehearsal.chances import clopper_pearson

__all__ = ["LEVEL", "mean_interval", "model_bias"]

LEVEL = 0.95
PROMISED = 0.9  # share of flights that should lie inside their 90 % ranges


def model_bias(scores: Sequence[ForecastScore]) -> tuple[ModelBias, ...]:
    """Return, for each figure that was scored, whether the model is biased.

    Only forecasts that were made before their flight count where there are any; where there are
    none, all do, and it is said.

    Notes
    -----
    The interval of coverage is the exact one of Clopper and Pearson, that of the mean error
    Student's t. Both take flights as independent; flights of one vehicle on one day share what is
    wrong about both, so few flights show less than the interval says, never more.
    """
    before = [each for each in scores if each.before_flight]
    counted = before or list(scores)
    found = []
    for name in FIGURES:
        own = [each for score in counted for each in score.figures if each.figure == name]
        if own:
            found.append(_bias(name, own, looked_back=not before))
    return tuple(found)


def mean_interval(values: Sequence[float], level: float = LEVEL) -> tuple[float, float]:
    """Return the two-sided interval of a mean; unbounded of fewer than two values.

    References
    ----------
    Student (W. S. Gosset), "The probable error of a mean", *Biometrika* 6 (1908), 1-25; as in
    NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.2 (from memory).
    """
    number = len(values)
    if number < 2:
        return -inf, inf
    from scipy.special import stdtrit

    mean = float(np.mean(values))
    half = float(stdtrit(number - 1, (1.0 + level) / 2.0)) * float(
        np.std(values, ddof=1) / sqrt(number)
    )
    return mean - half, mean + half


def _bias(name: str, own: Sequence[FigureScore], *, looked_back: bool) -> ModelBias:
    errors = [each.error for each in own]
    inside = sum(each.inside_90 for each in own)
    low, high = mean_interval(errors)
    covered = clopper_pearson(inside, len(own), LEVEL)
    record_sd = float(np.mean([each.u_data for each in own]))
    words = [
        _bias_words(len(own), low, high, record_sd),
        _coverage_words(inside, len(own), covered),
    ]
    if looked_back:
        words.append("No forecast of these was made before its flight.")
    return ModelBias(
        figure=name,
        flights=len(own),
        coverage_90=inside / len(own),
        coverage_low=covered[0],
        coverage_high=covered[1],
        mean_error=float(np.mean(errors)),
        mean_error_low=low,
        mean_error_high=high,
        mean_crps=float(np.mean([each.crps for each in own])),
        sharpness=float(np.mean([each.forecast_p95 - each.forecast_p05 for each in own])),
        says=f"{FIGURES[name]}: {' '.join(words)}",
    )


def _bias_words(flights: int, low: float, high: float, record_sd: float) -> str:
    """Say what the interval of the mean error shows.

    The error of a record may be the same in every flight, such as that of one barometer: a mean
    that is smaller is not told for the model's.
    """
    if flights < 2:
        return "one flight shows no bias, and no lack of one."
    if low <= 0.0 <= high:
        return f"{flights} flights show no bias; one within the interval would not be seen."
    way = "high" if low > 0.0 else "low"
    if abs(low + high) / 2.0 <= record_sd:
        return (
            f"over {flights} flights the forecast is too {way} on average, but by no more than the "
            "record itself may be wrong in all of them."
        )
    return f"over {flights} flights the model is too {way} on average."


def _coverage_words(inside: int, flights: int, covered: tuple[float, float]) -> str:
    lay = f"{inside} of {flights} lay inside the nine-in-ten range"
    if covered[1] < PROMISED:
        return f"{lay}: the model is too sure of itself."
    if covered[0] > PROMISED:
        return f"{lay}: its range is wider than it need be."
    return f"{lay}, which so few flights cannot tell from nine in ten."
