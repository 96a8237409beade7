"""Several logs of one flight: which one to go by, and whether they agree."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from math import hypot

from loftwright.debrief.results import Estimate, LawCheck, Reconstruction

__all__ = ["best_of"]

APART = 3.0  # standard deviations from which two logs disagree
FIGURES: tuple[tuple[str, str, Callable[[Reconstruction], Estimate | None]], ...] = (
    ("top", "m", lambda each: each.apogee),
    ("time of the top", "s", lambda each: each.apogee_time),
    ("largest climb", "m/s", lambda each: each.max_climb),
)


def best_of(flights: Sequence[Reconstruction]) -> Reconstruction:
    """Return the reconstruction that says most, with how the others agree among its checks.

    First counts which breaks fewest laws, then which shows most moments, then which knows the top
    best. A single one comes back as it is.

    Raises ``ValueError`` for none at all.
    """
    if not flights:
        raise ValueError("there is no reconstruction to choose from")
    best = min(flights, key=_rank)
    checks = tuple(_agreements(flights))
    return replace(best, checks=(*best.checks, *checks)) if checks else best


def _rank(flight: Reconstruction) -> tuple[int, int, float]:
    broken = sum(each.agrees is False for each in flight.checks)
    sd = float("inf") if flight.apogee is None else flight.apogee.sd
    return broken, len(flight.missing), sd


def _agreements(flights: Sequence[Reconstruction]) -> Iterator[LawCheck]:
    for one, other in combinations(flights, 2):
        apart = list(_apart(one, other))
        name = f"{one.log} and {other.log} agree"
        if apart:
            yield LawCheck(name, False, f"they do not: {'; '.join(apart)}")
        elif any(figure(one) and figure(other) for _, _, figure in FIGURES):
            yield LawCheck(name, True, "top, its time and the largest climb agree")


def _apart(one: Reconstruction, other: Reconstruction) -> Iterator[str]:
    for name, unit, figure in FIGURES:
        first, second = figure(one), figure(other)
        if first is None or second is None:
            continue
        if abs(first.value - second.value) > APART * hypot(first.sd, second.sd):
            yield f"{name} {first.value:.2f} and {second.value:.2f} {unit}"
