"""Flights of a rehearsal flown again, as rows: what became of each, and what happened when."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loftwright.documents.campaign import Campaign
from loftwright.flight.figures import prefix_of
from loftwright.rehearsal.one_flight import FlownAgain
from loftwright.rehearsal.results import Watched
from loftwright.report.bodies import body_names
from loftwright.report.quantities import NO_BREAK, amount
from loftwright.report.rehearse_words import outcome_words
from loftwright.report.words import figure

__all__ = ["Cell", "MomentRow", "became_words", "flight_table", "moment_rows"]

_OF_VEHICLE = ("canopy_open_height_m", "canopy_open_speed_m_s", "touchdown_vehicle_speed_m_s")
_OF_PAYLOAD = ("release_height_m", "release_climb_m_s", "release_speed_m_s")
_GROUND = {"inside": "inside the field", "outside": "outside the field"}


@dataclass(frozen=True, slots=True)
class Cell:
    """What a cell says, and the number behind it, by which it can be sorted; NaN for none."""

    words: str
    value: float = math.nan


@dataclass(frozen=True, slots=True)
class MomentRow:
    """One thing that happens: when with the fault and when without, and by how much later."""

    what: str
    when: Cell
    plain: Cell
    later: str


def became_words(flown: FlownAgain) -> str:
    """Return in one line what became of a flight: payload, vehicle, and where they lie."""
    said = []
    if flown.payload:
        said.append(f"payload {outcome_words('payload', flown.payload)}")
    said.append(f"vehicle {outcome_words('vehicle', flown.vehicle)}")
    if flown.field:
        said.append(f"came down {_GROUND.get(flown.field, flown.field)}")
    return ", ".join(said)


def flight_table(
    flown: Sequence[FlownAgain], campaign: Campaign, system: str
) -> tuple[list[str], list[tuple[FlownAgain, list[Cell]]]]:
    """Return heads and a row a flight: outcomes in words, then figures with their units.

    A figure that occurs in none of the flights has no column.
    """
    names = body_names(campaign)
    keys = [
        *(f"{prefix_of(root)}{key}" for root in campaign.payloads for key in _OF_PAYLOAD),
        *_OF_VEHICLE,
    ]
    keys = [key for key in keys if any(key in each.figures for each in flown)]
    kinds = [
        kind for kind in ("payload", "vehicle", "field") if any(getattr(f, kind) for f in flown)
    ]
    heads = [*kinds, *(figure(key, names).words for key in keys), "greatest energy at the ground"]
    rows = []
    for each in flown:
        cells = [Cell(outcome_words(kind, getattr(each, kind))) for kind in kinds]
        for key in keys:
            value = each.figures.get(key, math.nan)
            cells.append(Cell(amount(value, figure(key, names).kind, system), value))
        most = max(each.energy_j.values(), default=math.nan)
        rows.append((each, [*cells, Cell(amount(most, "energy", system, 2), most)]))
    return heads, rows


def moment_rows(watched: Watched, plain: Watched | None) -> list[MomentRow]:
    """Return what happens in a flight in the order of its moments, beside the one without a fault.

    Stages are those that a controller enters after it has woken up.
    """
    mine, other = _moments(watched), {} if plain is None else _moments(plain)
    names = list(dict.fromkeys((*mine, *other)))

    def place(name: str) -> float:
        return min(mine.get(name, math.inf), other.get(name, math.inf))

    return [
        MomentRow(
            name,
            _time(mine.get(name, math.nan)),
            _time(other.get(name, math.nan)),
            _later(mine.get(name), other.get(name)) if plain is not None else "",
        )
        for name in sorted(names, key=place)
    ]


def _moments(watched: Watched) -> Mapping[str, float]:
    found = dict(watched.events)
    for who, stays in watched.stays.items():
        for stay in stays[1:]:
            found.setdefault(f"{who} enters {stay.stage}", stay.start)
    found |= {f"{who} is commanded": moment for who, moment in watched.commands.items()}
    found |= {f"{thing} moved": moment for thing, moment in watched.acts.items()}
    return {name: moment for name, moment in found.items() if math.isfinite(moment)}


def _time(moment: float) -> Cell:
    if not math.isfinite(moment):
        return Cell("not at all")
    return Cell(f"{moment:.2f}{NO_BREAK}s".replace("-", "−"), moment)


def _later(mine: float | None, other: float | None) -> str:
    if mine is None or other is None:
        return ""
    by = round(mine, 2) - round(other, 2)  # as both are shown
    if abs(by) < 0.005:
        return "at the same time"
    return f"{abs(by):.2f}{NO_BREAK}s {'later' if by > 0 else 'earlier'}"
