"""Every cause flown forward, and of each flight what was true and what would be on record."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.features import log_features
from loftwright.debrief.causes.records import Layout, records_of_tapes
from loftwright.debrief.synthetic import indicated
from loftwright.flight.draws import uniforms
from loftwright.instruments.cases import Happening, inputs, scene_of
from loftwright.instruments.faults._common import CANOPY_DRAG
from loftwright.rehearsal.kernel.loop import TAPE_COLUMNS
from loftwright.rehearsal.plan import Plan
from loftwright.rehearsal.recording import Tapes, record_controllers
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.trials import Progress, run_blocks

__all__ = ["Ensemble", "Keep", "Spoken", "fly_causes", "trials_of"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
Bools = NDArray[np.bool_]
Columns = dict[str, Floats]

PAIRS = 1200  # of a cause and a flight in a block: so few that breaking off takes a moment

# Given the truth of some flights, with what chance each of them is worth recording.
Keep = Callable[[Columns], Floats]


@dataclass(frozen=True, slots=True)
class Spoken:
    """What words can be about, a row a flight: its cause, how much it counts, and the truth."""

    cause: Whole
    share: Floats
    truth: Columns

    @classmethod
    def of(cls, cause: Whole, truth: Columns) -> Spoken:
        """Take from the truth of some flights what words can be about."""
        some = {name: values for name, values in truth.items() if _is_spoken_of(name)}
        return cls(cause, np.ones(len(cause)), some)

    def with_others(self, cause: Whole, share: Floats, truth: Columns) -> Spoken:
        """Put the flights of others behind these."""
        return Spoken(
            np.concatenate([self.cause, cause]),
            np.concatenate([self.share, share]),
            {name: np.concatenate([own, truth[name]]) for name, own in self.truth.items()},
        )


def _is_spoken_of(name: str) -> bool:
    """Tell whether words are about a column of the truth: a moment, or how things went."""
    return name.endswith("_s") or name in ("good", "canopy_share")


@dataclass(frozen=True, slots=True)
class Ensemble:
    """Flights of all causes, a row a flight that was kept, in the order of cause and flight.

    ``flown`` counts the flights of each cause, kept or not; where a cause was flown less often
    each of its flights counts ``share`` times. ``truth`` holds what people could see, ``logs`` by
    controller the features of its record. ``every`` has what could be said of every flight, kept
    or not.
    """

    cause: Whole
    flight: Whole
    flown: int
    truth: Columns
    logs: Mapping[str, Columns]
    share: Floats
    every: Spoken

    def beside(self, other: Ensemble, first: int) -> Ensemble:
        """Put the flights of other causes beside these; those count from ``first``."""
        more = other.share * (self.flown / other.flown)
        return Ensemble(
            np.concatenate([self.cause, other.cause + first]),
            np.concatenate([self.flight, other.flight]),
            self.flown,
            {name: np.concatenate([self.truth[name], other.truth[name]]) for name in self.truth},
            {
                each: {name: np.concatenate([own[name], other.logs[each][name]]) for name in own}
                for each, own in self.logs.items()
            },
            np.concatenate([self.share, more]),
            self.every.with_others(
                other.every.cause + first,
                other.every.share * (self.flown / other.flown),
                other.every.truth,
            ),
        )


def trials_of(happenings: Sequence[Happening]) -> list[Trial]:
    """Return the trials of all causes: nothing fails, then each fault at each part."""
    return [Trial(), *(Trial((each,)) for each in happenings)]


def fly_causes(
    plan: Plan,
    trials: Sequence[Trial],
    layouts: Mapping[str, Layout],
    flights: int,
    *,
    keep: Keep | None = None,
    progress: Progress | None = None,
) -> tuple[Ensemble, bool]:
    """Fly every cause and record it; an interruption ends it with what was flown until then.

    Parameters
    ----------
    plan : Plan
    trials : sequence of Trial
        The causes.
    layouts : mapping
        By controller, what its record is like; others are not recorded.
    flights : int
        Of each cause.
    keep : callable, optional
        With what chance flights are recorded, given their truth; those that are then count for
        those that are not. Flights in which something was let go on the pad never are: nobody
        launches then.
    progress : callable, optional
        Called with flights done and their total.

    Returns
    -------
    ensemble : Ensemble
    stopped : bool
        Whether it was interrupted.
    """

    def job(plan: Plan, trials: Sequence[Trial], first: int, count: int) -> Ensemble:
        return _block(plan, trials, layouts, (first, count), keep)

    parts: list[Ensemble] = []
    stopped = False
    try:
        parts.extend(part for _, part in run_blocks(plan, trials, flights, job, progress, PAIRS))
    except KeyboardInterrupt:
        if not parts:
            raise
        stopped = True
    return _joined(parts), stopped


def _joined(parts: Sequence[Ensemble]) -> Ensemble:
    cause = np.concatenate([part.cause for part in parts])
    flight = np.concatenate([part.flight for part in parts])
    order = np.lexsort((flight, cause))

    full = next((part for part in parts if len(part.cause)), parts[0])
    return Ensemble(
        cause[order],
        flight[order],
        sum(part.flown for part in parts),
        {name: _column([p.truth for p in parts], name)[order] for name in full.truth},
        {
            each: {name: _column([p.logs[each] for p in parts], name)[order] for name in features}
            for each, features in full.logs.items()
        },
        np.concatenate([part.share for part in parts])[order],
        _every(parts),
    )


def _every(parts: Sequence[Ensemble]) -> Spoken:
    found = parts[0].every
    for part in parts[1:]:
        found = found.with_others(part.every.cause, part.every.share, part.every.truth)
    return found


def _column(parts: Sequence[Columns], name: str) -> Floats:
    """Put a column's parts after one another; a part without any flights has no columns."""
    return np.concatenate([part[name] for part in parts if name in part])


def _block(
    plan: Plan,
    trials: Sequence[Trial],
    layouts: Mapping[str, Layout],
    stretch: tuple[int, int],
    keep: Keep | None,
) -> Ensemble:
    """Fly and record one block."""
    first, count = stretch
    flown = fly_block(plan, trials, first, count)
    cause, flight = (each.ravel() for each in np.indices((len(trials), count)))
    truth = _truth(plan, trials, flown, cause, flight)
    kept = ~truth.pop("scrubbed").astype(bool)
    every = Spoken.of(cause[kept], {name: values[kept] for name, values in truth.items()})
    chance = np.ones(len(cause)) if keep is None else np.asarray(keep(truth))
    kept &= _luck(plan, trials, first, count) < chance
    cause, flight = cause[kept], flight[kept]
    truth = {name: values[kept] for name, values in truth.items()}
    logs = _logs(flown, layouts, cause, flight)
    truth["beep_s"] = np.full(len(cause), np.nan)
    for columns in logs.values():
        truth["beep_s"] = np.fmin(truth["beep_s"], columns.pop("beep_s", np.nan))
    return Ensemble(cause, flight + first, count, truth, logs, 1.0 / chance[kept], every)


def _luck(plan: Plan, trials: Sequence[Trial], first: int, count: int) -> Floats:
    """Draw for every flight of every cause whether it is recorded, each on a stream of its own."""
    return np.concatenate(
        [uniforms(plan.seed, f"recorded/{_name(trial)}", first, count, 1)[:, 0] for trial in trials]
    )


def _name(trial: Trial) -> str:
    return " and ".join(f"{each.fault.name} {each.part.name}" for each in trial.happening)


def _truth(
    plan: Plan, trials: Sequence[Trial], flown: Flown, cause: Whole, flight: Whole
) -> Columns:
    """What was true in pairs of a cause and a flight, by the names of figures."""
    which = flown.settled.which[cause, flight]
    judged = flown.judged.take(which)
    with np.errstate(invalid="ignore"):
        early = np.asarray((flown.settled.branches.acts < 0.0).any(axis=1))
    truth: Columns = {
        name: column[which]
        for name, column in flown.columns.items()
        if not name.endswith("_energy_j")
    }
    return (
        truth
        | {
            "liftoff_s": np.zeros(len(cause)),
            "good": judged.good.astype(float),
            "lost": judged.lost.astype(float),
            "scrubbed": early[which].astype(float),
        }
        | {name: values[cause, flight] for name, values in _shares(flown, trials, plan).items()}
    )


# What a fault may leave of a value of the documents.
SHARES = {
    "canopy_share": CANOPY_DRAG,
    "gauge_share": "vehicle.fill.gauge_pressure",
    "water_share": "vehicle.fill.water_volume",
}


def _shares(flown: Flown, trials: Sequence[Trial], plan: Plan) -> Columns:
    """What is left of the values in `SHARES` in each flight of each cause, (causes, flights)."""
    block = flown.block
    shares = {name: np.ones((len(trials), block.count)) for name in SHARES}
    scene = scene_of(
        plan.campaign, block.values[0], plan.recipe.words, plan.seed, block.first, block.count
    )
    for number, trial in enumerate(trials):
        changed = inputs(scene, *trial.happening).values or {}
        for name, path in SHARES.items():
            if path in changed:
                shares[name][number] = changed[path] / block.values[0][path]
    return shares


def _logs(
    flown: Flown, layouts: Mapping[str, Layout], cause: Whole, flight: Whole
) -> dict[str, Columns]:
    """Features of every controller's record, and when it first sounded an indicator."""
    place = np.full((len(flown.hearers), flown.block.count), -1, np.int64)
    place[cause, flight] = np.arange(len(cause))
    found: dict[str, Columns] = {name: {} for name in layouts}

    def take(tapes: Tapes) -> None:
        layout = layouts[tapes.controller]
        rows = place[tapes.trial, tapes.flight]
        features = log_features(records_of_tapes(tapes, layout), layout)
        features["beep_s"] = _beeps(flown, tapes)
        columns = found[tapes.controller]
        for name, values in features.items():
            columns.setdefault(name, np.full(len(cause), np.nan))[rows] = values

    if len(cause):
        record_controllers(flown, tuple(layouts), cause, flight, take)
    return found


def _beeps(flown: Flown, tapes: Tapes) -> Floats:
    """When each tape's controller first sounded an indicator, s; not-a-number for never."""
    outputs = [TAPE_COLUMNS + number for number in indicated(flown, tapes)]
    if not outputs:
        return np.full(len(tapes.trial), np.nan)
    on = (tapes.tape[:, outputs, :] > 0.5).any(axis=1)
    number = on.argmax(axis=0)
    on_at = on.any(axis=0) & (number < tapes.samples)
    return np.where(on_at, tapes.begin + tapes.step * number, np.nan)
