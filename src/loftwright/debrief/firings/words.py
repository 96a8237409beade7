"""A fit in words: what the records informed, what they could not tell apart, how to write it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.firings.features import FEATURES
from loftwright.debrief.firings.posterior import Posterior
from loftwright.debrief.firings.prior import FLOW, LEAST_DOUBT, PRESSURE, VELOCITY, WATER, Prior
from loftwright.evidence.thrust import MeasuredFiring

if TYPE_CHECKING:
    from loftwright.debrief.firings.fit import FiringFit, Fitted

__all__ = ["describe", "fill_notes", "provenance_comment", "write_back", "written"]

Floats = NDArray[np.float64]
TIED = 0.7  # correlation above which two quantities are only known together
CONFLICT = 3.0  # standard deviations between fit and document
DIFFERENT = 0.01  # relative; a header that differs more from the documents is told
EDGE = 2.0  # standard deviations from 1 within which a coefficient leans on its bound
# Field -> (factor from SI, unit) as a person writes it.
UNITS = {
    "nozzle.flow_coefficient": (1.0, ""),
    "nozzle.velocity_coefficient": (1.0, ""),
    "nozzle.breakthrough_volume": (1e6, " mL"),
    "fill.gauge_pressure": (1e-3, " kPa"),
    "fill.water_volume": (1e3, " L"),
}


def written(field: str, value: float, sd: float) -> str:
    """Return a fitted value as it stands in a document: ``"0.91 ± 0.02"``.

    The sd keeps one digit, or two where it begins with 1; the value as many decimals as the sd.
    """
    factor, unit = UNITS[field]
    value, sd = value * factor, sd * factor
    place = math.floor(math.log10(sd)) if sd > 0.0 else -6
    digits = max(0, -place + (sd < 2.0 * 10.0**place))
    return f"{value:.{digits}f}{unit} ± {sd:.{digits}f}{unit}"


def write_back(fit: FiringFit, *, fills: bool = False) -> dict[str, str]:
    """Return the values to write into ``vehicle.toml``, by field.

    The nozzle's alone, unless ``fills`` asks for the fill's pressure and water too.
    """
    return {
        field: written(field, found.value, found.sd)
        for field, found in fit.fitted.items()
        if fills or field.startswith("nozzle.")
    }


def provenance_comment(fit: FiringFit) -> str:
    """Return where the written values come from, for a comment beside them."""
    records = ", ".join(f"{record.name} ({record.sha256[:8]})" for record in fit.records)
    return f"fitted to {len(fit.records)} static firing(s): {records}"


def _informing(field: str, prior: Prior, posterior: Posterior, around: Floats) -> str:
    """Name the feature whose records weigh most on a parameter."""
    place = list(UNITS).index(field)
    points = np.stack([around, around])
    step = (prior.spread[place] if place < 3 else 1.0) * 0.05
    points[0, place] -= step
    points[1, place] += step
    low, high = posterior.model(points).mean(axis=1)
    noise = np.diagonal(posterior.covariance(points[:1])[0], axis1=1, axis2=2).mean(axis=0)
    weight = (high - low) ** 2 / (noise + prior.offset_sds**2)
    return FEATURES[int(np.argmax(np.where(posterior.blind.all(axis=0), 0.0, weight)))]


def _field_note(
    field: str, found: Fitted, prior: Prior, posterior: Posterior, around: Floats
) -> str:
    text = written(field, found.value, found.sd)
    share = 100.0 * found.narrowed
    if share < 20.0:
        return f"{field} {text}: the records hardly inform it; it stays about as it was before"
    source = _informing(field, prior, posterior, around)
    return f"{field} {text}: informed by {source}; the records took {share:.0f} % of its variance"


def _tied_notes(fitted: Mapping[str, Fitted], correlation: Floats) -> list[str]:
    names = list(fitted)
    return [
        f"{one} and {other} are only known together (correlation {correlation[i, j]:+.2f})"
        for i, one in enumerate(names)
        for j, other in enumerate(names)
        if i < j and abs(correlation[i, j]) > TIED
    ]


def _widened_notes(prior: Prior) -> list[str]:
    """Say whose sd was taken wider than the documents state it."""
    narrow = [
        path.removeprefix("vehicle.nozzle.").replace("_", " ")
        for path, (_, sd) in prior.document.items()
        if path in (FLOW, VELOCITY) and sd < LEAST_DOUBT
    ]
    if not narrow:
        return []
    return [
        f"before the records, the sd of {' and '.join(narrow)} was taken as {LEAST_DOUBT:g}, wider "
        "than the documents say, so that they do not outvote the records"
    ]


def _conflict_notes(fitted: Mapping[str, Fitted], prior: Prior) -> list[str]:
    notes = []
    for path, (value, sd) in prior.document.items():
        field = path.removeprefix("vehicle.")
        found = fitted.get(field)
        if not found or not field.startswith("nozzle."):
            continue
        away = abs(found.value - value) / math.hypot(found.sd, sd)
        if away > CONFLICT:
            notes.append(
                f"{field}: the documents say {written(field, value, sd or found.sd)}, "
                f"{away:.1f} standard deviations away from the records; look at the pressure "
                "gauge, the water and the throat before trusting either"
            )
        if found.value + EDGE * found.sd > 1.0:
            notes.append(f"{field} leans on 1: something outside the nozzle's losses is at work")
    return notes


def fill_notes(firings: Sequence[MeasuredFiring], prior: Prior) -> tuple[str, ...]:
    """Say where a record's header went before the documents and differs from them."""
    notes = []
    for firing, fill in zip(firings, prior.fills, strict=True):
        for value, path in zip(fill, (PRESSURE, WATER), strict=False):
            document, field = prior.document[path][0], path.removeprefix("vehicle.")
            if abs(value - document) > DIFFERENT * document:
                factor, unit = UNITS[field]
                notes.append(
                    f"{firing.name}: {field} {value * factor:.4g}{unit} from the record's header, "
                    f"where the documents say {document * factor:.4g}{unit}"
                )
    return tuple(notes)


def describe(
    fitted: Mapping[str, Fitted],
    correlation: Floats,
    scatter: Mapping[str, tuple[float, float]],
    prior: Prior,
    posterior: Posterior,
    settled: bool,
    around: Floats,
) -> tuple[str, ...]:
    """Say what the records told, one sentence a finding; ``around`` is the posterior's mean."""
    notes = [_field_note(field, found, prior, posterior, around) for field, found in fitted.items()]
    notes += _widened_notes(prior)
    notes += _tied_notes(fitted, correlation)
    notes += _conflict_notes(fitted, prior)
    size = scatter["impulse"][0]
    notes.append(f"beyond what is stated, impulse scatters by {100 * size:.0f} % between firings")
    if len(prior.fills) == 1:
        notes.append("a single record: the scatter between firings is assumed, not measured")
    if not settled:
        notes.append("the draws had not come to rest: take the standard deviations as rough")
    return tuple(notes)
