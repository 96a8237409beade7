"""Flights of several settings of a program: one flight watched in each, many as a band."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.program import Program
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Flown as Recorded
from loftwright.flight.results import Band
from loftwright.flight.statistics import clock_of, percentiles
from loftwright.instruments.truth import around, truth
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.results import NO_FAULT, Watched
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.watching import MOMENTS, watched

__all__ = ["SettingFlown", "fly_settings"]

Floats = NDArray[np.float64]

MOST = 128  # flights of a band: their samples are kept at once


@dataclass(frozen=True, slots=True)
class SettingFlown:
    """Flights without a fault under one setting of the programs.

    ``watched`` is one of them; ``band`` holds ``height_m`` and ``climb_m_s`` of ``flights``;
    ``due`` the 5 and 95 % of when something happens or moves [s], by the names that ``watched`` has
    for it, of what comes about in half of them at least.
    """

    watched: Watched
    band: Band
    due: dict[str, tuple[float, float]]
    flights: int


def fly_settings(
    campaign: Campaign, programs: Sequence[Mapping[str, Program]], *, flights: int, seed: int
) -> tuple[SettingFlown, ...]:
    """Fly a campaign with each of several sets of programs, all on the same draws.

    The flight that is watched is the same in all: the one of the middle greatest height under the
    first setting. ``flights`` beyond `MOST` are not flown. Raises ``ProblemError`` as `plan_of`.
    """
    count, typical = min(flights, MOST), None
    found = []
    for each in programs:
        plan = plan_of(replace(campaign, programs=dict(each)), seed)
        flown = fly_block(plan, [Trial()], 0, count)
        if typical is None:
            typical = int(np.argsort(flown.figures(0, "apogee_m"))[count // 2])
        seen = watched(plan, flown, typical, case=NO_FAULT)
        found.append(SettingFlown(seen, *_over_flights(flown), count))
    return tuple(found)


def _over_flights(flown: Flown) -> tuple[Band, dict[str, tuple[float, float]]]:
    """Return the bands of all flights of a block, and when things happen in them."""
    every, which, block = flown.settled.branches, flown.settled.which[0], flown.block
    branches = Branches(every.group[which], every.flight[which], every.acts[which])
    tapes: list[Floats] = []
    figures: list[Floats] = []
    ends: list[Floats] = []

    def take(_: slice, vehicles: Recorded, ended: Floats) -> None:
        tapes.extend(tape[:n] for tape, n in zip(vehicles.records, vehicles.counts, strict=True))
        figures.append(vehicles.figures)
        ends.append(ended)

    block.vehicles(branches, take)
    moments = np.concatenate(figures)
    pushed = moments[:, slots.AIR_OUT_TIME]
    clock = clock_of(np.concatenate(ends), pushed[np.isfinite(pushed)])
    told = truth(tapes, clock, around(block.values[0], block.count))
    lanes = {"height_m": told.height, "climb_m_s": told.climb}
    band = Band(clock, {name: percentiles(rows.astype(float)) for name, rows in lanes.items()})
    times = {name: moments[:, slot] for name, slot in MOMENTS.items()}
    times |= dict(zip(block.things, branches.acts.T, strict=True))
    return band, dict(_due(times))


def _due(times: Mapping[str, Floats]) -> Iterator[tuple[str, tuple[float, float]]]:
    for name, column in times.items():
        known = column[np.isfinite(column)]
        if 2 * known.size >= column.size:
            low, high = np.percentile(known, (5.0, 95.0)).tolist()
            yield name, (low, high)
