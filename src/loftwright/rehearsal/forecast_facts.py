"""What a campaign's forecast says to the static check of its programs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.flight.air import air_at_pad
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Flown
from loftwright.instruments.rows import controller_rows, passed, place
from loftwright.instruments.truth import Truth, around, truth
from loftwright.instruments.wiring import wire
from loftwright.physics.barometer import height_per_pascal
from loftwright.program.checks import Facts
from loftwright.rehearsal.block import Block
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.plan import Plan, plan_of

__all__ = ["FLIGHTS", "facts_of"]

Floats = NDArray[np.float64]
Span = tuple[float, float]

FLIGHTS = 128
STEP = 0.02  # s between two looks at a flight
SEED = 1


def facts_of(campaign: Campaign) -> dict[str, Facts]:
    """Return what `FLIGHTS` flights without any program say, for each controller.

    The vehicle flies on with everything aboard until it comes down: whatever a program does, it
    sees little beyond that.

    Raises
    ------
    ProblemError
        When the campaign has no avionics (`plan_of`).
    """
    plan = plan_of(campaign, SEED)
    block = Block(plan.recipe, 0, FLIGHTS, plan.things)
    seen = _Seen(plan, block)
    every = np.arange(FLIGHTS)
    nothing = np.full((FLIGHTS, len(plan.things)), np.nan)
    block.vehicles(Branches(np.zeros(FLIGHTS, np.int64), every, nothing), seen.take)
    return {name: _of_controller(plan, block, name, seen) for name in plan.tables}


def _of_controller(plan: Plan, block: Block, name: str, seen: _Seen) -> Facts:
    """Add how finely a controller's barometer tells heights."""
    assert plan.campaign.avionics is not None
    wiring = wire(plan.campaign.avionics)
    if not wiring.controllers[name].barometer:
        return Facts(seen.events(), seen.ranges, release_climb=seen.climb)
    values, words = block.values[0], plan.recipe.words
    rows = controller_rows(values, words, wiring, name, plan.tables[name].step_ms, FLIGHTS)
    metres = height_per_pascal(float(np.mean(air_at_pad(values).density)))
    share = float(np.mean(rows[place("SHARE")]))
    noise = float(np.mean(rows[place("NOISE")])) * passed(share) ** 0.5
    step = float(np.mean(rows[place("RESOLUTION")]))
    return Facts(seen.events(), seen.ranges, noise * metres, step * metres, seen.climb)


class _Seen:
    """Least and largest of what flights show, and when things come about."""

    def __init__(self, plan: Plan, block: Block) -> None:
        self.ranges: dict[str, Span] = {}
        self._times: dict[str, list[Floats]] = {"burnout": [], "apogee": [], "release": []}
        self._around = around(block.values[0], FLIGHTS)
        payload = next(iter(plan.campaign.payloads.values()), None)
        climb = None if payload is None else payload.release.climb
        self.climb = None if climb is None else climb.value

    def take(self, some: slice, flown: Flown, ended: Floats) -> None:
        """Look at some flights."""
        tapes = [
            records[:count] for records, count in zip(flown.records, flown.counts, strict=True)
        ]
        times = np.arange(0.0, float(ended.max()) + STEP, STEP)
        told = truth(tapes, times, self._around[some])
        height = told.height.astype(float)
        drop = np.maximum.accumulate(height, axis=1) - height
        self._widen("drop", drop)
        for name, column in zip(("pressure", "push", "height", "climb"), told, strict=True):
            self._widen(name, column)
        self._times["burnout"].append(flown.figures[:, slots.AIR_OUT_TIME])
        self._times["apogee"].append(flown.figures[:, slots.APOGEE_TIME])
        if self.climb is not None:
            self._times["release"].append(_released(self.climb, flown, times, told))

    def _widen(self, name: str, column: NDArray[np.floating]) -> None:
        low, high = self.ranges.get(name, (np.inf, -np.inf))
        self.ranges[name] = (min(low, float(column.min())), max(high, float(column.max())))

    def events(self) -> dict[str, Span]:
        """Return the earliest and the latest of each moment that came about."""
        found = {}
        for name, parts in self._times.items():
            moments = np.concatenate(parts) if parts else np.zeros(0)
            moments = moments[np.isfinite(moments)]
            if len(moments):
                found[name] = (float(moments.min()), float(moments.max()))
        return found


def _released(climb: float, flown: Flown, times: Floats, told: Truth) -> Floats:
    """When the climb of each flight has fallen to where the payload is to be let go."""
    spent = flown.figures[:, [slots.AIR_OUT_TIME]]
    slow = (told.climb < climb) & (times > spent)
    return np.where(slow.any(axis=1), times[np.argmax(slow, axis=1)], np.nan)
