"""What each body does at the ground, side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from loftwright.documents.campaign import Campaign
from loftwright.flight.results import Ensemble, Flight
from loftwright.report.bodies import body_name
from loftwright.report.quantities import amount, span
from loftwright.report.scatter import Landing, landings

__all__ = ["LandedTable", "landed_table"]

_SHARES = (("half within", 0.5), ("9 in 10 within", 0.9), ("19 in 20 within", 0.95))
_KEYS = (("after liftoff", "time_s", "time"), ("speed", "speed_m_s", "speed"),
         ("energy", "energy_j", "energy"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class LandedTable:
    """Bodies by name, and rows of words with a cell for each body."""

    bodies: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def landed_table(campaign: Campaign, flight: Flight, ensemble: Ensemble | None) -> LandedTable:
    """Return distances, times, speeds and energies at the ground in the person's units."""
    system, bodies = campaign.head.units, landings(flight, ensemble)
    rows = _reach_rows(bodies, system)
    for words, key, kind in _KEYS:
        cells = [_cell(flight, ensemble, body.body, key, kind, system) for body in bodies]
        rows.append((words, tuple(cells)))
    return LandedTable(tuple(body_name(campaign, body.body) for body in bodies), tuple(rows))


def _reach_rows(bodies: list[Landing], system: str) -> list[tuple[str, tuple[str, ...]]]:
    if any(len(body.points) for body in bodies):
        return [
            (words, tuple(_within(body, share, system) for body in bodies))
            for words, share in _SHARES
        ]
    far = [None if b.nominal is None else float(np.hypot(*b.nominal)) for b in bodies]
    return [("from the pad", tuple(amount(each, "distance", system, 2) for each in far))]


def _within(body: Landing, share: float, system: str) -> str:
    if not len(body.points):
        return "–"
    reach = float(np.quantile(np.hypot(*body.points.T), share))
    return amount(reach, "distance", system, 2)


def _cell(
    flight: Flight, ensemble: Ensemble | None, body: str, key: str, kind: str, system: str
) -> str:
    statistics: Mapping[str, Mapping[str, float]] = ensemble.statistics if ensemble else {}
    known = statistics.get(f"touchdown_{body}_{key}")
    if known and np.isfinite(known["p05"]):
        return span(known["p05"], known["p95"], kind, system)
    return amount(flight.touchdown.get(body, {}).get(key), kind, system, 2)
