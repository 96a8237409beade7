"""Counted outcomes of each case, put together: cases, single points, cut sets, common causes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.chance import Chance
from loftwright.rehearsal.chances import chance_of_count
from loftwright.rehearsal.results import (
    FIELD,
    PAYLOAD,
    VEHICLE,
    Case,
    CommonCause,
    CutSet,
    Noted,
)
from loftwright.rehearsal.risk import SEVERITIES, rate, risk_rank
from loftwright.rehearsal.tally import Tally

__all__ = [
    "case_of",
    "common_causes",
    "cut_sets_of_cases",
    "fails",
    "ranked",
    "single_points",
]


def case_of(
    faults: Sequence[str],
    says: str,
    happens: float,
    part: str,
    tally: Tally,
    level: float,
    *,
    knows_ground: bool = True,
    knows_people: bool = True,
) -> Case:
    """Return a case of the failure table from what its flights came to.

    Parameters
    ----------
    faults
        Names of the faults that happen; none for the nominal case.
    says
        One sentence: what happens.
    happens
        How likely that is in one flight; 1 for the nominal case.
    part
        Of the avionics or the vehicle, that it happens to.
    tally
        Of its flights, one at least.
    level
        Chance, given that it happens, above which it is a single point of failure.
    knows_ground, knows_people
        Whether the site draws anything, and where people may be.

    Returns
    -------
    Case
        Chances have exact intervals; severity, likelihood and risk are `risk.rate`'s.
    """
    counts = {word: int(tally.severity[k]) for k, word in enumerate(SEVERITIES)}
    rating = rate(happens, counts, tally.flights)
    lost = chance_of_count(tally.lost, tally.flights)
    endangers = chance_of_count(tally.endangers, tally.flights) if knows_people else None
    return Case(
        faults=tuple(faults),
        says=says,
        happens=happens,
        payload=_by_word(PAYLOAD, tally.payload) if tally.has_payload else {},
        vehicle=_by_word(VEHICLE, tally.vehicle),
        field=_by_word(FIELD, tally.field) if knows_ground else {},
        good=chance_of_count(tally.good, tally.flights),
        lost=lost,
        endangers=endangers,
        severity=rating.severity,
        likelihood=rating.likelihood,
        risk=rating.risk,
        energy_j=tally.energies(),
        worst=tally.worst,
        is_single_point=len(faults) == 1 and _exceeds(lost, endangers, level),
        part=part,
        noted=_told(tally.noted(), field=knows_ground, endangers=knows_people),
        first=tally.first(),
    )


def fails(case: Case, level: float) -> bool:
    """Tell whether a case loses the vehicle, or endangers people, more often than ``level``.

    By the shares that were counted, given that the case has happened.
    """
    return _exceeds(case.lost, case.endangers, level)


def single_points(cases: Iterable[Case], level: float) -> tuple[Case, ...]:
    """Return the cases of one fault that fails by itself, worst first."""
    return ranked(each for each in cases if len(each.faults) == 1 and fails(each, level))


def ranked(cases: Iterable[Case]) -> tuple[Case, ...]:
    """Return cases by risk, then by how often they lose the vehicle, endanger, or are not good.

    Of equal risk the case comes first that loses the vehicle in the greater share of all flights,
    then of those in which it happens; at last by name.
    """
    return tuple(sorted(cases, key=_place))


def _place(case: Case) -> tuple[float | str, ...]:
    return (
        risk_rank(case.risk),
        -case.happens * case.lost.share,
        -case.lost.share,
        -case.endangered,
        case.good.share,
        case.name,
    )


def cut_sets_of_cases(
    nominal: Case, faults: Sequence[Case], pairs: Sequence[Case], level: float
) -> tuple[CutSet, ...]:
    """Return the smallest sets of faults that fail, the likeliest first.

    Single faults that fail, and pairs of which neither does alone. Where flights without any fault
    fail already, nothing is the smallest set, and the only one. A set's chance is that all of it
    happens in a flight and loses the vehicle or endangers people, by the greater of both shares;
    its share is of the sum of all sets' chances, and 0 where that is 0.
    """
    if fails(nominal, level):
        found = [nominal]
    else:
        found = [each for each in faults if fails(each, level)]
        alone = {name for each in found for name in each.faults}
        found += [each for each in pairs if fails(each, level) and alone.isdisjoint(each.faults)]
    chances = [each.happens * max(each.lost.share, each.endangered) for each in found]
    whole = sum(chances)
    sets = [
        CutSet(each.faults, chance, chance / whole if whole else 0.0)
        for each, chance in zip(found, chances, strict=True)
    ]
    return tuple(sorted(sets, key=lambda each: (-each.chance, len(each.faults), each.faults)))


def common_causes(
    takes_along: Mapping[str, Collection[str]],
    kinds: Mapping[str, str],
    ways_down: Sequence[Collection[str]],
) -> tuple[CommonCause, ...]:
    """Return the parts that take several things along when they fail, the gravest first.

    Parameters
    ----------
    takes_along
        By part or thing: what fails with it at once. What that takes along in turn is found.
    kinds
        By part that is asked about: ``"battery"``, ``"connector"`` or ``"bay"``.
    ways_down
        Each way to open a canopy: all that has to work for it. None: there is no canopy.

    Returns
    -------
    tuple of CommonCause
        Parts that take two things or more along, or without which no canopy opens. First those,
        then by how much they take along, then by name.
    """
    found = []
    for part, kind in kinds.items():
        gone = _taken_by(part, takes_along)
        stuck = bool(ways_down) and all(gone & set(way) for way in ways_down)
        names = tuple(sorted(gone - {part}))
        if len(names) > 1 or stuck:
            found.append(CommonCause(part, kind, names, stuck))
    order = sorted(found, key=lambda each: each.part)
    return tuple(
        sorted(
            order, key=lambda each: (each.leaves_no_way_down, len(each.takes_along)), reverse=True
        )
    )


def _taken_by(part: str, takes_along: Mapping[str, Collection[str]]) -> set[str]:
    gone: set[str] = set()
    open_ends = [part]
    while open_ends:
        name = open_ends.pop()
        if name not in gone:
            gone.add(name)
            open_ends += takes_along.get(name, ())
    return gone


# ---------------------------------------------------------------- parts of a case


def _exceeds(lost: Chance, endangers: Chance | None, level: float) -> bool:
    return lost.share > level or (endangers is not None and endangers.share > level)


def _told(
    noted: dict[str, dict[str, Noted]], *, field: bool, endangers: bool
) -> dict[str, dict[str, Noted]]:
    """Leave out what is noted of counts that are not told."""
    told = {column: words for column, words in noted.items() if field or column != "field"}
    if not endangers and "counted" in told:
        told["counted"] = {w: n for w, n in told["counted"].items() if w != "endangers"}
    return told


def _by_word(words: Sequence[str], counts: NDArray[np.int64]) -> dict[str, Chance]:
    """Chances by word, in their order; what did not occur stays, with what that leaves open."""
    flights = int(counts.sum())
    return {
        word: chance_of_count(int(count), flights)
        for word, count in zip(words, counts, strict=True)
    }
