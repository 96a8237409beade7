"""Counted outcomes of each case, put together: cases, single points, cut sets, common causes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from loftwright.physics.hazard import FATAL_ENERGY
from loftwright.rehearsal.chances import chance_of
from loftwright.rehearsal.results import (
    FIELD,
    PAYLOAD,
    VEHICLE,
    Case,
    Chance,
    CommonCause,
    CutSet,
)
from loftwright.rehearsal.risk import SEVERITIES, rate, risk_rank

__all__ = [
    "case_of",
    "common_causes",
    "cut_sets_of_cases",
    "fails",
    "ranked",
    "severities_of",
    "single_points",
]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Words = NDArray[np.integer]

WORST = 3  # flights of a case that are worth a look
BALLISTIC = VEHICLE.index("ballistic")


def case_of(
    faults: Sequence[str],
    says: str,
    happens: float,
    part: str,
    payload_words: Words | None,
    vehicle_words: Words,
    field_words: Words | None,
    endangers: Bools,
    lost: Bools,
    good: Bools,
    energies: Mapping[str, Floats],
    level: float,
) -> Case:
    """Return a case of the failure table from what became of each of its flights.

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
    payload_words, vehicle_words, field_words
        Place of each flight's outcome in `PAYLOAD`, `VEHICLE` and `FIELD`; None without a payload
        or a field.
    endangers, lost, good
        Of each flight.
    energies
        By body: energy at the ground of each flight [J], NaN where it did not come down. Bodies
        that never did are left out.
    level
        Chance, given that it happens, above which it is a single point of failure.

    Returns
    -------
    Case
        Chances have exact intervals; severity, likelihood and risk are `risk.rate`'s;
        ``worst`` numbers flights from 0.

    Raises
    ------
    ValueError
        When there are no flights, the arrays have not one element a flight, or a word is none.
    """
    _check_alike(vehicle_words, payload_words, field_words, endangers, lost, good, energies)
    classes = severities_of(vehicle_words, endangers, lost, good, energies)
    counts = {word: int(np.count_nonzero(classes == k)) for k, word in enumerate(SEVERITIES)}
    rating = rate(happens, counts, len(good))
    case_lost, case_endangers = chance_of(lost), chance_of(endangers)
    return Case(
        faults=tuple(faults),
        says=says,
        happens=happens,
        payload={} if payload_words is None else _by_word(PAYLOAD, payload_words),
        vehicle=_by_word(VEHICLE, vehicle_words),
        field={} if field_words is None else _by_word(FIELD, field_words),
        good=chance_of(good),
        lost=case_lost,
        endangers=case_endangers,
        severity=rating.severity,
        likelihood=rating.likelihood,
        risk=rating.risk,
        energy_j={body: found for body, each in energies.items() if (found := _spread(each))},
        worst=_worst(classes, vehicle_words, payload_words, energies),
        is_single_point=len(faults) == 1 and _exceeds(case_lost, case_endangers, level),
        part=part,
    )


def severities_of(
    vehicle_words: Words,
    endangers: Bools,
    lost: Bools,
    good: Bools,
    energies: Mapping[str, Floats],
) -> NDArray[np.int64]:
    """Return each flight's place in `risk.SEVERITIES`; their number where all was as wanted.

    What the classes stand for is in `risk.MEANINGS`. Without any energy a body that endangers is
    taken as one that can kill.
    """
    greatest = _greatest(energies, len(good))
    kills = endangers & (np.isnan(greatest) | (greatest >= FATAL_ENERGY))
    hurts = endangers | (vehicle_words == BALLISTIC)
    conditions = [kills, hurts, lost, ~good]
    return np.select(conditions, range(len(SEVERITIES)), default=len(SEVERITIES)).astype(np.int64)


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
        -case.happens * case.lost.value,
        -case.lost.value,
        -case.endangers.value,
        case.good.value,
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
    chances = [each.happens * max(each.lost.value, each.endangers.value) for each in found]
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


def _exceeds(lost: Chance, endangers: Chance, level: float) -> bool:
    return lost.value > level or endangers.value > level


def _by_word(words: Sequence[str], places: Words) -> dict[str, Chance]:
    """Chances by word, in their order; what did not occur stays, with what that leaves open."""
    return {word: chance_of(places == k) for k, word in enumerate(words)}


def _spread(energy: Floats) -> tuple[float, float] | None:
    """Median and 95 % of those that came down."""
    down = energy[np.isfinite(energy)]
    if not down.size:
        return None
    return float(np.median(down)), float(np.quantile(down, 0.95))


def _greatest(energies: Mapping[str, Floats], flights: int) -> Floats:
    """Greatest energy of any body, a flight; NaN where none came down."""
    rows = [np.full(flights, np.nan), *energies.values()]
    greatest: Floats = np.fmax.reduce(rows)
    return greatest


def _worst(
    classes: NDArray[np.int64],
    vehicle_words: Words,
    payload_words: Words | None,
    energies: Mapping[str, Floats],
) -> tuple[int, ...]:
    """Numbers of the flights that fared worst: by severity, outcome, energy, and number."""
    flights = len(classes)
    payload = np.zeros(flights, dtype=np.int64) if payload_words is None else payload_words
    energy = np.nan_to_num(_greatest(energies, flights))
    order = np.lexsort((np.arange(flights), -energy, -payload, -vehicle_words, classes))
    bad = order[classes[order] < len(SEVERITIES)]
    return tuple(int(each) for each in bad[:WORST])


def _check_alike(
    vehicle_words: Words,
    payload_words: Words | None,
    field_words: Words | None,
    endangers: Bools,
    lost: Bools,
    good: Bools,
    energies: Mapping[str, Floats],
) -> None:
    words = ((VEHICLE, vehicle_words), (PAYLOAD, payload_words), (FIELD, field_words))
    given = [(known, each) for known, each in words if each is not None]
    columns = (*(each for _, each in given), endangers, lost, good, *energies.values())
    if len({len(each) for each in columns}) != 1 or not len(good):
        raise ValueError("a case needs flights, and one element of every array for each")
    if any(each.min() < 0 or each.max() >= len(known) for known, each in given):
        raise ValueError("an outcome is none of the words")
