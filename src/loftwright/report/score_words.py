"""A scored forecast in words and rows, in the person's units; and what a campaign of them shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from loftwright.debrief.scoring.measured_figures import FIGURES
from loftwright.debrief.scoring.results import FigureScore, ForecastScore, ModelBias
from loftwright.flight.chance import Chance
from loftwright.report.quantities import NO_BREAK, Unit, digits, unit_of
from loftwright.report.reading import in_hundred

__all__ = [
    "BIAS_HEADS",
    "SCORE_HEADS",
    "bias_notes",
    "bias_rows",
    "figure_kind",
    "score_lead",
    "score_notes",
    "score_rows",
]

SCORE_HEADS = ("figure", "unit", "forecast", "record", "forecast less record", "score", "")
BIAS_HEADS = (
    "figure",
    "unit",
    "flights",
    "inside, in 100",
    "mean error",
    "95 % of it",
    "mean score",
    "width",
)
NONE = "–"
EXPECTED_BY_CHANCE = 0.05  # of figures without bias whose 95 % interval leaves out zero


def figure_kind(figure: str) -> str:
    """Return the kind of quantity that a figure is, by the unit that ends its name."""
    if figure.endswith("_m_s"):
        return "speed"
    if figure.endswith("_m"):
        return "distance" if figure.startswith("touchdown_") else "height"
    return "time"


def score_lead(score: ForecastScore, system: str) -> str:
    """Say in a sentence or two how a forecast did: apogee first, then how many lie inside."""
    apogee = next((each for each in score.figures if each.figure == "apogee_m"), None)
    if apogee is None:
        return score.says
    unit = unit_of("height", system)
    low, high = (_plain(value, unit) for value in (apogee.forecast_p05, apogee.forecast_p95))
    found = _plain(apogee.measured, unit)
    where = "inside" if apogee.inside_90 else "above" if apogee.rank > 0.5 else "below"
    return (
        f"Forecast to top out at {low} to {high}{NO_BREAK}{unit.symbol}, nine times in ten; it "
        f"topped out at {found}{NO_BREAK}{unit.symbol}, {where} that. {score.says}"
    )


def score_rows(score: ForecastScore, system: str) -> list[tuple[str, ...]]:
    """Return one row a figure, for `SCORE_HEADS`; the last cell says what is outside."""
    return [_score_row(each, unit_of(figure_kind(each.figure), system)) for each in score.figures]


def _score_row(each: FigureScore, unit: Unit) -> tuple[str, ...]:
    return (
        FIGURES.get(each.figure, each.figure),
        unit.symbol,
        f"{_plain(each.forecast_p05, unit)} to {_plain(each.forecast_p95, unit)}",
        f"{_plain(each.measured, unit)} ± {_size(each.measured_sd, unit)}",
        f"{_signed(each.error, unit)} ± {_size(each.u_val, unit)}",
        _size(each.crps, unit),
        "" if each.inside_90 else "outside",
    )


def score_notes(score: ForecastScore) -> Iterator[str]:
    """Yield what lies outside, figure by figure, and what could not be scored."""
    for each in score.figures:
        if not each.inside_90:
            yield f"{each.says[:1].upper()}{each.says[1:]}."
    for words in score.missing:
        yield f"{words[:1].upper()}{words[1:]}."


# ---------------------------------------------------------------- over a campaign


def bias_rows(biases: Sequence[ModelBias], system: str) -> list[tuple[str, ...]]:
    """Return one row a figure, for `BIAS_HEADS`."""
    return [_bias_row(each, unit_of(figure_kind(each.figure), system)) for each in biases]


def _bias_row(each: ModelBias, unit: Unit) -> tuple[str, ...]:
    known = isfinite(each.mean_error_low) and isfinite(each.mean_error_high)
    low, high = (_signed(value, unit) for value in (each.mean_error_low, each.mean_error_high))
    inside = round(each.coverage_90 * each.flights)
    _, ends = in_hundred(Chance(inside, each.flights, each.coverage_low, each.coverage_high))
    return (
        FIGURES.get(each.figure, each.figure),
        unit.symbol,
        str(each.flights),
        f"{inside} of {each.flights} {ends}",
        _signed(each.mean_error, unit),
        f"{low} to {high}" if known else NONE,
        _size(each.mean_crps, unit),
        _size(each.sharpness, unit),
    )


def bias_notes(biases: Sequence[ModelBias]) -> Iterator[str]:
    """Yield what is shown figure by figure, and how much of that chance alone would show."""
    for each in biases:
        yield f"{each.says[:1].upper()}{each.says[1:]}"
    tried = [each for each in biases if each.flights > 1]
    if len(tried) > 1:
        share = 1.0 - (1.0 - EXPECTED_BY_CHANCE) ** len(tried)
        yield (
            f"{len(tried)} figures were looked at: without any bias, chance alone would show one "
            f"in up to {100.0 * share:.0f} of 100 campaigns. Flights of one vehicle on one day are "
            "less than so many independent ones."
        )


# ---------------------------------------------------------------- numbers


def _plain(si: float, unit: Unit) -> str:
    return digits(unit.of(si))


def _size(si: float, unit: Unit) -> str:
    """Return a spread, an error or a score, which has no zero point of its own."""
    return digits(si / unit.size, 2)


def _signed(si: float, unit: Unit) -> str:
    shown = digits(si / unit.size, 2)
    return shown if si <= 0.0 or shown == "0" else f"+{shown}"
