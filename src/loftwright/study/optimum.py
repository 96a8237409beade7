"""The search for the best point: a population over the whole range, then a polish at its best.

Everything here is mathematics on the unit cube: a task maps shares of ranges, ``(n, d)``, to what
is to be made small and to how far limits are broken. A population is one call, which is one batch
of the engine.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Archive", "Found", "Outcome", "Room", "Task", "best_of", "polish", "search", "worst"]

Floats = NDArray[np.float64]

POPULATION = 14  # members for each varied quantity
LEAST_POPULATION = 32
GENERATIONS = 60
CLOSE = 5e-3  # of the range: a population this narrow has settled
ALIKE = 1e-7  # of its cost: a population this even cannot be told apart
# Costs are a few times their scale at most; whatever breaks a limit ranks behind all that keep it.
BEHIND = 1e6
STEP = 2e-3  # of the range, for slopes: well over the noise of the integrator


class Outcome(NamedTuple):
    """What a task gives for ``n`` points: costs ``(n, aims)`` and excesses ``(n, limits)``.

    A limit is kept where its excess is at most ``slack``; a cost may be NaN where the aim's figure
    does not happen.
    """

    costs: Floats
    excesses: Floats


Task = Callable[[Floats], Outcome]
Weigh = Callable[[Floats], Floats]


@dataclass(slots=True)
class Archive:
    """Every point that a search has looked at."""

    slack: float
    shares: list[Floats] = field(default_factory=list)
    costs: list[Floats] = field(default_factory=list)
    excesses: list[Floats] = field(default_factory=list)

    def add(self, shares: Floats, outcome: Outcome) -> None:
        """Note the points of one call."""
        self.shares.append(np.array(shares))
        self.costs.append(outcome.costs)
        self.excesses.append(outcome.excesses)

    def all(self) -> tuple[Floats, Floats, Floats]:
        """Return shares, costs and worst excesses of all points."""
        excesses = np.concatenate(self.excesses)
        return np.concatenate(self.shares), np.concatenate(self.costs), worst(excesses)

    def __len__(self) -> int:
        """Return how many points there are."""
        return sum(map(len, self.shares))


class Room(NamedTuple):
    """Where a polish may go: from ``low`` to ``high`` along the directions that are ``free``."""

    low: Floats
    high: Floats
    free: NDArray[np.bool_]


class Found(NamedTuple):
    """The best point that was found; ``excess`` is over the slack where no point keeps all."""

    share: Floats
    cost: float
    excess: float


def worst(excesses: Floats) -> Floats:
    """Return the largest excess of each point; nothing is in excess without limits."""
    if excesses.shape[1] == 0:
        return np.full(len(excesses), -np.inf)
    return np.asarray(excesses.max(axis=1))


def rank(cost: Floats, excesses: Floats, slack: float, scale: float) -> Floats:
    """Return one number a point that orders them: what keeps all limits before what does not.

    Among points that keep all limits the lesser cost comes first, among the others the lesser sum
    of excesses (Deb 2000).

    References
    ----------
    K. Deb, An efficient constraint handling method for genetic algorithms, Computer Methods in
    Applied Mechanics and Engineering 186 (2000) 311-338 (from memory).
    """
    over = np.where(excesses > slack, excesses, 0.0).sum(axis=1)
    never = ~np.isfinite(cost)
    broken = np.minimum(np.where(never, BEHIND, 0.0) + over, 2.0 * BEHIND)
    kept = np.where(never, 0.0, cost) / scale
    return np.where(broken > 0.0, BEHIND + broken, np.clip(kept, -BEHIND, BEHIND))


def search(
    task: Task,
    dimensions: int,
    weigh: Weigh,
    archive: Archive,
    *,
    seed: int,
    scale: float = 1.0,
    starts: Floats | None = None,
    told: Callable[[int, int], None] | None = None,
) -> None:
    """Look over the whole cube by differential evolution, every generation one call of ``task``.

    What is found stands in ``archive``. ``weigh`` makes one cost of several; ``starts`` are points
    to begin from beside the scattered ones. Seeded: the same call gives the same points.

    References
    ----------
    R. Storn and K. Price, Differential evolution, Journal of Global Optimization 11 (1997)
    341-359; run by ``scipy.optimize.differential_evolution``.
    """
    from scipy.optimize import differential_evolution
    from scipy.stats import qmc

    size = max(LEAST_POPULATION, POPULATION * dimensions)
    first = qmc.LatinHypercube(dimensions, rng=seed).random(size)
    if starts is not None:
        first[: len(starts)] = starts
    calls = 0

    def ranks(columns: Floats) -> Floats:
        nonlocal calls
        # Every point is a column, one alone a plain vector.
        shares = np.clip(np.atleast_2d(columns.T), 0.0, 1.0)
        outcome = task(shares)
        archive.add(shares, outcome)
        calls += 1
        if told is not None:
            told(min(calls, GENERATIONS + 1), GENERATIONS + 1)
        return rank(weigh(outcome.costs), outcome.excesses, archive.slack, scale)

    def settled(intermediate_result: Any) -> bool:
        ranked, people = intermediate_result.population_energies, intermediate_result.population
        if not np.all(ranked < BEHIND):
            return False
        alike = np.ptp(ranked) <= ALIKE * max(1.0, float(np.abs(ranked).max()))
        return bool(alike or np.all(np.std(people, axis=0) < CLOSE))

    differential_evolution(
        ranks,
        [(0.0, 1.0)] * dimensions,
        init=first,
        maxiter=GENERATIONS,
        tol=0.0,
        atol=0.0,
        polish=False,
        updating="deferred",
        vectorized=True,
        callback=settled,
        rng=seed,
    )


def best_of(archive: Archive, weigh: Weigh) -> Found:
    """Return the best point looked at: of those that keep all limits, or that break them least."""
    shares, costs, excess = archive.all()
    cost = weigh(costs)
    kept = (excess <= archive.slack) & np.isfinite(cost)
    if kept.any():
        at = int(np.argmin(np.where(kept, cost, np.inf)))
    else:
        at = int(np.argmin(np.where(np.isfinite(cost), excess, np.inf)))
    return Found(shares[at], float(cost[at]), float(excess[at]))


class _Slopes:
    """Values and slopes of a task around one point, from one call for all of them."""

    def __init__(self, task: Task, weigh: Weigh, room: Room, archive: Archive) -> None:
        self.task, self.weigh, self.archive, self.room_in = task, weigh, archive, room
        self.free = np.flatnonzero(room.free)
        self.at: Floats | None = None

    def look(self, share: Floats) -> None:
        """Evaluate the point and a step to either side along each free direction."""
        if self.at is not None and np.array_equal(share, self.at):
            return
        low, high = self.room_in.low, self.room_in.high
        points = np.tile(share, (2 * len(self.free) + 1, 1))
        for k, axis in enumerate(self.free):
            points[2 * k + 1, axis] = min(share[axis] + STEP, high[axis])
            points[2 * k + 2, axis] = max(share[axis] - STEP, low[axis])
        outcome = self.task(points)
        self.archive.add(points, outcome)
        self.at = np.array(share)
        cost = self.weigh(outcome.costs)
        self.cost, self.room = float(cost[0]), -outcome.excesses[0]
        widths = np.array([points[2 * k + 1, a] - points[2 * k + 2, a]
                           for k, a in enumerate(self.free)])  # fmt: skip
        self.slope = (cost[1::2] - cost[2::2]) / widths
        self.room_slopes = (-(outcome.excesses[1::2] - outcome.excesses[2::2])).T / widths


def polish(
    task: Task, start: Floats, weigh: Weigh, archive: Archive, room: Room, *, scale: float = 1.0
) -> None:
    """Go downhill from ``start`` inside ``room``, limits kept; `best_of` tells how far it came.

    Sequential quadratic programming with slopes from one batch a step (``scipy``'s SLSQP). What
    is looked at on the way goes into ``archive``, so that a step that leads astray costs nothing.
    """
    from scipy.optimize import minimize

    free = room.free & (room.high - room.low > STEP)
    room = room._replace(free=free)
    if not free.any():
        return
    slopes = _Slopes(task, weigh, room, archive)

    def looked(part: Floats) -> _Slopes:
        share = np.array(start)
        share[free] = np.clip(part, room.low[free], room.high[free])
        slopes.look(share)
        return slopes

    limits = {
        "type": "ineq",
        "fun": lambda part: np.nan_to_num(looked(part).room),
        "jac": lambda part: np.nan_to_num(looked(part).room_slopes),
    }
    minimize(
        lambda part: np.nan_to_num(looked(part).cost, nan=BEHIND) / scale,
        start[free],
        jac=lambda part: np.nan_to_num(looked(part).slope) / scale,
        bounds=list(zip(room.low[free], room.high[free], strict=True)),
        constraints=[limits] if looked(start[free]).room.size else [],
        method="SLSQP",
        options={"maxiter": 30, "ftol": 1e-7},
    )
