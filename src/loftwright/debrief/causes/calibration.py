"""How far the probabilities of causes can be believed: made-up failures whose cause is known.

Failures are drawn from the chances of the causes, of flights that went wrong; other flights, on
other random streams, are learnt from. What is counted is how often what was given so much
probability was so, how often the true cause stands first, and how often it is in the 90 % set.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.evidence import Evidence, features_of
from loftwright.debrief.causes.find import SET, rows_of
from loftwright.debrief.causes.flights import Ensemble
from loftwright.debrief.causes.model import Model, Rows, fit_model
from loftwright.debrief.causes.people import Measured, Said, seen_chance

__all__ = ["Judged", "Kind", "Reliability", "judge_causes", "reliability", "tellable_causes"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
Bools = NDArray[np.bool_]

WENT_WRONG = Said("as wanted", "", False, 1.0)
TELLABLE = 0.1  # what any other cause may get of a tellable cause's own failures


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of evidence: which logs there are, what people watch and pace.

    ``watched`` are what, of which body, and how sure.
    """

    name: str
    logs: tuple[str, ...]
    watched: tuple[tuple[str, str, float], ...] = ()
    measured: tuple[Measured, ...] = ()


@dataclass(frozen=True, slots=True)
class Judged:
    """Cases that were judged: probabilities (n, causes), true causes (n,), tellable ones (n,)."""

    probability: Floats
    cause: Whole
    tellable: Bools

    @property
    def first(self) -> Bools:
        """Where the true cause stands first."""
        return np.asarray(self.probability.argmax(axis=1) == self.cause)

    @property
    def in_set(self) -> Bools:
        """Where the true cause is in the 90 % set."""
        order = np.argsort(-self.probability, axis=1, kind="stable")
        ranked = np.take_along_axis(self.probability, order, axis=1)
        before = np.cumsum(ranked, axis=1) - ranked
        place = (order == self.cause[:, None]).argmax(axis=1)
        return np.asarray(before[np.arange(len(place)), place] < SET)

    @classmethod
    def together(cls, parts: Sequence[Judged]) -> Judged:
        """Put cases of several kinds of evidence together."""
        return cls(
            np.concatenate([part.probability for part in parts]),
            np.concatenate([part.cause for part in parts]),
            np.concatenate([part.tellable for part in parts]),
        )


@dataclass(frozen=True, slots=True)
class Reliability:
    """Probabilities in bins: what was said, what was so, how many; and the mean distance."""

    said: Floats
    true: Floats
    count: Whole
    error: float


def reliability(said: Floats, true: Bools, bins: int = 10) -> Reliability:
    """Compare what was said with what was so, in bins of equal width.

    The expected calibration error is the mean distance of both, each bin weighing its count
    (M. P. Naeini, G. F. Cooper, M. Hauskrecht, AAAI 2015; from memory).
    """
    place = np.minimum((said * bins).astype(int), bins - 1)
    count = np.bincount(place, minlength=bins)
    some = np.where(count > 0, count, 1)
    means = np.bincount(place, said, minlength=bins) / some
    shares = np.bincount(place, true.astype(float), minlength=bins) / some
    error = float((count * np.abs(means - shares)).sum() / max(count.sum(), 1))
    return Reliability(means, shares, count, error)


def judge_causes(
    kind: Kind,
    learnt: Ensemble,
    drawn_from: Ensemble,
    independent: Ensemble,
    prior: Floats,
    *,
    cases: int,
    seed: int,
) -> Judged:
    """Draw failures, judge each by evidence of one kind, and say which were tellable.

    Parameters
    ----------
    kind : Kind
    learnt, drawn_from, independent : Ensemble
        Flights that are learnt from, that failures are drawn from, and those that say which causes
        can be told apart at all; on random streams of their own. Their logs are those of the kind.
    prior : (causes,) array
    cases, seed : int
    """
    dice = np.random.default_rng(seed)
    wrong = np.flatnonzero(drawn_from.truth["good"] < 0.5)
    mass = (prior[drawn_from.cause] * drawn_from.share)[wrong]
    mass = mass / mass.sum()
    # With replacement: left out, a frequent cause would soon have no flights left to draw.
    rows = dice.choice(wrong, size=cases, p=mass)
    heard = _heard(kind, drawn_from, rows, dice)
    patterns, which = np.unique(heard, axis=0, return_inverse=True)
    probability = np.zeros((len(rows), len(prior)))
    for number, pattern in enumerate(patterns):
        evidence = _evidence(kind, pattern)
        mine = np.flatnonzero(which.ravel() == number)
        model = fit_model(_only(rows_of(evidence, _with(learnt, kind), seed)), prior, seed=seed)
        values = _values(evidence, _with(drawn_from, kind), model, seed + 1)[rows[mine]]
        probability[mine] = model.posterior(model.shares(values))
    told = tellable_causes(kind, _with(independent, kind), prior, seed + 2)
    return Judged(probability, drawn_from.cause[rows], told[drawn_from.cause[rows]])


def tellable_causes(kind: Kind, flights: Ensemble, prior: Floats, seed: int) -> Bools:
    """Tell which causes evidence of a kind tells from every other one, (causes,).

    By flights of their own, more than are learnt from: of a cause's own failures the choice
    between it and any one other cause gives the other less than `TELLABLE` on the average. What
    people would have said is drawn, and read as a number.
    """
    dice = np.random.default_rng(seed)
    evidence = Evidence({}, {}, (WENT_WRONG,), kind.measured)
    rows = _only(rows_of(evidence, flights, seed))
    kept = np.flatnonzero(flights.truth["good"] < 0.5)
    words = _heard(kind, flights, kept, dice).astype(float)
    rows = rows.beside([f"word {n}" for n in range(words.shape[1])], words)
    model = fit_model(rows, prior, seed=seed)
    probable = model.posterior(model.forest.unseen())
    found = np.zeros(len(prior), bool)
    for one in np.unique(rows.cause):
        mine = probable[rows.cause == one]
        others = mine / (mine + mine[:, [one]])
        others[:, one] = 0.0
        found[one] = others.mean(axis=0).max() < TELLABLE
    return found


def _with(flights: Ensemble, kind: Kind) -> Ensemble:
    """Leave the logs that this kind of evidence does not have."""
    logs = {name: flights.logs[name] for name in kind.logs}
    return replace(flights, logs=logs)


def _only(rows: Rows) -> Rows:
    """Leave the flights that count."""
    some = rows.weights > 0.0
    return Rows(
        rows.names, rows.values[some], rows.cause[some], rows.flight[some], rows.weights[some]
    )


def _heard(kind: Kind, flights: Ensemble, rows: Whole, dice: np.random.Generator) -> Bools:
    """What people would have said of some flights, (rows, watched)."""
    said = np.zeros((len(rows), len(kind.watched)), bool)
    truth: Mapping[str, Floats] = {name: each[rows] for name, each in flights.truth.items()}
    for number, (what, of, sure) in enumerate(kind.watched):
        seen = dice.random(len(rows)) < seen_chance(what, of, truth)
        said[:, number] = seen ^ (dice.random(len(rows)) > sure)
    return said


def _evidence(kind: Kind, pattern: Bools) -> Evidence:
    words = [
        Said(what, of, bool(yes), sure)
        for (what, of, sure), yes in zip(kind.watched, pattern, strict=True)
    ]
    return Evidence({}, {}, (WENT_WRONG, *words), kind.measured)


def _values(evidence: Evidence, flights: Ensemble, model: Model, seed: int) -> Floats:
    columns = features_of(evidence, flights, seed)
    if not columns:
        return np.zeros((len(flights.cause), 0))
    return np.stack([columns[name] for name in model.rows.names], axis=1)
