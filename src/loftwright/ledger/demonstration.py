"""How many more flights show a wanted reliability: by the formula, by simulation, after a prior."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "JEFFREYS",
    "MoreFlights",
    "Prior",
    "beta_interval",
    "chance_above",
    "chance_to_pass",
    "flights_needed",
    "simulated",
]

RUNS = 200_000  # made-up tests of a simulation
MOST = 100_000  # flights; nobody flies more to show anything


@dataclass(frozen=True, slots=True)
class Prior:
    """A beta distribution: as if so many flights had worked, and so many failed, before any."""

    worked: float
    failed: float


JEFFREYS = Prior(0.5, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreFlights:
    """Flights that are still to be flown, with no more than ``may_fail`` failures among them.

    ``by_formula`` is by the binomial test, ``by_simulation`` by playing that test through;
    ``by_posterior`` by the posterior when all that come work, None where more than `MOST` are
    needed. ``chance`` is that of passing the test of the formula, for all that is known now.
    """

    total: int  # of the test: flown so far and still to be flown
    by_formula: int
    by_simulation: int
    by_posterior: int | None
    may_fail: int
    chance: float


def beta_interval(
    worked: float, flights: float, level: float, prior: Prior = JEFFREYS
) -> tuple[float, float]:
    """Return the equal-tailed interval of a reliability, of weighted flights too.

    With weights this is the posterior of a power prior. After Jeffreys's prior, the outer end at
    none and at all is 0 and 1, as in `loftwright.rehearsal.chances.jeffreys`.

    Raises
    ------
    ValueError
        When ``worked`` is not within 0 to ``flights``, or ``level`` not between 0 and 1.

    References
    ----------
    J. G. Ibrahim and M.-H. Chen, "Power prior distributions for regression models", *Statistical
    Science* 15(1), 2000, 46-60: the likelihood of earlier data is raised to a power from 0 to 1;
    of a binomial likelihood that multiplies its counts (from memory).
    """
    from scipy.special import betaincinv

    if not (0.0 <= worked <= flights and 0.0 < level < 1.0):
        raise ValueError("no more can have worked than flew, and a level lies between 0 and 1")
    a, b = prior.worked + worked, prior.failed + flights - worked
    tail = (1.0 - level) / 2.0
    ends = prior == JEFFREYS
    low = 0.0 if ends and worked == 0 else float(betaincinv(a, b, tail))
    high = 1.0 if ends and worked == flights else float(betaincinv(a, b, 1.0 - tail))
    return low, high


def chance_above(
    reliability: float, worked: float, flights: float, prior: Prior = JEFFREYS
) -> float:
    """Return the chance, after so many flights, that the reliability is at least as wanted."""
    from scipy.special import betainc

    a, b = prior.worked + worked, prior.failed + flights - worked
    return float(1.0 - betainc(a, b, reliability))


def flights_needed(
    wanted: float,
    confidence: float,
    flown: int,
    failed: int,
    may_fail: int,
    weighted: tuple[float, float],
    seed: int,
    prior: Prior = JEFFREYS,
) -> MoreFlights:
    """Return how many flights more show a reliability.

    Parameters
    ----------
    wanted, confidence
        The reliability, and how surely it is to be shown.
    flown, failed
        Flights that count in full, and those of them that failed.
    may_fail
        How many of those still to come may fail.
    weighted
        Flights that worked, and all, each with its weight: for what the posterior says.
    seed
        Of the simulations.
    prior
        Of the posterior.

    Raises
    ------
    ValueError
        As `loftwright.rehearsal.chances.success_run`.
    """
    from loftwright.rehearsal.chances import success_run

    allowed = failed + may_fail
    total = success_run(wanted, confidence, allowed)
    more = max(total - flown, 0)
    return MoreFlights(
        total=total,
        by_formula=more,
        by_simulation=max(simulated(wanted, confidence, allowed, seed) - flown, 0),
        by_posterior=_after_prior(wanted, confidence, *weighted, prior),
        may_fail=may_fail,
        chance=chance_to_pass(more, may_fail, *weighted, seed, prior),
    )


def simulated(wanted: float, confidence: float, may_fail: int, seed: int) -> int:
    """Return the length of the test as `RUNS` made-up vehicles show it.

    Each is just as reliable as is not enough, and flies until one failure too many. The test is
    as long as it must be for the share ``confidence`` of them to have failed it: so seldom does
    luck pass for reliability. Within a flight or so of the formula, which it does not use.
    """
    import numpy as np

    draws = np.random.default_rng([seed, may_fail])
    good = draws.negative_binomial(may_fail + 1, 1.0 - wanted, RUNS)
    place = int(np.ceil(confidence * RUNS)) - 1
    return int(np.partition(good, place)[place]) + may_fail + 1


def _after_prior(
    wanted: float, confidence: float, worked: float, flights: float, prior: Prior
) -> int | None:
    """Return how many flights that all work make the wanted level as probable as asked."""

    def is_shown(more: int) -> bool:
        return chance_above(wanted, worked + more, flights + more, prior) >= confidence

    if is_shown(0):
        return 0
    most = 1
    while not is_shown(most):
        if most > MOST:
            return None
        most *= 2
    least = most // 2
    while most - least > 1:
        middle = (least + most) // 2
        least, most = (least, middle) if is_shown(middle) else (middle, most)
    return most


def chance_to_pass(
    more: int, may_fail: int, worked: float, flights: float, seed: int, prior: Prior = JEFFREYS
) -> float:
    """Return the chance that of ``more`` flights no more than ``may_fail`` fail, as of now.

    By simulation: a reliability is drawn from the posterior, and flown.
    """
    import numpy as np

    draws = np.random.default_rng([seed, 1000 + may_fail])
    a, b = prior.worked + worked, prior.failed + flights - worked
    failures = draws.binomial(more, 1.0 - draws.beta(a, b, RUNS))
    return float(np.mean(failures <= may_fail))
