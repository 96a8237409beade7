"""Reliability so far, function by function, by those flights that still count."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf
from typing import TYPE_CHECKING

from loftwright.ledger.changes import documents_of
from loftwright.ledger.counting import (
    COUNTS,
    Counted,
    Tally,
    changes_against,
    counted,
    tally,
)
from loftwright.ledger.functions import DEPENDS, FUNCTIONS, NOT_KNOWN
from loftwright.ledger.history import Flown, flown_flights
from loftwright.ledger.problems import refused

if TYPE_CHECKING:
    from loftwright.documents.differences import Difference
    from loftwright.ledger.contents import Contents
    from loftwright.ledger.demonstration import MoreFlights

__all__ = ["Asked", "FunctionReliability", "Reliability", "reliability"]

LEVEL = 0.95  # of two-sided intervals, as everywhere in this program


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is wanted, and which flights count.

    The defaults are our judgement: nine in ten, with a confidence of eight in ten, is what sixteen
    flights without a failure show; a flight of another build counts half.
    """

    wanted: float = 0.9
    confidence: float = 0.8
    count: str = "weighted"  # of `loftwright.ledger.counting.COUNTS`
    weight: float = 0.5
    may_fail: int = 0
    prior: tuple[float, float] = (1.0, 1.0)  # beta: worked, failed
    depends: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: DEPENDS)
    functions: tuple[str, ...] = FUNCTIONS
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionReliability:
    """One function: which flights count, what they tell, how many more show what is wanted.

    ``tally`` holds weighted counts. The exact interval knows no weights: ``exact_tally`` are the
    flights that it is of. Intervals are two-sided at `LEVEL`; ``lower`` is exceeded with the
    confidence that was asked for. ``chance_wanted`` is the posterior's, after Jeffreys's prior.
    """

    function: str
    flights: tuple[Counted, ...]
    tally: Tally
    exact_tally: Tally
    exact: tuple[float, float]
    lower: float
    jeffreys: tuple[float, float]
    prior: tuple[float, float]
    chance_wanted: float
    more: MoreFlights

    @property
    def not_known(self) -> tuple[str, ...]:
        """The flights of which it is not known how it went."""
        return tuple(each.flight for each in self.flights if each.outcome == NOT_KNOWN)

    @property
    def is_shown(self) -> bool:
        """Whether the flights that count in full show what is wanted, by the exact test."""
        return self.more.by_formula == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reliability:
    """What was asked, and each function's answer."""

    asked: Asked
    functions: tuple[FunctionReliability, ...]


def reliability(
    ledger: Contents, asked: Asked | None = None, present: Mapping[str, bytes] | None = None
) -> Reliability:
    """Reckon the reliability of each function from the flights in the ledger.

    Parameters
    ----------
    ledger
        An open one.
    asked
        What is wanted and what counts; the defaults of `Asked` when left out.
    present
        The documents of the build that is asked about, by file; those of the campaign's folder
        as they stand when left out.

    Raises
    ------
    ProblemError
        ``ledger-asked`` when a value of ``asked`` cannot be; when the documents do not read.
    """
    asked = asked or Asked()
    _refuse(asked)
    if present is None:
        present = documents_of(ledger.folder)
    flights = tuple(each for each in flown_flights(ledger) if each.has_flown)
    changes = changes_against(flights, present)
    return Reliability(
        asked=asked,
        functions=tuple(_of(name, flights, changes, asked) for name in asked.functions),
    )


def _of(
    function: str,
    flights: tuple[Flown, ...],
    changes: Mapping[str, list[Difference]],
    asked: Asked,
) -> FunctionReliability:
    from loftwright.ledger.demonstration import (
        JEFFREYS,
        Prior,
        beta_interval,
        chance_above,
        flights_needed,
    )
    from loftwright.rehearsal.chances import clopper_pearson, lower_bound

    own = tuple(
        counted(function, flights, changes, asked.depends[function], asked.count, asked.weight)
    )
    weighted = tally(own)
    full = tally(own, same_only=asked.count != "all", weighted=False)
    worked, flown = round(full.worked), round(full.flights)
    return FunctionReliability(
        function=function,
        flights=own,
        tally=weighted,
        exact_tally=full,
        exact=clopper_pearson(worked, flown, LEVEL),
        lower=lower_bound(worked, flown, asked.confidence),
        jeffreys=beta_interval(weighted.worked, weighted.flights, LEVEL, JEFFREYS),
        prior=beta_interval(weighted.worked, weighted.flights, LEVEL, Prior(*asked.prior)),
        chance_wanted=chance_above(asked.wanted, weighted.worked, weighted.flights),
        more=flights_needed(
            asked.wanted,
            asked.confidence,
            flown,
            flown - worked,
            asked.may_fail,
            (weighted.worked, weighted.flights),
            asked.seed,
        ),
    )


def _refuse(asked: Asked) -> None:
    """Refuse what cannot be asked."""
    for what, value in (("the wanted reliability", asked.wanted), ("the confidence",
                                                                    asked.confidence)):  # fmt: skip
        if not 0.0 < value < 1.0:
            raise refused("ledger-asked", f"{what} is not between 0 and 1", "e.g. 0.9, or 90 %")
    if not 0.0 <= asked.weight <= 1.0:
        message = "the weight of a flight of another build is not from 0 to 1"
        raise refused("ledger-asked", message, "0 leaves it out, 1 counts it in full")
    if not all(0.0 < each < inf for each in asked.prior):
        message = "a prior needs two numbers above 0"
        raise refused("ledger-asked", message, "e.g. 1,1: as if one had worked and one failed")
    if asked.may_fail < 0 or asked.count not in COUNTS:
        message = "flights cannot be counted so"
        raise refused("ledger-asked", message, f"count {', '.join(COUNTS)}; failures from 0 on")
    for name in asked.functions:
        if name not in asked.depends:
            message = f"there is no function {name!r}"
            raise refused("ledger-asked", message, f"there are: {', '.join(FUNCTIONS)}")
