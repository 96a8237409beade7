"""The tables of a rehearsal as rows of words: faults, cut sets, mends, energies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loftwright.documents.campaign import Campaign
from loftwright.flight.chance import Chance
from loftwright.rehearsal.results import NO_FAULT, Case, Rehearsal
from loftwright.report.bodies import body_name
from loftwright.report.quantities import amount
from loftwright.report.reading import hundredths
from loftwright.report.rehearse_words import (
    happens_words,
    outcome_words,
    share_words,
    shift_words,
)

__all__ = [
    "CaseRow",
    "EnergyRow",
    "MendRow",
    "Share",
    "anchor",
    "case_row",
    "cut_rows",
    "energy_rows",
    "mend_rows",
]

MOST_SHARES = 4  # outcomes of one column; the rest are told together


@dataclass(frozen=True, slots=True)
class Share:
    """One outcome: its share in words, the outcome, and the share as a number from 0 to 1."""

    value: str
    words: str
    share: float


@dataclass(frozen=True, slots=True)
class CaseRow:
    """A case as its row says it; ``flight`` is the anchor of its worst flight, if watched."""

    name: str
    says: str
    part: str
    happens: str
    payload: tuple[Share, ...]
    vehicle: tuple[Share, ...]
    field: tuple[Share, ...]
    lost: tuple[str, str]
    endangers: tuple[str, str]
    severity: str
    likelihood: str
    risk: str
    warns: bool
    flight: str


@dataclass(frozen=True, slots=True)
class MendRow:
    """What a change does to one case: before, after, and the difference with its interval."""

    case: str
    what: str
    before: str
    after: str
    difference: str


@dataclass(frozen=True, slots=True)
class EnergyRow:
    """Energies at the ground in one case: median and 95 % of each body."""

    case: str
    cells: tuple[tuple[str, str], ...]


def anchor(case: str, number: int) -> str:
    """Return the name by which a watched flight is found on the page."""
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in case.lower())
    return f"flight-{number}-{'-'.join(filter(None, kept.split('-')))}"


def case_row(case: Case, watched: Mapping[str, str]) -> CaseRow:
    """Return a case as a row; ``watched`` holds the anchors of watched flights by case."""
    return CaseRow(
        name=case.name,
        says=case.says,
        part=_happens_to(case),
        happens=happens_words(case.happens),
        payload=_shares("payload", case.payload),
        vehicle=_shares("vehicle", case.vehicle),
        field=_shares("field", case.field),
        lost=share_words(case.lost),
        endangers=share_words(case.endangers) if case.endangers else ("not told", ""),
        severity=case.severity,
        likelihood=case.likelihood,
        risk=case.risk,
        warns=case.is_single_point,
        flight=watched.get(case.name, ""),
    )


def _happens_to(case: Case) -> str:
    """Return the part as it is named, and the vehicle itself where no part has a name."""
    if len(case.faults) == 1 and case.part in ("", "vehicle"):
        return "the vehicle itself"
    return case.part


def _shares(kind: str, outcomes: Mapping[str, Chance]) -> tuple[Share, ...]:
    found = sorted((item for item in outcomes.items() if item[1].count), key=lambda i: -i[1].count)
    shown = [
        Share(share_words(chance)[0], outcome_words(kind, word), chance.share)
        for word, chance in found[:MOST_SHARES]
    ]
    left = sum(chance.share for _, chance in found[MOST_SHARES:])
    return (*shown, Share(hundredths(left), "other", left)) if left else tuple(shown)


def cut_rows(rehearsal: Rehearsal) -> list[tuple[str, str, str]]:
    """Return faults, chance of a flight, and share of all, of each smallest set."""
    return [
        (" and ".join(cut.faults), happens_words(cut.chance), _part(cut.share))
        for cut in rehearsal.cut_sets
    ]


def _part(share: float) -> str:
    return "all" if share >= 1.0 else f"{hundredths(share)} in 100"


def mend_rows(rehearsal: Rehearsal) -> list[tuple[str, str, list[MendRow]]]:
    """Return each change that was tried: its words, what to write, and its rows."""
    tables = []
    for mend in rehearsal.mends:
        told = [("lost", name, shift) for name, shift in mend.lost.items()]
        told.append(("as wanted", NO_FAULT, mend.good))
        rows = [
            MendRow(name, what, _before(shift.before), _before(shift.after), shift_words(shift))
            for what, name, shift in told
        ]
        tables.append((mend.words, mend.how, rows))
    return tables


def _before(chance: Chance) -> str:
    share, interval = share_words(chance)
    return f"{share} {interval}"


def energy_rows(
    cases: Sequence[Case], campaign: Campaign, system: str
) -> tuple[list[str], list[EnergyRow]]:
    """Return what bodies are called, and the energies of each case that has them."""
    bodies = list(dict.fromkeys(body for case in cases for body in case.energy_j))
    rows = []
    for case in cases:
        if not case.energy_j:
            continue
        cells = []
        for body in bodies:
            middle, top = case.energy_j.get(body, (float("nan"), float("nan")))
            cells.append((amount(middle, "energy", system, 2), amount(top, "energy", system, 2)))
        rows.append(EnergyRow(case.name, tuple(cells)))
    return [body_name(campaign, body) for body in bodies], rows
