"""Closing the loop: what the programs decide changes what flies, which changes what they sense.

The push of every flight is flown once. Then, round by round, all cases listen to the flights as
they have gone so far; the first thing that each does is made part of its flight, and it listens
again to what follows. Cases that did the same in a flight share that flight from there on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.branches import Acts

__all__ = ["Branches", "Settled", "acts_of", "settle", "unique"]

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


class Branches(NamedTuple):
    """Flights that differ: which ascent each goes on from, which flight of it, and its acts."""

    group: Whole  # (u,) number of an ascent
    flight: Whole  # (u,)
    acts: Floats  # (u, things) s, NaN for never


class Settled(NamedTuple):
    """What every case did in every flight, and the flights that this comes to.

    ``which`` tells for every case and flight, (cases, flights), which of ``branches`` it flew.
    """

    branches: Branches
    which: Whole


# Given branches with their flown vehicles, and pairs of case, flight and branch, when each thing is
# let go (pairs, things): the programs at work.
Listen = Callable[[Branches, Whole, Whole, Whole], Floats]


def acts_of(things: Sequence[str], items: dict[str, int], times: Floats) -> Acts:
    """Return columns of times, one a thing, as the engine takes them.

    ``items`` gives the number of each payload among what the vehicle carries.
    """
    columns = dict(zip(things, times.T, strict=True))
    return Acts(
        {items[thing]: column for thing, column in columns.items() if thing in items},
        columns.get("canopy"),
    )


def unique(group: Whole, flight: Whole, acts: Floats) -> tuple[Branches, Whole]:
    """Return the branches that differ, ordered, and which of them each row is."""
    rows = np.column_stack([group.astype(float), flight.astype(float), acts])
    # Times are compared bit by bit: what is never (not-a-number) equals itself.
    keys = np.ascontiguousarray(rows).view(np.dtype((np.void, rows.itemsize * rows.shape[1])))
    _, first, which = np.unique(keys.ravel(), return_index=True, return_inverse=True)
    # np.unique sorts by bytes; in the order of group and flight the engine's work stays together.
    order = np.lexsort((flight[first], group[first]))
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    chosen = first[order]
    return Branches(group[chosen], flight[chosen], acts[chosen]), place[which.ravel()]


def settle(groups: Whole, flights: int, things: int, listen: Listen) -> Settled:
    """Find out what every case does in every flight.

    Parameters
    ----------
    groups : (cases,) array of int
        Ascent that each case's flights begin with.
    flights, things : int
        Flights of the block; things that programs let go or open.
    listen : callable
        See ``Listen``; times before first motion are negative.
    """
    cases = len(groups)
    acts = np.full((cases, flights, things), np.nan)
    pending = np.ones((cases, flights), bool)
    for _ in range(things):
        case, flight = np.nonzero(pending)
        if not len(case):
            break
        branches, which = unique(groups[case], flight, acts[case, flight])
        heard = listen(branches, case, flight, which)
        known = acts[case, flight]
        coming = np.where(np.isnan(known) & ~np.isnan(heard), heard, np.inf)
        thing = np.argmin(coming, axis=1)
        when = coming[np.arange(len(case)), thing]
        acts[case, flight, thing] = np.where(
            np.isfinite(when), when, known[np.arange(len(case)), thing]
        )
        # What lets go before first motion is seen on the pad, and nothing is launched.
        goes_on = np.isfinite(when) & (when >= 0.0)
        pending[case, flight] = goes_on
    everyone = np.indices((cases, flights)).reshape(2, -1)
    branches, which = unique(
        groups[everyone[0]], everyone[1], acts.reshape(cases * flights, things)
    )
    return Settled(branches, which.reshape(cases, flights))
