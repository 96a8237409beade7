"""The failure table line by line, each count apart, so that it can be sorted and followed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loftwright.flight.chance import Chance
from loftwright.rehearsal.results import Case
from loftwright.rehearsal.risk import risk_rank
from loftwright.report.rehearse_rows import case_row
from loftwright.report.rehearse_words import outcome_words, share_words

__all__ = ["COUNTED_WORDS", "CaseLine", "CountCell", "case_line", "hurts"]

COUNTED_WORDS = {"good": "as wanted", "lost": "vehicle lost", "endangers": "people endangered"}


@dataclass(frozen=True, slots=True)
class CountCell:
    """How often something was so: its column and word, the share and its interval in words.

    ``has_flights`` tells whether flights are noted behind it.
    """

    column: str
    word: str
    words: str
    share: str
    interval: str
    value: float
    has_flights: bool


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A case as a line; ``rank`` orders risks, the worst first; ``endangers`` may be not told."""

    name: str
    says: str
    part: str
    happens: str
    chance: float
    risk: str
    because: str  # severity and likelihood
    rank: int
    warns: bool
    hurts: bool
    worst: int | None  # number of the flight that fared worst
    good: CountCell
    lost: CountCell
    endangers: CountCell | None
    payload: tuple[CountCell, ...]
    vehicle: tuple[CountCell, ...]
    field: tuple[CountCell, ...]


def case_line(case: Case, nominal: Case) -> CaseLine:
    """Return a case as a line of the failure table."""
    row = case_row(case, {})
    endangers = case.endangers
    return CaseLine(
        name=case.name,
        says=case.says,
        part=row.part,
        happens=row.happens,
        chance=case.happens,
        risk=case.risk,
        because=f"{case.severity}, {case.likelihood}",
        rank=risk_rank(case.risk),
        warns=case.is_single_point,
        hurts=hurts(case, nominal),
        worst=case.worst[0] if case.worst else None,
        good=_cell(case, "counted", "good", case.good),
        lost=_cell(case, "counted", "lost", case.lost),
        endangers=None if endangers is None else _cell(case, "counted", "endangers", endangers),
        payload=_cells(case, "payload", case.payload),
        vehicle=_cells(case, "vehicle", case.vehicle),
        field=_cells(case, "field", case.field),
    )


def hurts(case: Case, nominal: Case) -> bool:
    """Tell whether a case fares worse than flights without a fault, in what was counted."""
    return (
        case.good.share < nominal.good.share
        or case.lost.share > nominal.lost.share
        or case.endangered > nominal.endangered
    )


def _cells(case: Case, column: str, chances: Mapping[str, Chance]) -> tuple[CountCell, ...]:
    """Return what occurred, the most frequent first."""
    found = sorted(
        (item for item in chances.items() if item[1].count), key=lambda item: -item[1].count
    )
    return tuple(_cell(case, column, word, chance) for word, chance in found)


def _cell(case: Case, column: str, word: str, chance: Chance) -> CountCell:
    share, interval = share_words(chance)
    said = COUNTED_WORDS[word] if column == "counted" else outcome_words(column, word)
    noted = word in case.noted.get(column, {})
    return CountCell(column, word, said, share, interval, chance.share, noted)
