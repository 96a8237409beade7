"""What is left out of a record, with many stretches of one kind told as one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from loftwright.debrief.results import Artefact

__all__ = ["left_out"]

MOST = 3  # stretches of a kind that are told one by one


def left_out(artefacts: Sequence[Artefact]) -> tuple[Artefact, ...]:
    """Return artefacts as they are told, in order of time.

    Where there are many of a kind, the one that would mislead most stands for all of them, and
    says how many there are and between when.
    """
    kinds = dict.fromkeys(each.kind for each in artefacts)
    found: list[Artefact] = []
    for kind in kinds:
        alike = [each for each in artefacts if each.kind == kind]
        found += alike if len(alike) <= MOST else [_of_many(alike)]
    return tuple(sorted(found, key=lambda each: each.time_s))


def _of_many(alike: Sequence[Artefact]) -> Artefact:
    largest = max(alike, key=_size)
    begin = min(each.time_s for each in alike)
    end = max(each.until_s for each in alike)
    many = f"{len(alike)} stretches from {begin:.2f} s to {end:.2f} s. The largest: {largest.says}"
    return replace(largest, says=many)


def _size(artefact: Artefact) -> float:
    return abs(artefact.size_m) if math.isfinite(artefact.size_m) else 0.0
