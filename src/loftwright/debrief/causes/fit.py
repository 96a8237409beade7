"""Whether any cause makes evidence like this at all.

Two things are looked at: how far the nearest simulated flights lie, over all features together, and
whether some single feature lies outside of all that was simulated. Both are held against what the
same is for simulated flights of the causes in question, left out in turn: a posterior predictive
check (A. Gelman, X.-L. Meng, H. Stern, Statistica Sinica 6 (1996) 733; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.model import Model
from loftwright.debrief.causes.sentences import words_of
from loftwright.debrief.causes.subjects import Speech, subjects_of

__all__ = ["fit_of"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

REFERENCES = 300
AGAINST = 3000
NEAREST = 5
LEAST = 0.005  # chance of evidence further out, under which no cause makes it
# Where flights are too few to count such a small chance by: how many times the farthest outside of
# the others, or of the 5 to 95 % range; and how many robust standard deviations away (judgement).
FAR_OUT, RANGE, LONELY = 3.0, 0.5, 10.0
MISSING = 1.5  # distance between a reading and none, in 5 to 95 % ranges


def fit_of(model: Model, values: Floats, causes: Whole, speech: Speech) -> tuple[bool, str]:
    """Tell whether the causes make evidence like this, and say so."""
    rows, dice = model.rows, np.random.default_rng(len(model.rows.cause))
    if not rows.names:
        return True, "Nothing but words is on record, which any of these causes allows."
    mass = model.posterior(model.shares(values)[0])[rows.cause] * rows.weights
    mass = np.where(np.isin(rows.cause, causes), mass, 0.0)
    if mass.sum() <= 0.0:
        return False, "No flight of any cause agrees with what was said."
    size = min(REFERENCES, int((mass > 0.0).sum()))
    chosen = dice.choice(len(mass), size=size, replace=False, p=mass / mass.sum())
    others = dice.permutation(len(mass))[:AGAINST]
    others = np.union1d(others, np.flatnonzero(np.isin(rows.cause, causes)))
    scaled, own = _scaled(rows.values, values)
    far = _distances(scaled[chosen], scaled[others], rows.flight[chosen], rows.flight[others])
    mine = _distances(own, scaled[others], np.array([-1]), rows.flight[others])[0]
    out = np.array(
        [_outside(scaled[n], scaled, rows.flight != rows.flight[n]).max() for n in chosen]
    )
    beyond = _outside(own[0], scaled, np.ones(len(scaled), bool))
    together = (1 + (far >= mine).sum()) / (1 + size)
    alone = (1 + (out >= beyond.max()).sum()) / (1 + size)
    strays = beyond.max() > FAR_OUT * max(out.max(), RANGE)
    if together >= LEAST and alone >= LEAST and not strays and not _is_lonely(mine, far):
        share = round(100 * min(together, 1.0))
        return (
            True,
            f"{share} of 100 flights of these causes lie further from all others than this.",
        )
    name = rows.names[int(beyond.argmax())]
    subject = next(each for each in subjects_of(rows.names) if name in each.features)
    said, _ = words_of(subject, dict(zip(rows.names, values[0].tolist(), strict=True)), speech)
    lead = "None of the causes in the library makes this record."
    if beyond.max() > 0.0:
        return False, f"{lead} What lies outside of all that was flown: {said}"
    return False, f"{lead} Each thing by itself has been seen, all together never."


def _is_lonely(mine: float, far: Floats) -> bool:
    """Whether the distance stands out of all the others', where those are too few to count by."""
    middle = float(np.median(far))
    usual = float(np.median(np.abs(far - middle)))
    return bool(mine > max(far.max(), middle + LONELY * 1.4826 * usual))


def _scaled(values: Floats, own: Floats) -> tuple[Floats, Floats]:
    """Scale features by their 5 to 95 % range; what hardly varies by its own size."""
    with np.errstate(invalid="ignore"):
        size = np.ones(values.shape[1])
        for column in range(values.shape[1]):
            good = values[np.isfinite(values[:, column]), column]
            if good.size:
                low, high = np.quantile(good, (0.05, 0.95))
                spread = max(high - low, 0.5 * (good.max() - good.min()))
                size[column] = spread if spread > 0.0 else max(1e-3 * abs(high), 1e-6)
    return values / size, own / size


def _distances(some: Floats, others: Floats, flight: Whole, flights: Whole) -> Floats:
    """Mean distance over features to the nearest few, other flights' only, (n,)."""
    found = np.empty(len(some))
    for number, one in enumerate(some):
        gap = np.minimum(np.abs(others - one), MISSING)
        either = np.isfinite(others) ^ np.isfinite(one)
        gap = np.where(either, MISSING, np.nan_to_num(gap)).mean(axis=1)
        gap[flights == flight[number]] = np.inf
        found[number] = np.partition(gap, NEAREST)[:NEAREST].mean()
    return found


def _outside(one: Floats, others: Floats, allowed: NDArray[np.bool_]) -> Floats:
    """How far each feature lies outside of what the others have, (k,); 0 within."""
    there = np.where(allowed[:, None] & np.isfinite(others), others, np.nan)
    known = np.isfinite(there).any(axis=0)
    low = np.where(known, np.nanmin(np.where(known, there, 0.0), axis=0), np.inf)
    high = np.where(known, np.nanmax(np.where(known, there, 0.0), axis=0), -np.inf)
    beyond = np.maximum(low - one, one - high)
    found = np.where(known, np.maximum(beyond, 0.0), MISSING)
    return np.where(np.isfinite(one), found, 0.0)
