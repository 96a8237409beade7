"""Which faults a rehearsal tries: by name, each at every part, and two at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from loftwright.documents.flatten import flatten
from loftwright.errors import Problem, ProblemError, Where
from loftwright.instruments.cases import Happening, happenings, scene_of
from loftwright.rehearsal.plan import Plan

__all__ = ["chosen", "fault_name", "known_happenings", "named", "pairs_of"]


def known_happenings(plan: Plan) -> list[Happening]:
    """Return every fault of the library at every part of a campaign."""
    values, _, words = flatten(plan.campaign)
    return happenings(plan.campaign, scene_of(plan.campaign, values, words, plan.seed, 0, 1))


def fault_name(happening: Happening) -> str:
    """Return how a fault at a part is called in tables."""
    fault, part = happening.fault.name, happening.part
    return fault if part.kind == part.name else f"{fault}: {part.name}"


def chosen(known: Sequence[Happening], faults: str) -> list[Happening]:
    """Return those that ``faults`` asks for: "all", "none", or names between commas.

    A name is that of a fault, at all its parts, or of a fault at one part as tables have it.

    Raises
    ------
    ProblemError
        For a name that no fault of this campaign has.
    """
    if faults.strip() in ("all", "none"):
        return list(known) if faults.strip() == "all" else []
    names = [name.strip() for name in faults.split(",") if name.strip()]
    missing = [name for name in names if not any(_is_called(each, name) for each in known)]
    if missing or not names:
        raise ProblemError(_unknown(name, known) for name in missing or [faults])
    return [each for each in known if any(_is_called(each, name) for name in names)]


def _is_called(each: Happening, name: str) -> bool:
    return name in (each.fault.name, fault_name(each))


def named(known: Sequence[Happening], case: str) -> list[Happening]:
    """Return what happens in a case that is called as tables call it: one fault, or two.

    Raises
    ------
    ProblemError
        For a name that no case has; a fault that has several parts is called with one of them.
    """
    faults = {fault_name(each): each for each in known}
    if case in faults:
        return [faults[case]]
    first, _, second = case.partition(" and ")
    while second:
        if first in faults and second in faults and first != second:
            return [faults[first], faults[second]]
        more, _, second = second.partition(" and ")
        first = f"{first} and {more}"
    raise ProblemError([_unknown(case, known, "--watch", list(faults))])


def _unknown(
    name: str, known: Sequence[Happening], field: str = "--faults", names: list[str] | None = None
) -> Problem:
    from difflib import get_close_matches

    names = names or list(dict.fromkeys(each.fault.name for each in known))
    near = get_close_matches(name, names, n=1, cutoff=0.5)
    mend = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(names)}"
    where = Where(field=field, value=name)
    return Problem("rehearse-unknown-fault", f"no fault here is called {name[:60]!r}", where, mend)


def pairs_of(single: Sequence[Happening]) -> Iterator[tuple[Happening, Happening]]:
    """Yield every two faults that can happen together."""
    yield from combinations(single, 2)
