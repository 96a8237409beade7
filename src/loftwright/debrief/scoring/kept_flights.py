"""The flights of a forecast that is kept: figures of each, and the vehicle's height over time.

Where controllers run programs, those decide when things go and open, on what they sense of each
flight; without any, the moments of the documents count. Draws are those of `flight.forecast`, so
that flight i is flight i of a forecast or rehearsal with the same seed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.errors import ProblemError
from loftwright.flight.blocks import recipe_of
from loftwright.flight.forecast import forecast
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Flown
from loftwright.flight.results import Band, Flight
from loftwright.flight.statistics import clock_of, percentiles
from loftwright.rehearsal.block import Block, worked_things
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.plan import TOLERANCE, Plan, plan_of, see_that_it_rehearses
from loftwright.rehearsal.run import Trial, fly_block

__all__ = [
    "DOCUMENTS",
    "PROGRAMS",
    "KeptFlights",
    "OverTime",
    "fly_kept",
    "fly_with_programs",
    "numerical_errors",
    "programs_fly",
    "vehicle_figures",
]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

DOCUMENTS, PROGRAMS = "documents", "programs"  # what decides when things go and open
BLOCK = 128  # flights that are flown together
FINER = 1e-3  # of the tolerance, by which the error of the integration is told
UP_SLOT = slots.RECORD_STATE + slots.UP // slots.LANES
CLIMB_SLOT = slots.RECORD_STATE + slots.V_UP // slots.LANES
STEADY = 0.5  # of the time under canopy: what is left after it is nearly steady


@dataclass(frozen=True, slots=True)
class KeptFlights:
    """What was flown.

    ``columns`` hold a row a flight, NaN where it did not happen: all figures of
    `flight.figures.columns`, and ``max_climb_m_s`` and ``canopy_rate_m_s``, which a record shows as
    it does no speed. ``scrubbed`` counts flights in which a program let something go on the pad;
    their figures are NaN. ``band`` has the lanes ``height_m`` and ``climb_m_s``.
    """

    decided_by: str  # DOCUMENTS or PROGRAMS
    columns: dict[str, Floats]
    band: Band
    scrubbed: int


def fly_kept(
    campaign: Campaign, seed: int, flights: int, progress: Progress | None = None
) -> KeptFlights:
    """Fly what a kept forecast holds.

    Programs that work nothing, or cannot be rehearsed (`rehearsal.plan.see_that_it_rehearses`), do
    not fly along, and ``decided_by`` of the result says so: the documents' moments count, as in a
    forecast.
    """
    parts, over_time = [], OverTime()
    decided_by = PROGRAMS if programs_fly(campaign) else DOCUMENTS
    for part in _blocks(campaign, decided_by, seed, flights, over_time):
        parts.append(part)
        if progress is not None:
            progress(min(BLOCK * len(parts), flights), flights)
    columns = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    scrubbed = columns.pop("scrubbed") > 0.0
    kept = {name: np.where(scrubbed, np.nan, column) for name, column in columns.items()}
    return KeptFlights(decided_by, kept, over_time.band(), int(scrubbed.sum()))


def programs_fly(campaign: Campaign) -> bool:
    """Tell whether a campaign's programs decide when things go and open."""
    if not campaign.programs:
        return False
    try:
        see_that_it_rehearses(campaign)
    except ProblemError:
        return False
    return bool(worked_things(campaign))


def _blocks(
    campaign: Campaign, decided_by: str, seed: int, flights: int, over_time: OverTime
) -> Iterator[dict[str, Floats]]:
    recipe = recipe_of(campaign, seed, TOLERANCE)
    plan = plan_of(campaign, seed) if decided_by == PROGRAMS else None
    for first in range(0, flights, BLOCK):
        count = min(BLOCK, flights - first)
        if plan is None:
            yield _by_documents(Block(recipe, first, count, ()), over_time)
        else:
            yield fly_with_programs(plan, first, count, over_time)


def _by_documents(block: Block, over_time: OverTime) -> dict[str, Floats]:
    group = np.zeros(block.count, np.int64)
    branches = Branches(group, np.arange(block.count), np.empty((block.count, 0)))
    return _flown(block, branches, block.flights(branches), over_time)


def fly_with_programs(plan: Plan, first: int, count: int, over_time: OverTime) -> dict[str, Floats]:
    """Fly flights ``first`` to ``first + count`` with the programs of ``plan`` at work.

    Return their columns, as `KeptFlights` has them, and ``scrubbed``: 1 where a program let
    something go on the pad. Their ways are added to ``over_time``.
    """
    flown = fly_block(plan, [Trial()], first, count)
    which = flown.settled.which[0]
    branches = Branches(*(column[which] for column in flown.settled.branches))
    columns = {name: column[which] for name, column in flown.columns.items()}
    return _flown(flown.block, branches, columns, over_time)


def _flown(
    block: Block, branches: Branches, columns: Mapping[str, Floats], over_time: OverTime
) -> dict[str, Floats]:
    """Return the figures of a block's flights with those that its samples show."""
    with np.errstate(invalid="ignore"):
        scrubbed = np.asarray((branches.acts < 0.0).any(axis=1))
    seen = _Seen(over_time, scrubbed)
    block.vehicles(branches, seen.take)
    own = {"scrubbed": scrubbed.astype(float), **seen.columns()}
    return {**columns, **own}


class OverTime:
    """Heights and climbs of all flights, for their band."""

    def __init__(self) -> None:
        self.tapes: list[tuple[Floats, Floats, Floats]] = []  # time, height, climb
        self.pushed: list[float] = []

    def band(self) -> Band:
        """Return percentiles on a common clock; flights that have ended rest at zero."""
        ends = np.array([time[-1] for time, _, _ in self.tapes])
        if not len(ends):
            return Band(np.zeros(0), {})
        clock = clock_of(ends, np.array(self.pushed))
        lanes = {}
        for place, name in ((1, "height_m"), (2, "climb_m_s")):
            rows = [
                np.interp(clock, tape[0], tape[place], left=0.0, right=0.0) for tape in self.tapes
            ]
            lanes[name] = percentiles(np.array(rows))
        return Band(clock, lanes)


class _Seen:
    """Looks at the samples of a block's vehicles, a few at a time."""

    def __init__(self, over_time: OverTime, scrubbed: NDArray[np.bool_]) -> None:
        self._over_time, self._scrubbed = over_time, scrubbed
        self._rows: list[dict[str, float]] = []

    def take(self, some: slice, flown: Flown, _ended: Floats) -> None:
        """Look at some flights."""
        for row, figures in enumerate(flown.figures):
            tape = flown.records[row, : flown.counts[row]]
            time, height, climb = (
                tape[:, slot].copy() for slot in (slots.RECORD_TIME, UP_SLOT, CLIMB_SLOT)
            )
            opened, down = figures[slots.OPENED_TIME], figures[slots.DOWN_TIME]
            self._rows.append(vehicle_figures(time, height, climb, opened, down))
            if len(time) and not self._scrubbed[some.start + row]:
                self._over_time.tapes.append((time, height, climb))
                pushed = float(figures[slots.AIR_OUT_TIME])
                self._over_time.pushed += [pushed] if np.isfinite(pushed) else []

    def columns(self) -> dict[str, Floats]:
        """Return a column of each figure."""
        return {name: np.array([row[name] for row in self._rows]) for name in self._rows[0]}


def vehicle_figures(
    time: Floats, height: Floats, climb: Floats, opened: float, down: float
) -> dict[str, float]:
    """Return the figures of a vehicle's way that a record of heights shows.

    Parameters
    ----------
    time, height, climb : (n,) arrays
        Samples: s from first motion, m above the pad, m/s.
    opened, down : float
        When the canopy opened and the vehicle came down, s; NaN for never.

    Returns
    -------
    dict
        ``max_climb_m_s``, and ``canopy_rate_m_s``: mean rate of descent over the second half of
        the time under canopy, NaN where it did not open.
    """
    rate = np.nan
    if np.isfinite(opened) and np.isfinite(down) and down > opened:
        steady = opened + STEADY * (down - opened)
        high, low = np.interp([steady, down], time, height)
        rate = float(high - low) / (down - steady)
    return {
        "max_climb_m_s": float(climb.max()) if len(climb) else np.nan,
        "canopy_rate_m_s": rate,
    }


def numerical_errors(campaign: Campaign) -> dict[str, float]:
    """Return by how much each figure of the flight as written moves when it is integrated finer.

    The same flight at the tolerance of the forecast and at a thousandth of it; figures that do not
    come about in both are left out. Programs do not fly here: the error is the integrator's.
    """
    coarse = _figures_of(forecast(campaign, tolerance=TOLERANCE))
    fine = _figures_of(forecast(campaign, tolerance=TOLERANCE * FINER))
    return {name: abs(coarse[name] - fine[name]) for name in coarse if name in fine}


def _figures_of(flight: Flight) -> dict[str, float]:
    found = {name: value for name, value in flight.figures.items() if value is not None}
    for body, ends in flight.touchdown.items():
        found |= {f"touchdown_{body}_{key}": value for key, value in ends.items()}
    track = flight.tracks["vehicle"]
    seen = vehicle_figures(
        track.time,
        track.position[:, 2],
        track.velocity[:, 2],
        track.events.get("canopy open", np.nan),
        track.events.get("touchdown", np.nan),
    )
    return found | {name: value for name, value in seen.items() if np.isfinite(value)}
