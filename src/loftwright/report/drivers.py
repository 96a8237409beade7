"""What drives the spread: the inputs that matter most for a figure, in words and bars."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import leaves
from loftwright.report.quantities import stated, unit_of
from loftwright.report.words import figure, input_words
from loftwright.units import Quantity

__all__ = ["KIND", "Driver", "DriverTable", "driver_tables", "input_stated", "known_words"]

# What a person asks about, in this order; the rest of the drivers is in the machine's output.
ASKED: Final = (
    "apogee_m",
    "release_height_m",
    "release_climb_m_s",
    "touchdown_vehicle_east_m",
    "touchdown_vehicle_north_m",
    "touchdown_payload_east_m",
    "touchdown_payload_north_m",
)
SHOWN: Final = 5
LEAST: Final = 0.02

KIND: Final[dict[str, str]] = {
    "length": "small_length", "mass": "small_mass", "volume": "volume", "speed": "speed",
    "gauge_pressure": "gauge_pressure", "absolute_pressure": "absolute_pressure",
    "temperature": "temperature", "angle": "angle", "number": "number", "force": "force",
    "time": "time", "area": "area", "inertia": "inertia",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Driver:
    """An input's share (0 to 1) of a figure's variance, and how well the input is known."""

    words: str
    share: float
    known: str
    rest: bool = False


@dataclass(frozen=True, slots=True)
class DriverTable:
    """The drivers of one figure."""

    figure: str
    rows: tuple[Driver, ...]


def driver_tables(
    drivers: Mapping[str, Mapping[str, float]], campaign: Campaign
) -> list[DriverTable]:
    """Return a table for each figure that a person asks about and that spreads at all."""
    known = known_words(campaign)
    tables = []
    for key in ASKED:
        rows = _rows(drivers.get(key, {}), known)
        if rows:
            tables.append(DriverTable(figure(key).words, tuple(rows)))
    return tables


def _rows(shares: Mapping[str, float], known: Mapping[str, str]) -> list[Driver]:
    inputs = [(p, s) for p, s in shares.items() if p != "rest" and s >= LEAST]
    inputs.sort(key=lambda each: -each[1])
    rows = [Driver(input_words(p), min(s, 1.0), known.get(p, "")) for p, s in inputs[:SHOWN]]
    if not rows:
        return []
    rest = 1.0 - sum(row.share for row in rows)
    if rest >= LEAST:
        rows.append(Driver("everything else, or acting together", rest, "", rest=True))
    return rows


def known_words(campaign: Campaign) -> dict[str, str]:
    """How well each uncertain field is known, as ``"± 1.5 psi"``."""
    system = campaign.head.units
    return {
        path: _spread(value.value, value.sd, kind, system)
        for path, kind, value in _uncertain(campaign)
    }


def input_stated(campaign: Campaign, path: str, value: float) -> str:
    """Return an uncertain field with a value for it, SI, such as ``"fill pressure 88 psi"``."""
    kinds = {known: kind for known, kind, _ in _uncertain(campaign)}
    kind = kinds.get(path)
    said = f"{value:.3g}" if kind is None else stated(value, kind, campaign.head.units)
    return f"{input_words(path)} {said}"


def _uncertain(campaign: Campaign) -> Iterator[tuple[str, str, Quantity]]:
    """Yield path, kind of unit and value of each field that is not known exactly."""
    for root, document in campaign.documents.items():
        for path, rule, value in leaves(document, root):
            kind = KIND.get(rule.dimension or "")
            if kind and isinstance(value, Quantity) and value.sd:
                yield path, "wind" if path == "site.wind.speed" else kind, value


def _spread(value: float, sd: float, kind: str, system: str) -> str:
    if kind == "temperature":
        step = 1.8 if system == "us" else 1.0  # a difference, not a temperature
        return (
            f"{stated(value, kind, system)} ± {sd * step:.2g}\u00a0{unit_of(kind, system).symbol}"
        )
    return f"{stated(value, kind, system)} ± {stated(sd, kind, system, 2)}"
