"""Words beside a line: pushed apart just as far as they must be."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["push_apart"]


def push_apart(wanted: Sequence[float], height: float, low: float, high: float) -> list[float]:
    """Return places near ``wanted``, in the same order, at least ``height`` apart.

    Places stay within ``low..high`` when they fit there at all; when they do not, they start at
    ``low`` and run over ``high``.
    """
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    groups: list[tuple[float, list[int]]] = []  # middle of a block, its members
    for k in order:
        middle, members = wanted[k], [k]
        while groups and groups[-1][0] + height * len(groups[-1][1]) / 2 > (
            middle - height * len(members) / 2
        ):
            _, before = groups.pop()
            members = before + members
            middle = sum(wanted[m] for m in members) / len(members)
        groups.append((middle, members))
    places = [0.0] * len(wanted)
    for middle, members in groups:
        for row, k in enumerate(members):
            places[k] = middle + height * (row - (len(members) - 1) / 2)
    return _inside(places, order, height, low, high)


def _inside(
    places: list[float], order: list[int], height: float, low: float, high: float
) -> list[float]:
    limit = high
    for k in reversed(order):
        places[k] = min(places[k], limit)
        limit = places[k] - height
    limit = low
    for k in order:
        places[k] = max(places[k], limit)
        limit = places[k] + height
    return places
