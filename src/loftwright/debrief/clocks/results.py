"""One clock for a flight: who told which moment when, and what each clock says of flight time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from loftwright.debrief.results import Estimate

__all__ = ["ClockPrior", "Clocks", "SolvedClock", "Telling", "Told", "Untied"]

NINE_IN_TEN = 1.6448536  # standard deviations to either side

Moment = tuple[str, str]  # an event, and of which body


@dataclass(frozen=True, slots=True)
class Telling:
    """A clock tells a moment: ``event`` of the body ``of`` at ``time`` by it, give or take ``sd``.

    ``sure`` is the chance that it is this event that was told.
    """

    clock: str
    event: str
    of: str
    time: float  # s, by that clock
    sd: float  # s, above 0
    sure: float = 1.0

    @property
    def moment(self) -> Moment:
        """What was told."""
        return self.event, self.of


@dataclass(frozen=True, slots=True)
class ClockPrior:
    """What is held of a clock before it is compared: how far its rate may be off, as a share."""

    drift_sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedClock:
    """A clock that was tied to flight time.

    Flight time is ``offset + (1 + drift) (t - at)`` at its reading ``t``. ``drift_solved`` tells
    whether the comparison informed the drift; else it is what was held before.
    """

    clock: str
    at: float  # s, by the clock: the reading that the offset holds for
    offset: float  # s from first motion
    offset_sd: float
    drift: float  # of a second each second
    drift_sd: float
    correlation: float  # of offset and drift
    ties: int
    drift_solved: bool


@dataclass(frozen=True, slots=True)
class Untied:
    """A clock that nothing ties to the flight; ``why`` is a sentence without its full stop."""

    clock: str
    why: str


@dataclass(frozen=True, slots=True)
class Told:
    """A telling beside the solution.

    ``residual`` is by how much it came later than all others together say [s], ``test`` the same
    in its own standard deviations; both NaN where nothing else tells that moment. ``used`` is
    False where it was left out.
    """

    telling: Telling
    residual: float
    test: float
    used: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks:
    """All clocks of a flight on one: seconds from first motion by the reference's second.

    ``chance`` is that of residuals at least as large if all uncertainties are right (chi-square
    with ``freedom`` degrees); 1 where nothing is told twice. ``widened`` is the factor by which
    what several tell was taken less sure because of it; what only the reference tells was not.
    """

    reference: str
    clocks: Mapping[str, SolvedClock]
    untied: tuple[Untied, ...]
    moments: Mapping[Moment, Estimate]  # s from first motion, by all who tell them
    told: tuple[Told, ...]
    chi_square: float
    freedom: int
    chance: float
    widened: float = 1.0

    def to_flight(self, clock: str, time: float, sd: float = 0.0) -> Estimate | None:
        """Return a reading of a clock as flight time; None of a clock that is not tied.

        ``sd`` is that of the reading itself, to be added.
        """
        known = self.clocks.get(clock)
        if known is None:
            return None
        since = time - known.at
        variance = (
            known.offset_sd**2
            + (since * known.drift_sd) ** 2
            + 2.0 * since * known.correlation * known.offset_sd * known.drift_sd
            + sd**2
        )
        value = known.offset + (1.0 + known.drift) * since
        spread = sqrt(max(variance, 0.0))
        return Estimate(value, spread, value - NINE_IN_TEN * spread, value + NINE_IN_TEN * spread)

    def outliers(self) -> tuple[Told, ...]:
        """Return the tellings that were left out because all others contradict them."""
        return tuple(each for each in self.told if not each.used)
