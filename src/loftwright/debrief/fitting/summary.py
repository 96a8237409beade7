"""A posterior of flights as what each field was and is, and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.joint import FIRST_MOTION, Joint, Number
from loftwright.debrief.fitting.posterior import Posterior
from loftwright.debrief.fitting.results import Combination, Informed
from loftwright.debrief.results import Estimate

__all__ = ["INFORMED", "field_words", "informed_fields", "overlap", "together"]

Floats = NDArray[np.float64]

INFORMED = 0.2  # share of the variance that has to go before a record is said to tell anything
TIED = 0.3  # correlation from which two fields are said to go together
MOST_TIED = 4
LOOKED_AT = 0.02  # share of the variance below which a field is not worth a pair
STEPS = 65  # of the part of a number that no draw moves
STRONG = 1.0  # information of a direction in which the record says as much as the documents
PART = 0.25  # weight from which a field is named in a combination
MOST_NAMED = 5
MOST_TOGETHER = 3


@dataclass(frozen=True, slots=True)
class _Side:
    """Values (m,) with weights that sum to one."""

    values: Floats
    weights: Floats

    def estimate(self) -> Estimate:
        mean = float(self.weights @ self.values)
        sd = float(np.sqrt(self.weights @ np.square(self.values - mean)))
        order = np.argsort(self.values)
        places = np.cumsum(self.weights[order]) - 0.5 * self.weights[order]
        low, high = np.interp((0.05, 0.95), places, self.values[order])
        return Estimate(mean, sd, float(low), float(high))


def field_words(path: str) -> str:
    """Return what a field is called: "flow coefficient of the nozzle"."""
    root, *rest = path.split(".")
    name = rest[-1].replace("_", " ") if rest else root
    steps = [root if root != "vehicle" else "", *rest[:-1]]
    of: list[str] = []
    for step in steps:
        if step.isdigit():
            of[-1] = f"{of[-1]} {int(step) + 1}"
        elif step and step not in ("avionics", "site"):
            of.append(step)
    return f"{name} of the {' '.join(of)}" if of else name


def informed_fields(
    joint: Joint, posterior: Posterior, every: Sequence[Number], names: Sequence[str]
) -> tuple[list[Informed], Floats]:
    """Return each field before and after the records, most informed first, and correlations.

    ``every`` are all numbers that the fit began with; those that act on nothing measured keep
    their prior. ``names`` are the flights'.
    """
    steps = _steps()
    place = {number: i for i, number in enumerate(joint.numbers)}
    size = len(every)
    covariance = np.eye(size)
    known = [i for i, number in enumerate(every) if number in place]
    rows = [place[every[i]] for i in known]
    covariance[np.ix_(known, known)] = posterior.covariance[np.ix_(rows, rows)]
    deviation = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(deviation, deviation)
    found: list[Informed] = []
    kept = [i for i, number in enumerate(every) if number.path != FIRST_MOTION]
    for i in kept:
        number = every[i]
        model = joint.models[number.flight or 0]
        if number.path not in model.priors:
            model = next(each for each in joint.models if number.path in each.priors)
        turn = model.priors[number.path].at
        prior = _Side(turn(steps), np.full(len(steps), 1.0 / len(steps)))
        after = prior
        if number in place:
            values, weights = _spread(posterior, place[number], steps)
            after = _Side(turn(values), weights)
        found.append(_informed(number, names, prior.estimate(), after.estimate()))
    order = sorted(range(len(found)), key=lambda k: -found[k].learnt)
    rows = [kept[k] for k in order]
    fields = [found[k] for k in order]
    correlation = correlation[np.ix_(rows, rows)]
    return _paired(fields, correlation), correlation


def _steps() -> Floats:
    from scipy.special import ndtri

    steps: Floats = ndtri((np.arange(STEPS) + 0.5) / STEPS)
    steps /= steps.std()
    return steps


def _spread(posterior: Posterior, row: int, steps: Floats) -> tuple[Floats, Floats]:
    """Return values of one number under the posterior, with their weights.

    The draws move a part of it; the rest, of which the record says nothing, is normal still.
    """
    basis = posterior.basis[row]
    along = posterior.active @ basis
    beside = np.sqrt(max(1.0 - float(basis @ basis), 0.0))
    values = along[:, None] + beside * steps[None, :]
    weights = np.repeat(posterior.weights / len(steps), len(steps))
    return values.ravel(), weights


def _informed(number: Number, names: Sequence[str], prior: Estimate, after: Estimate) -> Informed:
    learnt = max(0.0, 1.0 - (after.sd / prior.sd) ** 2) if prior.sd > 0.0 else 0.0
    alike = overlap(prior, after)
    flight = "" if number.flight is None or len(names) == 1 else names[number.flight]
    is_informed = learnt >= INFORMED
    return Informed(
        path=number.path,
        words=field_words(number.path),
        prior=prior,
        posterior=after,
        learnt=learnt,
        informed=is_informed,
        flight=flight,
        overlap=alike,
        says=_says(learnt, alike, prior, after),
    )


def _says(learnt: float, alike: float, prior: Estimate, after: Estimate) -> str:
    away = (after.value - prior.value) / prior.sd if prior.sd > 0.0 else 0.0
    if learnt < INFORMED:
        return "the records hardly inform it: it stays about what the documents say"
    moved = f", and moved it by {abs(away):.1f} standard deviations of what was known"
    return (
        f"the records took {100.0 * learnt:.0f} % of its variance"
        f"{moved if abs(away) > 0.5 else ''}; before and after have {100.0 * alike:.0f} % in common"
    )


def overlap(one: Estimate, other: Estimate) -> float:
    """Return what two normal distributions have in common, 1 where they are the same.

    E. S. Garrett, S. L. Zeger, Biometrics 56 (2000) 1055 (from memory): an overlap of prior and
    posterior above a third speaks of weak identifiability.
    """
    if one.sd <= 0.0 or other.sd <= 0.0 or one == other:
        return 1.0
    low = min(each.value - 6.0 * each.sd for each in (one, other))
    high = max(each.value + 6.0 * each.sd for each in (one, other))
    grid = np.linspace(low, high, 2001)
    densities = [
        np.exp(-0.5 * ((grid - each.value) / each.sd) ** 2) / each.sd for each in (one, other)
    ]
    least = np.minimum(*densities)
    return float(np.clip(np.trapezoid(least, grid) / np.sqrt(2.0 * np.pi), 0.0, 1.0))


def _paired(fields: Sequence[Informed], correlation: Floats) -> list[Informed]:
    """Name for each field those that it goes with."""
    from dataclasses import replace

    found = []
    for i, each in enumerate(fields):
        pairs = [
            (_called(fields[j]), float(correlation[i, j]))
            for j in range(len(fields))
            if j != i and abs(correlation[i, j]) >= TIED and fields[j].learnt > LOOKED_AT
        ]
        pairs.sort(key=lambda pair: -abs(pair[1]))
        found.append(replace(each, goes_with=tuple(pairs[:MOST_TIED])))
    return found


def _called(field: Informed) -> str:
    return f"{field.path} ({field.flight})" if field.flight else field.path


def together(joint: Joint, posterior: Posterior, names: Sequence[str]) -> tuple[Combination, ...]:
    """Return which combinations of fields the records fix, where no field stands alone in it.

    They are the eigenvectors of the information in the prior's own units, strongest first.
    """
    several = len(names) > 1
    found = []
    for column, strength in zip(posterior.basis.T, posterior.strength, strict=True):
        if strength < STRONG:
            break
        parts: Mapping[str, float] = {
            _short(number, names, several): float(weight)
            for number, weight in zip(joint.numbers, column, strict=True)
            if abs(weight) >= PART and number.path != FIRST_MOTION
        }
        if len(parts) < 2:
            continue
        order = sorted(parts, key=lambda name: -abs(parts[name]))[:MOST_NAMED]
        sign = 1.0 if parts[order[0]] > 0.0 else -1.0
        plus = tuple(name for name in order if sign * parts[name] > 0.0)
        minus = tuple(name for name in order if sign * parts[name] <= 0.0)
        left = float(1.0 / np.sqrt(1.0 + strength))
        found.append(Combination(plus=plus, minus=minus, left=left))
    return tuple(found[:MOST_TOGETHER])


def _short(number: Number, names: Sequence[str], several: bool) -> str:
    if not several or number.flight is None:
        return number.path
    return f"{number.path} ({names[number.flight]})"
