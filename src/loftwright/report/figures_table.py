"""The figures of a flight or a firing as rows, in the person's units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from loftwright.documents.campaign import PAYLOADS
from loftwright.flight.figures import CARRIED, FREE, prefix_of
from loftwright.flight.results import Ensemble, Firing, Flight
from loftwright.report.quantities import digits, unit_of
from loftwright.report.reading import chance_words
from loftwright.report.words import FIGURES, figure

__all__ = ["FigureRow", "firing_rows", "flight_rows"]


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure: its words, its unit, and numbers as text ("–" when it did not occur)."""

    words: str
    unit: str
    nominal: str
    low: str = ""
    median: str = ""
    high: str = ""


def _number(si: float | None, kind: str, system: str) -> str:
    if si is None or not math.isfinite(si):
        return "–"
    return digits(unit_of(kind, system).of(si))


def _row(
    key: str,
    value: float | None,
    system: str,
    spread: Mapping[str, float] | None,
    names: Mapping[str, str] | None = None,
    flights: int = 0,
) -> FigureRow:
    known = figure(key, names)
    count = int(spread.get("count", flights)) if spread else flights
    often = f" ({chance_words(count, flights)})" if count < flights else ""
    low, median, high = (
        (_number(spread.get(p), known.kind, system) if spread else "")
        for p in ("p05", "p50", "p95")
    )
    unit = unit_of(known.kind, system).symbol
    return FigureRow(
        f"{known.words}{often}", unit, _number(value, known.kind, system), low, median, high
    )


def flight_rows(
    flight: Flight,
    ensemble: Ensemble | None,
    system: str,
    names: Mapping[str, str] | None = None,
) -> list[FigureRow]:
    """Return a row for each figure of the flight and of each body's touchdown.

    ``names`` hold what bodies are called. What happens or does not has no amount, and holds and
    partings have a table of their own (`parting_words.holds_table`). What did not happen in every
    flight of an ensemble says in how many it did.
    """
    statistics = ensemble.statistics if ensemble else {}
    flights = 0 if ensemble is None else len(next(iter(ensemble.columns.values()), ()))
    values: dict[str, float | None] = {k: flight.figures.get(k) for k in _ordered(flight.figures)}
    for body, end in flight.touchdown.items():
        values |= {f"touchdown_{body}_{key}": value for key, value in end.items()}
    told = _told_elsewhere(flight)
    return [
        _row(key, value, system, statistics.get(key), names, flights)
        for key, value in values.items()
        if key not in told and not _idle(key, value, statistics.get(key))
    ]


def _told_elsewhere(flight: Flight) -> set[str]:
    """Keys of holds and partings, where these have a table; of stages those of their holds."""
    told = set()
    for root in PAYLOADS:
        prefix = prefix_of(root)
        if flight.figures.get(f"{prefix}hold_load_n") is not None:
            told |= {prefix + key for key in (*CARRIED, *FREE, "hold_margin")}
    for key in flight.figures:
        if key.startswith(("upper_hold", "boosters_hold")) or key.endswith("_lean_rad"):
            told.add(key)
    return told - {"burnout_lean_rad"}


def _idle(key: str, value: float | None, spread: Mapping[str, float] | None) -> bool:
    """Whether a figure says nothing: a yes or no, a level of nought, what nothing here can do."""
    if key.endswith(("torn_off", "recontact", "_caught")):
        return True
    if key.startswith("touchdown_") and key.endswith("_up_m"):
        return value == 0.0 and not (spread and spread["p95"])
    return value is None and spread is None and (key == "boosters_out_s" or key not in FIGURES)


def firing_rows(firing: Firing, system: str) -> list[FigureRow]:
    """Return a row for each figure of the firing."""
    return [_row(k, firing.figures[k], system, None) for k in _ordered(firing.figures)]


def _ordered(figures: Mapping[str, float | None]) -> list[str]:
    """Known figures first, in the order of the catalogue; the others after them."""
    return [k for k in FIGURES if k in figures] + [k for k in figures if k not in FIGURES]
