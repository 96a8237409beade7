"""Which flights still count for a function, and by how much, after the build has changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from loftwright.documents.differences import Difference
from loftwright.ledger.changes import changes_between, is_spread_only, read_build
from loftwright.ledger.functions import FAILED, NOT_KNOWN, NOT_TRIED, WORKED, depends_on
from loftwright.ledger.history import Flown

__all__ = [
    "COUNTS",
    "Counted",
    "Tally",
    "changes_against",
    "changes_that_count",
    "counted",
    "tally",
]

# How flights of another build count: not at all, by a weight, in full.
COUNTS = ("same", "weighted", "all")


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """A flight as it counts for one function.

    ``changes`` are the paths of what differs in what the function depends on, between this flight's
    build and the one that is asked about; None where the flight's build is not known. ``weight`` is
    0 for a flight that does not count.
    """

    flight: str
    title: str
    outcome: str
    says: str
    changes: tuple[str, ...] | None
    weight: float

    @property
    def is_same(self) -> bool:
        """Whether it flew what is asked about, as far as the function depends on it."""
        return self.changes == ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Flights in which a function was tried, and those in which it worked; weights make shares."""

    worked: float
    flights: float

    @property
    def failed(self) -> float:
        """Flights in which it failed."""
        return self.flights - self.worked


def counted(
    function: str,
    flights: Iterable[Flown],
    changes: Mapping[str, Iterable[Difference]],
    depends: Iterable[str],
    count: str,
    weight: float,
) -> Iterator[Counted]:
    """Yield every flight as it counts for ``function`` of the build that is asked about.

    Parameters
    ----------
    function
        Of `loftwright.ledger.functions.FUNCTIONS`.
    flights
        In the order in which they are to be told.
    changes
        What differs between each build that flew and that one, as `changes_against` makes it.
    depends
        What the function depends on: patterns as in `loftwright.ledger.functions.DEPENDS`.
    count
        Of `COUNTS`.
    weight
        What a flight of another build counts with, from 0 to 1, when they are ``"weighted"``.
    """
    patterns = tuple(depends)
    known = {
        build: tuple(change.path for change in changes_that_count(found, patterns))
        for build, found in changes.items()
    }
    for each in flights:
        outcome = each.outcomes[function]
        own_changes = None if each.entry.build is None else known[each.entry.build]
        own = 1.0 if own_changes == () else {"same": 0.0, "weighted": weight, "all": 1.0}[count]
        yield Counted(
            flight=each.entry.name,
            title=each.entry.title,
            outcome=outcome.outcome,
            says=outcome.says,
            changes=own_changes,
            weight=0.0 if outcome.outcome in (NOT_TRIED, NOT_KNOWN) else own,
        )


def changes_against(
    flights: Iterable[Flown], present: Mapping[str, bytes]
) -> dict[str, list[Difference]]:
    """Return what differs between each build that flew and the documents of ``present``."""
    now = read_build(present)
    builds = {each.entry.build: each.documents for each in flights if each.entry.build is not None}
    return {name: changes_between(read_build(each), now) for name, each in builds.items()}


def changes_that_count(found: Iterable[Difference], depends: Iterable[str]) -> list[Difference]:
    """Return those changes that a function depends on; a value known better is no change."""
    patterns = tuple(depends)
    return [
        change
        for change in found
        if depends_on(change.path, patterns) and not is_spread_only(change)
    ]


def tally(flights: Iterable[Counted], *, same_only: bool = False, weighted: bool = True) -> Tally:
    """Count flights: all that have a weight, with it or each as one; or those of the same build."""
    worked = total = 0.0
    for each in flights:
        if each.outcome not in (WORKED, FAILED) or (same_only and not each.is_same):
            continue
        own = each.weight if weighted else float(each.weight > 0.0)
        total += own
        worked += own if each.outcome == WORKED else 0.0
    return Tally(worked=worked, flights=total)
