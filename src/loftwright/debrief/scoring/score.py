"""A forecast that was kept before a flight, held against the record of it."""

from __future__ import annotations

from datetime import datetime
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.clocks.results import Clocks
from loftwright.debrief.results import Estimate, Reconstruction
from loftwright.debrief.scoring.crps import crps, rank
from loftwright.debrief.scoring.kept_forecast import KeptForecast
from loftwright.debrief.scoring.measured_figures import FIGURES, measured_figures
from loftwright.debrief.scoring.results import FigureScore, ForecastScore
from loftwright.documents.flight_record import FlightRecord
from loftwright.physics.validation import comparison_error, validation_uncertainty

__all__ = ["LEAST_FLIGHTS", "made_before", "score_figure", "score_forecast"]

Floats = NDArray[np.float64]

TAIL = 0.05  # of the forecast of the record, to either side of its 90 % interval
LEAST_FLIGHTS = 20  # in which a figure came about; of fewer there is no 90 % interval
WIDE = 2.0  # standard uncertainties: what lies within is no disagreement at 95 %


def score_forecast(
    kept: KeptForecast,
    reconstruction: Reconstruction,
    record: FlightRecord,
    *,
    flight: str,
    flown: str | None,
    clocks: Clocks | None = None,
) -> ForecastScore:
    """Score every figure that both the forecast and the record show.

    Parameters
    ----------
    kept : KeptForecast
        As it was kept.
    reconstruction : Reconstruction
        From the flight's log.
    record : FlightRecord
        With stopped times and landings.
    flight : str
        Name of the flight.
    flown : str or None
        When it flew, as the record says: a date, or a date with the time of day.
    clocks : Clocks, optional
        What all sources tell on one clock (`clocks.clocks_of`), for moments that the log does not
        show.

    Returns
    -------
    ForecastScore
    """
    measured = measured_figures(reconstruction, record, kept.pad, clocks)
    figures, missing = [], []
    for name in FIGURES:
        samples = _samples(kept, name)
        happened = samples[np.isfinite(samples)]
        if name in measured and len(happened) >= LEAST_FLIGHTS:
            numerical = kept.numerical.get(name, 0.0)
            figures.append(score_figure(name, happened, measured[name], numerical))
        elif name in measured:
            came = (
                f"in {len(happened)} of {kept.flights} forecast flights"
                if len(happened)
                else "in none"
            )
            missing.append(f"{FIGURES[name]}: the record shows it, but it came about {came}")
        elif len(happened) >= LEAST_FLIGHTS and not name.startswith("touchdown_"):
            missing.append(f"{FIGURES[name]}: not visible in this record")
    before = made_before(kept.made, flown)
    return ForecastScore(
        flight=flight,
        made=kept.made,
        before_flight=before is True,
        figures=tuple(figures),
        missing=tuple(missing),
        says=f"{_count_words(figures)} {_when_words(before)}",
    )


def _samples(kept: KeptForecast, name: str) -> Floats:
    """Return a figure of all flights; distances follow from places."""
    if name.endswith("_distance_m"):
        places = [kept.samples.get(name.replace("distance", way)) for way in ("east", "north")]
        if places[0] is None or places[1] is None:
            return np.zeros(0)
        return np.hypot(places[0], places[1])
    return kept.samples.get(name, np.zeros(0))


def score_figure(
    name: str, samples: Floats, measured: Estimate, numerical: float = 0.0
) -> FigureScore:
    """Score one figure.

    Parameters
    ----------
    name : str
        Of the figure.
    samples : (m,) array
        It in every flight of the forecast, all finite, two or more.
    measured : Estimate
        What the record shows.
    numerical : float
        By how much the integration moves it.

    Notes
    -----
    The simulation is the mean of the flights. Its numerical uncertainty joins the integration's
    with that of a mean of so many flights; the spread of the flights is that of the inputs. Whether
    the record lies inside is told of the forecast of the record, measurement error included.

    References
    ----------
    ASME V&V 20-2009 (`physics.validation`); `crps.crps`, `crps.rank`.
    """
    low, middle, high = (float(each) for each in np.percentile(samples, (5.0, 50.0, 95.0)))
    spread = float(samples.std(ddof=1))
    u_num = hypot(numerical, spread / sqrt(len(samples)))
    u_val = validation_uncertainty(u_num, spread, measured.sd)
    error = comparison_error(float(samples.mean()), measured.value)
    place = rank(samples, measured.value, measured.sd)
    return FigureScore(
        figure=name,
        forecast_p05=low,
        forecast_p50=middle,
        forecast_p95=high,
        forecast_sd=spread,
        measured=measured.value,
        measured_sd=measured.sd,
        inside_90=TAIL <= place <= 1.0 - TAIL,
        rank=place,
        crps=crps(samples, measured.value, measured.sd),
        error=error,
        u_num=u_num,
        u_input=spread,
        u_data=measured.sd,
        u_val=u_val,
        says=_figure_words(FIGURES.get(name, name), place, error, u_val),
    )


def _figure_words(name: str, place: float, error: float, u_val: float) -> str:
    side = "below" if place < TAIL else "above" if place > 1.0 - TAIL else "inside"
    where = f"the record lies {side} the range that nine in ten forecast flights keep to"
    joined = "and" if (side == "inside") == (abs(error) <= WIDE * u_val) else "but"
    return f"{name}: {where}, {joined} {_agreement(error, u_val)}"


def _agreement(error: float, u_val: float) -> str:
    """Say how an error compares with what forecast and record leave open together, at 95 %."""
    if u_val <= 0.0:
        return "neither leaves anything open, so nothing can be said of how they agree"
    if abs(error) <= WIDE * u_val:
        return "the two differ by no more than both leave open nineteen times in twenty"
    way = "high" if error > 0.0 else "low"
    return f"the forecast is {way} by {abs(error) / u_val:.1f} standard uncertainties of both"


def _count_words(figures: list[FigureScore]) -> str:
    if not figures:
        return "The record shows no figure that the forecast has."
    inside = sum(each.inside_90 for each in figures)
    if len(figures) == 1:
        is_in = "lies inside" if inside else "lies outside"
        return f"The one figure that both show {is_in} the forecast's nine-in-ten range."
    return (
        f"Of {len(figures)} figures that both show, {inside} lie inside the forecast's nine-in-ten "
        "ranges. They are of one flight and stand and fall together: this is one trial, not "
        f"{len(figures)}."
    )


def _when_words(before: bool | None) -> str:
    if before is None:
        return "Whether it was made before the flight cannot be told from what is written."
    if before:
        return "It was made before the flight."
    return "It was made after the flight: a look back, not a forecast."


def made_before(made: str, flown: str | None) -> bool | None:
    """Tell whether a forecast was made before the flight; None where the record cannot tell.

    Both by the clock on the wall: where only one names its time zone, that is not looked at. A
    flight of which only the day is known may have flown before a forecast of the same day.
    """
    made_at, flown_at = _moment(made), _moment(flown)
    if made_at is None or flown_at is None or flown is None:
        return None
    if made_at.tzinfo is None or flown_at.tzinfo is None:
        made_at, flown_at = made_at.replace(tzinfo=None), flown_at.replace(tzinfo=None)
    by_day_only = len(flown.strip()) <= len("2026-05-03")
    if by_day_only or len(made.strip()) <= len("2026-05-03"):
        if made_at.date() == flown_at.date():
            return None
        return made_at.date() < flown_at.date()
    return made_at < flown_at


def _moment(text: str | None) -> datetime | None:
    try:
        return None if text is None else datetime.fromisoformat(text.strip())
    except ValueError:
        return None
