"""What speaks for and against each cause: its odds shared out among pieces of evidence.

Shares are those of Shapley: what a piece adds to the logarithm of the odds, averaged over the
orders in which pieces may come (E. Strumbelj, I. Kononenko, Knowledge and Information Systems 41
(2014) 647; from memory). A piece that has not come yet is drawn from flights as they go before
anything but what people said is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.evidence import Evidence, chance_of_words
from loftwright.debrief.causes.flights import Ensemble, Spoken
from loftwright.debrief.causes.model import Model
from loftwright.debrief.causes.people import Said
from loftwright.debrief.causes.results import Argument
from loftwright.debrief.causes.sentences import words_of
from loftwright.debrief.causes.subjects import Speech, Subject

__all__ = ["arguments", "shapley", "word_weights"]

Floats = NDArray[np.float64]

ORDERS, BACKGROUND = 20, 24
MOST = 4  # arguments a side
LEAST, FAINT = 0.08, 0.02  # of log10 odds: of an argument, and of what makes one up
BORNE_OUT = float(np.log(1.5))  # between shares of flights, for a sentence to show a difference
ALIKE = 0.06  # of all flights' ranks on either side: a reading about like the one on record


def shapley(model: Model, values: Floats, subjects: Sequence[Subject], seed: int) -> Floats:
    """Return what each subject adds to the log10 odds of each cause, (subjects, causes).

    Parameters
    ----------
    model : Model
    values : (1, k) array
        Features of the flight.
    subjects : sequence of Subject
    seed : int
    """
    dice = np.random.default_rng(seed)
    rows = model.rows
    mass = model.prior[rows.cause] * rows.weights
    drawn = dice.choice(len(mass), size=BACKGROUND, p=mass / mass.sum())
    own, others = model.bins(values)[:, 0], model.bins(rows.values[drawn])
    column = {name: number for number, name in enumerate(rows.names)}
    places = [np.array([column[name] for name in each.features]) for each in subjects]
    found = np.zeros((len(subjects), len(model.prior)))
    for _ in range(ORDERS):
        order = dice.permutation(len(subjects))
        stages = [others.copy()]
        for subject in order:
            now = stages[-1].copy()
            now[places[subject]] = own[places[subject], None]
            stages.append(now)
        shares = model.forest(np.ascontiguousarray(np.concatenate(stages, axis=1)))
        shares = shares.reshape(len(stages), BACKGROUND, -1).mean(axis=1)
        odds = _log_odds(model.posterior(shares))
        found[order] += np.diff(odds, axis=0)
    return found / ORDERS


def _log_odds(probability: Floats) -> Floats:
    held = np.clip(probability, 1e-6, 1.0 - 1e-6)
    return np.log10(held / (1.0 - held))


def word_weights(said: Sequence[Said], model: Model, flights: Ensemble) -> Floats:
    """Return what each thing that was said adds to the log10 odds of each cause, (said, causes).

    It is compared with nobody having said it, all else that was said standing. Every flight
    counts, also those that the words made so unlikely that nobody recorded them; of what only a
    record tells (the indicator's sound) those that were recorded.
    """
    known = [each for each in said if each.is_known(flights.every.truth)]
    recorded = Spoken(flights.cause, flights.share, flights.truth)
    found = np.zeros((len(said), len(model.prior)))
    for number, each in enumerate(said):
        pool, told = (flights.every, known) if each in known else (recorded, list(said))
        rest = [other for other in told if other is not each]
        with_it, without = (
            _odds_by_words(some, model, pool, flights.flown) for some in (told, rest)
        )
        found[number] = with_it - without
    return found


def _odds_by_words(said: Sequence[Said], model: Model, pool: Spoken, flown: int) -> Floats:
    """Return the log10 odds of each cause, (causes,), by words alone."""
    chance = chance_of_words(tuple(said), pool.truth) * pool.share
    likely = np.bincount(pool.cause, chance, minlength=len(model.prior)) / flown
    mass = model.prior * np.maximum(likely, 0.5 / flown)
    return _log_odds(mass / mass.sum())


def arguments(
    cause: int,
    model: Model,
    values: Floats,
    evidence: Evidence,
    weights: tuple[Sequence[Subject], Floats, Floats],
    speech: Speech,
) -> tuple[tuple[Argument, ...], tuple[Argument, ...]]:
    """Return what speaks most for a cause, and what most against it.

    ``weights`` are subjects with what `shapley` found, and what `word_weights` did.
    """
    subjects, of_records, of_words = weights
    shown = dict(zip(model.rows.names, values[0].tolist(), strict=True))
    found = [
        Argument(said_words(said), float(weight))
        for said, weight in zip(evidence.said, of_words[:, cause], strict=True)
    ]
    told: dict[str, Argument] = {}
    for subject, weight in zip(subjects, of_records[:, cause], strict=True):
        if abs(weight) < FAINT:
            continue
        sentence, when = words_of(subject, shown, speech)
        often = _how_often(cause, model, values, subject, float(np.sign(weight)))
        if (
            not often
        ):  # what it adds comes from others beside it; no sentence about it would be true
            continue
        before = told.get(sentence)
        # Several things that are said alike are one argument.
        if before is not None:
            told[sentence] = replace(before, weight=before.weight + float(weight))
        else:
            told[sentence] = Argument(f"{sentence} {often}", float(weight), subject.lane, when)
    found += told.values()
    found = [each for each in found if abs(each.weight) >= LEAST]
    found.sort(key=lambda each: -abs(each.weight))
    return (
        tuple([each for each in found if each.weight > 0.0][:MOST]),
        tuple([each for each in found if each.weight < 0.0][:MOST]),
    )


def _how_often(cause: int, model: Model, values: Floats, subject: Subject, side: float) -> str:
    """Say how many of the cause's flights show about the same, beside others.

    Of the subject's features that one counts that tells most on the ``side`` of the cause (1) or
    against it (-1); where none does, nothing is said.
    """
    rows, names = model.rows, model.rows.names
    best, own, rest = BORNE_OUT, 1.0, 1.0
    mine = rows.cause == cause
    mass = model.prior[rows.cause] * rows.weights
    if mass[mine].sum() <= 0.0 or mass[~mine].sum() <= 0.0:
        return ""
    for name in subject.features:
        column = rows.values[:, names.index(name)]
        like = _like(column, float(values[0, names.index(name)]))
        share = float(mass[mine & like].sum() / mass[mine].sum())
        other = float(mass[~mine & like].sum() / mass[~mine].sum())
        size = side * float(np.log((share + 0.005) / (other + 0.005)))
        if size > best:
            best, own, rest = size, share, other
    if best <= BORNE_OUT:
        return ""
    return f"{_of_hundred(own)} flights with this cause do about so, {_of_hundred(rest)} others."


def _of_hundred(share: float) -> str:
    if 0.0 < share < 0.005:
        return "1 of 100 or fewer"
    return f"{round(100 * share)} of 100"


def _like(column: Floats, value: float) -> NDArray[np.bool_]:
    """Where a feature is about as on record: near it in rank, or missing as well."""
    if not np.isfinite(value):
        return ~np.isfinite(column)
    good = np.sort(column[np.isfinite(column)])
    if not good.size:
        return np.zeros(len(column), bool)
    place = (np.searchsorted(good, value) + np.searchsorted(good, value, side="right")) / 2.0
    reach = ALIKE * len(good)
    low = good[int(np.clip(place - reach, 0, len(good) - 1))]
    high = good[int(np.clip(place + reach, 0, len(good) - 1))]
    return np.asarray((column >= min(low, value)) & (column <= max(high, value)))


_SAID = {
    "release": ("leave", "left"),
    "canopy open": ("open", "opened"),
    "touchdown": ("come down", "came down"),
    "apogee": ("reach its top", "reached its top"),
    "beep": ("sound", "sounded"),
}


def said_words(said: Said) -> str:
    """Return what somebody said as a sentence."""
    if said.what == "as wanted":
        return "It went as wanted." if said.happened else "It did not go as wanted."
    base, past = _SAID[said.what]
    who = {"canopy open": "the canopy", "beep": "the indicator"}.get(said.what, f"the {said.of}")
    if said.what == "release" and said.of == "vehicle":
        who = "the payload"
    sense = "heard" if said.heard else "seen"
    happened = f"{who} {past}" if said.happened else f"{who} did not {base}"
    return f"{happened[:1].upper()}{happened[1:]}, as {sense}; sure to {100 * said.sure:.3g} %."
