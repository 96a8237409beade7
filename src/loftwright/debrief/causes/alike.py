"""Causes that this evidence cannot tell apart."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.model import Model

__all__ = ["ERROR", "groups_alike", "pair_error"]

Floats = NDArray[np.float64]

ERROR = 0.2  # of a choice between two causes from which on they count as alike (judgement)
RATIO = 4.0  # between their likelihoods for the flight itself, at most


def pair_error(
    one: int, other: int, shares: Floats, causes: NDArray[np.int64], mass: Floats
) -> float:
    """Share of wrong answers in the best choice between two causes, both as likely before.

    Parameters
    ----------
    one, other : int
        The causes.
    shares : (n, causes) array
        What the forest says of flights that it has not seen.
    causes, mass : (n,) arrays
        The causes that made the flights, and how much each flight counts.
    """
    total = 0.0
    for cause in (one, other):
        mine = causes == cause
        if mass[mine].sum() <= 0.0:
            return 0.0
        two = shares[mine][:, [one, other]] + 1e-9
        wrong = two.min(axis=1) / two.sum(axis=1)
        total += float((mass[mine] * wrong).sum() / mass[mine].sum())
    return total / 2.0


def groups_alike(model: Model, values: Floats, causes: Sequence[int]) -> dict[int, int]:
    """Number the groups of causes that evidence like this does not tell apart.

    Flights count as much as they are like this one (leaves shared with it) and as likely as it
    is that people say of them what they said. Causes that stand alone are left out.
    """
    rows = model.rows
    mass = rows.weights * model.forest.nearness(model.bins(values))
    unseen = model.likelihoods(model.forest.unseen())
    here = model.likelihoods(model.shares(values)[0])
    group = {cause: cause for cause in causes}
    for one, other in combinations(causes, 2):
        ratio = max(here[one], here[other]) / max(min(here[one], here[other]), 1e-12)
        if ratio <= RATIO and pair_error(one, other, unseen, rows.cause, mass) >= ERROR:
            first, second = group[one], group[other]
            group = {each: first if of == second else of for each, of in group.items()}
    members = [of for of in dict.fromkeys(group.values()) if [*group.values()].count(of) > 1]
    return {each: members.index(of) + 1 for each, of in group.items() if of in members}
