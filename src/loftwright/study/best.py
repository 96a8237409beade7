"""Which fill, pressure, fin or ballast serves an aim best under limits, and what holds it back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError, Where
from loftwright.study.alike import Alike, alike, basins, noise_of
from loftwright.study.evaluate import evaluate, refusal
from loftwright.study.figures import dimension, known_keys, remedy, short_name
from loftwright.study.front import Trade, trade_off
from loftwright.study.optimum import Archive, Found, Room, best_of, polish, search
from loftwright.study.phrases import NEVER, SLACK, Limit, statistic, usual
from loftwright.study.question import Question
from loftwright.study.spans import placed, shown
from loftwright.units import format_quantity

__all__ = ["Best", "Binding", "End", "best"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

LOOSEN = 0.01  # a limit is loosened by this share of it to see what that gains
BASIN = 0.1  # of the aim's scale: how near the best a point must be to be polished as well
# Of its value: a limit with less room than this binds. Figures are read in three digits, and two
# that read the same lie at most 0.55 % apart: 0.9995 and 1.005.
NEAR_LIMIT = 6e-3
NEAR_END = 5e-3  # of the range: a value this near its end is held there by it


class Binding(NamedTuple):
    """A limit at the best point: its figure's value there, and what loosening it gains.

    ``room`` is what is left of the limit as a share of it; of a limit at nothing, in SI. ``binds``
    is that this is less than a person can tell. ``gain`` is how much better the aim
    becomes when the limit is loosened by one per cent and the best point sought anew; None for a
    limit that does not bind, or where there was no time to look.
    """

    limit: Limit
    value: float
    room: float
    binds: bool
    gain: float | None


class End(NamedTuple):
    """A varied quantity that the best point drives to an end of what it may be, and why."""

    path: str
    at_most: bool
    why: str  # what the documents would say beyond it; "" for the end of the given range


@dataclass(frozen=True, slots=True)
class Best:
    """The best point, the point as written beside it, and what holds it back.

    ``figures`` and ``figures_now`` are by column, one number each: the value of the one flight, or
    the median over the flights. ``values_now`` has None for a field that was left out.
    """

    question: Question
    values: dict[str, float]
    values_now: dict[str, float | None]
    aims: dict[str, float]  # by text, the aim's own statistic
    aims_now: dict[str, float]
    figures: dict[str, float]
    figures_now: dict[str, float]
    bindings: tuple[Binding, ...]
    limits_now: tuple[float, ...]
    ends: tuple[End, ...]
    alike: Alike
    trade: tuple[Trade, ...]
    looked_at: int  # points
    stopped: bool  # before it was done


def best(question: Question, *, seed: int = 1, progress: Progress | None = None) -> Best:
    """Look for the best point of a question.

    A population is searched over the whole range, each generation one batch of the engine, then
    polished; see `optimum`. Interrupted, it answers with the best so far. The same seed gives the
    same answer.

    Raises
    ------
    ProblemError
        When a figure aimed at never happens, or no point keeps all limits: then it says how near
        the nearest one came.
    """
    hunt = _Hunt(question, seed, progress)
    hunt.run()
    return hunt.answer()


class _Hunt:
    """One search, with what it has seen."""

    def __init__(self, question: Question, seed: int, progress: Progress | None) -> None:
        self.question, self.seed, self.progress = question, seed, progress
        self.archive = Archive(SLACK)
        self.scales = np.ones(len(question.aims))
        self.stopped = False
        self.gains: dict[int, float] = {}
        self.trade: tuple[Trade, ...] = ()

    def run(self) -> None:
        """Search, polish, and see what holds it back, unless stopped on the way."""
        try:
            self._search()
            self._see_limits()
            if len(self.question.aims) > 1:
                self.trade = tuple(trade_off(self.question, self.archive, self.scales))
        except KeyboardInterrupt:
            if not len(self.archive):
                raise
            self.stopped = True

    def _search(self) -> None:
        question, count = self.question, len(self.question.aims)
        now = self._now()
        if now is not None:
            outcome = question.outcome(now[None, :])
            self.archive.add(now[None, :], outcome)
            self.scales = np.where(
                np.isfinite(outcome.costs[0]), np.maximum(np.abs(outcome.costs[0]), 1e-3), 1.0
            )
        for k, aim in enumerate(question.aims):
            if aim.direction == "near" and aim.target:
                self.scales[k] = abs(aim.target)
        # Each aim alone; of two also both at once, which fills the front between them.
        weights = [np.eye(count)[k] for k in range(count)]
        weights += [np.full(count, 0.5)] if count > 1 else []
        for number, weight in enumerate(weights):
            search(
                question.outcome,
                len(question.spans),
                self._weighing(weight),
                self.archive,
                seed=self.seed,
                starts=None if now is None else now[None, :],
                told=self._told(number, len(weights)),
            )
            self._refuse_hopeless()
            self._polish(weight)

    def _told(self, number: int, phases: int) -> Progress | None:
        if self.progress is None:
            return None
        tell = self.progress
        return lambda done, total: tell(number * total + done, phases * total)

    def _weighing(self, weight: Floats) -> Callable[[Floats], Floats]:
        # A figure that has no part in this must not spoil it where it does not happen.
        part = weight > 0.0

        def weigh(costs: Floats) -> Floats:
            return np.asarray((costs[:, part] / self.scales[part]) @ weight[part])

        return weigh

    def _polish(self, weight: Floats) -> None:
        weigh = self._weighing(weight)
        # The population ends in one valley; others that it saw may go as deep.
        for start in basins(self.archive, weigh, BASIN):
            room = self.question.room(start)
            polish(self.question.outcome, start, weigh, self.archive, room)

    def _now(self) -> Floats | None:
        """Return the point as it is written, if it lies within the ranges."""
        shares = []
        for span in self.question.spans:
            if span.inside is None:
                return None
            width = span.high - span.low + (1.0 if span.whole else 0.0)
            middle = 0.5 if span.whole else 0.0
            shares.append((span.inside - span.low + middle) / width)
        return np.array(shares)

    def _first(self) -> Floats:
        return np.array([1.0] + [0.0] * (len(self.question.aims) - 1))

    def _found(self) -> Found:
        return best_of(self.archive, self._weighing(self._first()))

    # ------------------------------------------------------------ what holds it back

    def _see_limits(self) -> None:
        share = self._found().share
        outcome = self.question.outcome(share[None, :])
        for k, limit in enumerate(self.question.limits):
            if outcome.excesses[0, k] > -NEAR_LIMIT and limit.bound:
                self.gains[k] = self._gain(k, share, float(outcome.costs[0, 0]))

    def _gain(self, k: int, share: Floats, cost: float) -> float:
        """Return how much better the first aim becomes with limit ``k`` a little looser."""
        limits = list(self.question.limits)
        limits[k] = limits[k].loosened(LOOSEN)
        looser = replace(self.question, limits=tuple(limits), aims=self.question.aims[:1])
        scale, archive = float(self.scales[0]), Archive(SLACK)

        def weigh(costs: Floats) -> Floats:
            return np.asarray(costs[:, 0] / scale)

        archive.add(share[None, :], looser.outcome(share[None, :]))
        polish(looser.outcome, share, weigh, archive, looser.room(share))
        return cost - best_of(archive, weigh).cost * scale

    def _refuse_hopeless(self) -> None:
        """Raise where a figure never happens, or no point keeps all limits."""
        shares, costs, _ = self.archive.all()
        excesses = np.concatenate(self.archive.excesses)
        read = excesses[:, -1] <= SLACK
        if not read.any():
            why = refusal(placed(self.question.campaign, self.question.values(shares[-1])))
            _raise("study-refused", f"the documents refuse every point: {why}", "", "--vary",
                   "vary over a range that can be built and filled")  # fmt: skip
        for k, aim in enumerate(self.question.aims):
            if not np.isfinite(costs[read, k]).any():
                _never(aim.figure, "--aim")
        for k, limit in enumerate(self.question.limits):
            if (excesses[read, k] >= NEVER).all():
                _never(limit.figure, "--limit")
        kept = (excesses <= SLACK).all(axis=1) & np.isfinite(costs).all(axis=1)
        if not kept.any():
            _infeasible(self.question, shares[read], excesses[read])

    # ------------------------------------------------------------ the answer

    def answer(self) -> Best:
        """Return what was found."""
        self._refuse_hopeless()
        question, found = self.question, self._found()
        values, room = question.values(found.share), question.room(found.share)
        there, now = self._at(values), self._at({})
        first = question.aims[0]
        return Best(
            question=question,
            values=values,
            values_now={span.path: span.now for span in question.spans},
            aims={aim.text: float(aim.value(there[aim.figure])[0]) for aim in question.aims},
            aims_now={aim.text: float(aim.value(now[aim.figure])[0]) for aim in question.aims},
            figures=_medians(there),
            figures_now=_medians(now),
            bindings=tuple(self._bindings(there)),
            limits_now=tuple(float(limit.value(now[limit.figure])[0]) for limit in question.limits),
            ends=tuple(self._ends(found.share, room)),
            alike=alike(
                question.spans,
                self.archive,
                self._weighing(self._first()),
                float(self.scales[0]),
                noise_of(first, there[first.figure], self.seed),
            ),
            trade=self.trade,
            looked_at=len(self.archive),
            stopped=self.stopped,
        )

    def _bindings(self, there: dict[str, Floats]) -> Iterator[Binding]:
        for k, limit in enumerate(self.question.limits):
            column = there[limit.figure]
            room = -float(limit.excess(column)[0])
            value = float(limit.value(column)[0])
            yield Binding(limit, value, room, room < NEAR_LIMIT, self.gains.get(k))

    def _at(self, values: dict[str, float]) -> dict[str, Floats]:
        points = {path: np.array([value]) for path, value in values.items()}
        question = self.question
        wanted = known_keys(question.campaign)
        return evaluate(question.campaign, points, question.draws, wanted=wanted).columns

    def _ends(self, share: Floats, room: Room) -> list[End]:
        ends = []
        for axis, span in enumerate(self.question.spans):
            near = NEAR_END if not span.whole else 1.0 / (span.high - span.low + 1.0)
            for at_most, end in ((False, room.low[axis]), (True, room.high[axis])):
                if abs(share[axis] - end) <= near:
                    beyond = np.array(share)
                    beyond[axis] = end + (1e-6 if at_most else -1e-6)
                    inside = 0.0 < end < 1.0
                    campaign = placed(self.question.campaign, self.question.values(beyond))
                    ends.append(End(span.path, at_most, refusal(campaign) if inside else ""))
        return ends


def _medians(columns: dict[str, Floats]) -> dict[str, float]:
    return {key: float(statistic(column, usual(key))[0]) for key, column in columns.items()}


def _never(key: str, option: str) -> None:
    message = f"{short_name(key)} happens at no point of the range"
    mend = remedy(key) or "ask for a figure that this campaign has, or vary over another range"
    _raise("study-never-happens", message, key, option, mend)


def _infeasible(question: Question, shares: Floats, excesses: Floats) -> None:
    """Say which limits the nearest point breaks, and by how much; the least broken one first."""
    over = np.where(excesses > SLACK, excesses, 0.0)
    nearest = int(np.argmin(over.sum(axis=1)))
    broken = [(float(over[nearest, k]), limit) for k, limit in enumerate(question.limits)
              if over[nearest, k] > 0.0]  # fmt: skip
    broken.sort(key=lambda each: each[0])
    system = question.campaign.head.units
    said = ", ".join(f'"{limit.text}" {_missed(limit, much, system)}' for much, limit in broken)
    values = question.values(shares[nearest])
    place = ", ".join(f"{span.path} = {shown(span, values[span.path])}" for span in question.spans)
    message = f"no point keeps every limit; the nearest misses {said}"
    mend = f"loosen it or widen a range; the nearest is {place}"
    _raise("study-infeasible", message, broken[0][1].text if broken else "", "--limit", mend)


def _missed(limit: Limit, much: float, system: str) -> str:
    """Say by how much a limit is missed: as a share, or beyond that in units of ``system``."""
    kind = dimension(limit.figure)
    if much >= NEVER:
        return "altogether"
    if much < 1.0 or kind in ("number", "impulse") or limit.figure.endswith("_deg"):
        return f"by {100.0 * much:.2g} %"
    return f"by {format_quantity(much * limit.scale, kind, system, digits=2)}"


def _raise(code: str, message: str, value: str, option: str, mend: str) -> None:
    where = Where(field=option, value=value or None)
    raise ProblemError([Problem(code, message, where, mend)])
