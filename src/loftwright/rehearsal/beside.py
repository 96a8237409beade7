"""Two rehearsals held against each other: what differs, and what of that may be chance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loftwright.flight.chance import Chance
from loftwright.rehearsal.chances import difference_of, shift_of
from loftwright.rehearsal.results import Case, Rehearsal, Shift
from loftwright.rehearsal.tally import KEPT, happened_of

__all__ = ["Beside", "CaseBeside", "beside"]


@dataclass(frozen=True, slots=True)
class CaseBeside:
    """One case in both rehearsals; of one that only one of them flew, no shifts.

    ``endangers`` is None where one of them knows nothing of people.
    """

    name: str
    before: Case | None
    after: Case | None
    good: Shift | None = None
    lost: Shift | None = None
    endangers: Shift | None = None


@dataclass(frozen=True, slots=True)
class Beside:
    """Two rehearsals case by case, the nominal one first, then as the later one orders them.

    ``paired`` tells that differences are taken flight by flight on the same draws, over ``flights``
    of them; else both are told apart as flights that share nothing.
    """

    before: Rehearsal
    after: Rehearsal
    cases: tuple[CaseBeside, ...]
    paired: bool
    flights: int


def beside(before: Rehearsal, after: Rehearsal) -> Beside:
    """Hold a rehearsal against an earlier one.

    With the same seed flight i of both met the same wind, draws and noise, as far as the documents
    have the same fields: then only flights that went differently count.
    """
    paired = before.seed == after.seed and bool(before.nominal.first and after.nominal.first)
    flights = min(before.flights, after.flights, KEPT)
    return Beside(before, after, tuple(_cases(before, after, flights, paired)), paired, flights)


def _cases(before: Rehearsal, after: Rehearsal, flights: int, paired: bool) -> Iterator[CaseBeside]:
    old = {case.name: case for case in (before.nominal, *before.faults, *before.pairs)}
    new = {case.name: case for case in (after.nominal, *after.faults, *after.pairs)}
    for name in dict.fromkeys((*new, *old)):
        was, now = old.get(name), new.get(name)
        if was is None or now is None:
            yield CaseBeside(name, was, now)
            continue
        shifts = {word: _shift(word, was, now, flights, paired) for word in ("good", "lost")}
        if was.endangers is not None and now.endangers is not None:
            shifts["endangers"] = _shift("endangers", was, now, flights, paired)
        yield CaseBeside(name, was, now, **shifts)


def _shift(word: str, was: Case, now: Case, flights: int, paired: bool) -> Shift:
    one, other = _chance(word, was), _chance(word, now)
    if not paired:
        return Shift(one, other, *difference_of(one, other))
    return shift_of(
        *(
            happened_of(case.first[word], min(case.good.flights, KEPT))[:flights]
            for case in (was, now)
        )
    )


def _chance(word: str, case: Case) -> Chance:
    chance: Chance = getattr(case, word)
    return chance
