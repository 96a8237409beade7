"""A static firing in words: the prediction, the records, and what fitting made of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from loftwright.flight.results import Firing
from loftwright.report.answer import Answer, KeyFigure
from loftwright.report.firing_lanes import ThrustRecord
from loftwright.report.quantities import amount, digits, span, unit_of
from loftwright.report.words import figure, input_words

__all__ = ["FitRow", "RecordRow", "firing_answer", "fit_rows", "record_rows"]


@dataclass(frozen=True, slots=True)
class RecordRow:
    """A measured firing as text: impulse, duration and peak with their sd, difference.

    The peak is that of the thrust; the highest sample is the stand's ringing more than the thrust.
    """

    name: str
    impulse: str
    duration: str
    peak: str
    difference: str


@dataclass(frozen=True, slots=True)
class FitRow:
    """A fitted coefficient and its standard deviation, as text."""

    words: str
    value: str
    sd: str


_KEYS: Final = (
    ("impulse", "impulse_n_s", "impulse"),
    ("peak thrust", "peak_thrust_n", "force"),
    ("water out", "water_out_s", "time"),
    ("air out", "air_out_s", "time"),
)


def firing_answer(
    firing: Firing,
    records: Sequence[ThrustRecord],
    system: str,
    found: Mapping[str, Any] | None = None,
) -> Answer:
    """Put a firing, its measured records and what was found by fitting to them into words.

    ``found`` is the mapping that `page.firing_page` takes as ``fit``.
    """
    figures = firing.figures
    impulse = amount(figures.get("impulse_n_s"), "impulse", system)
    peak = amount(figures.get("peak_thrust_n"), "force", system)
    lead = f"An impulse of {impulse}, with a peak of {peak}."
    if records:
        lead = _compared(records, impulse, system)
    losses = _losses((found or {}).get("fitted") or {})
    keys = [
        KeyFigure(words, amount(figures[key], kind, system), "model, as written")
        for words, key, kind in _KEYS
        if figures.get(key) is not None
    ]
    said = _sentences(firing, records, system)
    expected = (found or {}).get("impulse_n_s")
    if expected is not None:
        low, high = expected
        low_high = span(low, high, "impulse", system, 3)
        said.append(f"After the fit, 9 in 10 firings filled as written should give {low_high}.")
    if losses:
        return Answer(losses, tuple(keys), (lead, *said), ())
    return Answer(lead, tuple(keys), tuple(said), ())


def _compared(records: Sequence[ThrustRecord], modelled: str, system: str) -> str:
    mean = amount(_mean(records), "impulse", system)
    count = f"{len(records)} records average" if len(records) > 1 else "One record shows"
    return f"{count} {mean}; the model, as written, says {modelled}."


def _losses(fitted: Mapping[str, Mapping[str, Any]]) -> str:
    """What the fit says of the nozzle, where it says both of its coefficients."""
    flow, speed = fitted.get("flow_coefficient"), fitted.get("velocity_coefficient")
    if flow is None or speed is None:
        return ""
    passed, fast = (
        f"{100 * float(each['value']):.0f}\u00a0±\u00a0{digits(100 * float(each['sd']), 1)}\u00a0%"
        for each in (flow, speed)
    )
    return f"The nozzle passes {passed} of the ideal flow, at {fast} of the ideal speed."


def _sentences(firing: Firing, records: Sequence[ThrustRecord], system: str) -> list[str]:
    figures, said = firing.figures, []
    warmth, pressure = (
        figures.get(k) for k in ("temperature_at_water_out_k", "pressure_at_water_out_pa")
    )
    if warmth is not None and pressure is not None:
        said.append(
            f"When the water is out the air inside has cooled to "
            f"{amount(warmth, 'temperature', system)} and still stands at "
            f"{amount(pressure, 'absolute_pressure', system)}."
        )
    modelled = figures.get("impulse_n_s")
    if records and modelled:
        percent = 100 * (_mean(records) / modelled - 1)
        side = "more" if percent > 0 else "less"
        off = f"Measured is {abs(percent):.1f}\u00a0% {side} than modelled."
        said.append(off if abs(percent) >= 0.05 else "Measured is just as modelled.")
    return said


def _mean(records: Sequence[ThrustRecord]) -> float:
    return sum(r.impulse_n_s for r in records) / len(records)


def _difference(measured: float, modelled: float | None) -> str:
    if not modelled or not math.isfinite(measured / modelled):
        return "–"
    return f"{100 * (measured / modelled - 1):+.1f}\u00a0%".replace("-", "−")


def record_rows(firing: Firing, records: Sequence[ThrustRecord], system: str) -> list[RecordRow]:
    """Return a row of text for each measured record."""
    modelled = firing.figures.get("impulse_n_s")
    return [
        RecordRow(
            record.name,
            _measured(record.impulse_n_s, record.impulse_sd_n_s, "impulse", system),
            _measured(record.duration_s, record.duration_sd_s, "time", system),
            _measured(record.peak_thrust_n, record.peak_thrust_sd_n, "force", system),
            _difference(record.impulse_n_s, modelled),
        )
        for record in records
    ]


def _measured(value: float, sd: float, kind: str, system: str) -> str:
    unit = unit_of(kind, system)
    return f"{digits(unit.of(value))} ± {digits(unit.of(sd), 2)}\u00a0{unit.symbol}"


def fit_rows(fitted: Mapping[str, Mapping[str, Any]], system: str) -> list[FitRow]:
    """Return a row for each fitted coefficient; keys are names with units, or document paths."""
    rows = []
    for name, each in fitted.items():
        known = figure(name)
        words = input_words(name) if "." in name else known.words
        value = amount(float(each["value"]), known.kind, system)
        rows.append(FitRow(words, value, amount(float(each["sd"]), known.kind, system, 2)))
    return rows
