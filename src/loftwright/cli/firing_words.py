"""Measured firings and a fit as lines for the terminal, beside the model as it is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.cli.fitting import Learnt
    from loftwright.evidence.thrust import Measure, MeasuredFiring

__all__ = ["fit_lines", "record_lines"]


def record_lines(measured: Mapping[str, MeasuredFiring], system: str) -> Iterator[str]:
    """Yield what each record says, in the units of ``system`` ("metric" or "us")."""
    yield "Measured, from the records (± one standard deviation):"
    rows = [("record", "impulse", "duration", "peak thrust")]
    for name, firing in measured.items():
        impulse = _measured(firing.impulse, "impulse", system)
        duration = _measured(firing.duration, "time", system)
        rows.append((name, impulse, duration, _measured(firing.peak, "force", system)))
    yield from _table(rows)


def _measured(measure: Measure, kind: str, system: str) -> str:
    return _plus_minus(measure.value, measure.sd, kind, system)


def _plus_minus(value: float, sd: float, kind: str, system: str) -> str:
    """Return ``"12.31 ± 0.15 N s"``: as many decimals as the sd needs for two digits."""
    from math import floor, isfinite, log10

    from loftwright.report.quantities import unit_of

    unit = unit_of(kind, system)
    spread = sd / unit.size
    known = isfinite(spread) and spread > 0.0
    decimals = max(0, 1 - floor(log10(spread))) if known else 3
    return f"{unit.of(value):.{decimals}f} ± {spread:.{decimals}f} {unit.symbol}".rstrip()


def fit_lines(learnt: Learnt, system: str) -> Iterator[str]:
    """Yield the fitted coefficients, what they were before, and the notes of the fit."""
    from loftwright.report.words import input_words

    kinds = {"breakthrough_volume": "volume", "gauge_pressure": "gauge_pressure"}
    kinds["water_volume"] = "volume"
    yield "Fitted to the records:"
    rows = [("field", "fitted", "assumed before")]
    for field, each in learnt.fitted.items():
        kind = kinds.get(field.rpartition(".")[2], "number")
        now = _plus_minus(each.value, each.sd, kind, system)
        before = _plus_minus(each.prior_value, each.prior_sd, kind, system)
        rows.append((f"{input_words(f'vehicle.{field}')} ({field})", now, before))
    yield from _table(rows)
    for note in learnt.notes:
        yield f"  {note}"


def _table(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  " + "   ".join(map(str.ljust, row, widths)).rstrip()
