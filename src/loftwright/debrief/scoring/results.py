"""What is told of a forecast that was made before a flight, held against the record."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["FigureScore", "ForecastScore", "ModelBias"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureScore:
    """One figure: forecast, record, and the published measures of how they agree (SI).

    ``crps`` is the continuous ranked probability score of the forecast; ``error`` is simulation
    minus measurement, ``u_val`` its validation uncertainty (ASME V&V 20), ``rank`` the share of
    forecast flights below the record (uniform over many flights where the model is right).
    """

    figure: str  # "apogee_m" ...
    forecast_p05: float
    forecast_p50: float
    forecast_p95: float
    forecast_sd: float
    measured: float
    measured_sd: float
    inside_90: bool
    rank: float
    crps: float
    error: float
    u_num: float
    u_input: float
    u_data: float
    u_val: float
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastScore:
    """A forecast scored. ``before_flight`` tells whether it was kept before the flight."""

    flight: str
    made: str  # when the forecast was made
    before_flight: bool
    figures: tuple[FigureScore, ...]
    missing: tuple[str, ...]  # figures that the record does not show, in words
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelBias:
    """One figure over a campaign: is the model biased, and how sure is that."""

    figure: str
    flights: int
    coverage_90: float  # share of flights inside
    coverage_low: float  # 95 % interval of it
    coverage_high: float
    mean_error: float
    mean_error_low: float  # 95 %
    mean_error_high: float
    mean_crps: float
    sharpness: float  # mean width of the 90 % interval
    says: str
