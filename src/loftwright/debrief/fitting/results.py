"""What is told of a model fitted to recorded flights."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.debrief.results import Estimate

__all__ = ["Combination", "FlightFit", "Informed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Informed:
    """One field of the documents before and after the records, SI.

    ``learnt`` is the share of its prior variance that the records took away; ``informed`` whether
    that is enough to say that they tell anything of it. ``goes_with`` names fields that it cannot
    be told from, with the posterior correlation. ``flight`` is the flight whose own it is, empty
    where all flights share it; ``overlap`` what prior and posterior have in common, 1 for all.
    """

    path: str  # "vehicle.aero.drag_scale" ...
    words: str
    prior: Estimate
    posterior: Estimate
    learnt: float
    informed: bool
    goes_with: tuple[tuple[str, float], ...] = ()
    says: str = ""
    flight: str = ""
    overlap: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Combination:
    """Fields that are known together: the sum of ``plus`` less that of ``minus``, each in its sd.

    They are paths, with the flight in brackets where there are several. ``left`` is the share of
    the combination's spread that the records leave.
    """

    plus: tuple[str, ...]
    minus: tuple[str, ...]
    left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightFit:
    """A fit to one flight or to several together.

    ``together`` names combinations of fields that are known while none of them is alone; ``logs``
    are the SHA-256 of the flights' logs, empty where there was none.
    """

    flights: tuple[str, ...]
    fields: tuple[Informed, ...]  # what was asked of the records, most informed first
    correlation: tuple[tuple[float, ...], ...]  # of the posterior, in the order of ``fields``
    misfit: float  # reduced chi-square of the posterior median's flight
    used: tuple[str, ...]  # what of each record counted, in words
    warnings: tuple[str, ...]
    seed: int
    together: tuple[Combination, ...] = ()
    logs: tuple[str, ...] = ()
