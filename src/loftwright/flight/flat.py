"""Reading the flat mapping of document paths that a campaign becomes.

``values`` maps paths such as ``"vehicle.fins.1.span"`` to SI floats; ``words`` maps the paths of
choices and whole numbers to what stands there. In an ensemble a value may be an array ``(n,)``:
whatever is computed from it with plain arithmetic then holds all flights at once. The functions
of this room that turn values into numbers keep to that: no ``math``, no branching on a value.
Laws that need ``math`` are called through `each`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

__all__ = ["each", "larger", "rows", "smaller"]

T = TypeVar("T")


def rows(flat: Mapping[str, T], table: str) -> list[dict[str, T]]:
    """Return the rows of a list of tables: ``rows(values, "vehicle.part")[0]["mass"]``.

    Rows stand in the order of the document; a row without any entry in ``flat`` is not listed.
    """
    found: dict[int, dict[str, T]] = {}
    prefix = table + "."
    for path, value in flat.items():
        if path.startswith(prefix):
            index, _, name = path[len(prefix) :].partition(".")
            found.setdefault(int(index), {})[name] = value
    return [found[index] for index in sorted(found)]


def larger(a: float, b: float) -> float:
    """Return the larger of two numbers, element by element for arrays."""
    return (a + b + abs(a - b)) / 2


def smaller(a: float, b: float) -> float:
    """Return the smaller of two numbers, element by element for arrays."""
    return (a + b - abs(a - b)) / 2


def each(law: Callable[..., float], *arguments: Any) -> Any:
    """Apply ``law`` to the arguments, element by element where an argument is an array.

    A float comes back for floats; NumPy is only touched when it is already in use.
    """
    if not any(getattr(argument, "shape", ()) for argument in arguments):
        return law(*arguments)
    from numpy import vectorize

    return vectorize(law, otypes=[float])(*arguments)
