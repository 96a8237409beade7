"""What so many flights tell about a chance: exact intervals, sizes of a test, paired changes.

The score interval, which forecasts use, is `loftwright.flight.chance.wilson`. A failure table has
the exact one: it is never too narrow, which is what a small chance of something bad asks for.
"""

from __future__ import annotations

from math import ceil, inf, log, log1p

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.chance import LEVEL, Chance, wilson
from loftwright.rehearsal.results import Shift
from loftwright.study.pairs import paired_chance

__all__ = [
    "LEVEL",
    "chance_of",
    "chance_of_count",
    "clopper_pearson",
    "difference_of",
    "jeffreys",
    "lower_bound",
    "mtbf_limits",
    "mtbf_lower",
    "paired_shift",
    "shift_of",
    "success_run",
    "upper_bound",
]

Bools = NDArray[np.bool_]

SLACK = 1e-12  # of a probability: rounding must not ask for one flight more


def clopper_pearson(count: int, flights: int, level: float = LEVEL) -> tuple[float, float]:
    """Return the exact two-sided interval of a chance; 0 to 1 where nothing was tried.

    Of chances below the lower end, ``count`` or more in ``flights`` would be seen at most with
    ``(1 - level) / 2``; of those above the upper end, ``count`` or fewer. It holds the truth at
    least as often as ``level`` says.

    Raises
    ------
    ValueError
        When ``count`` is not within 0 to ``flights``, or ``level`` not between 0 and 1.

    References
    ----------
    C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits illustrated in the
    case of the binomial", *Biometrika* 26 (1934), 404-413; by quantiles of the beta distribution
    as in NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1 (both from memory).
    """
    one_sided = (1.0 + _checked(count, flights, level)) / 2.0
    return lower_bound(count, flights, one_sided), upper_bound(count, flights, one_sided)


def jeffreys(count: int, flights: int, level: float = LEVEL) -> tuple[float, float]:
    """Return the equal-tailed interval of a chance after Jeffreys's prior, Beta(1/2, 1/2).

    Closer to ``level`` on average than the exact one, and for some chances below it. At none and
    at all the outer end is 0 and 1.

    Raises
    ------
    ValueError
        As `clopper_pearson`.

    References
    ----------
    L. D. Brown, T. T. Cai and A. DasGupta, "Interval estimation for a binomial proportion",
    *Statistical Science* 16(2), 2001, 101-133, section 3.1.2 (from memory).
    """
    from scipy.special import betaincinv

    tail = (1.0 - _checked(count, flights, level)) / 2.0
    a, b = count + 0.5, flights - count + 0.5
    low = 0.0 if count == 0 else float(betaincinv(a, b, tail))
    high = 1.0 if count == flights else float(betaincinv(a, b, 1.0 - tail))
    return low, high


def lower_bound(count: int, flights: int, level: float = LEVEL) -> float:
    """Return the chance that is exceeded with confidence ``level``: one-sided, exact.

    After ``flights`` of which all were good, this is ``(1 - level) ** (1 / flights)``.

    Raises
    ------
    ValueError
        As `clopper_pearson`.
    """
    from scipy.special import betaincinv

    _checked(count, flights, level)
    if count == 0:
        return 0.0
    return float(betaincinv(count, flights - count + 1.0, 1.0 - level))


def upper_bound(count: int, flights: int, level: float = LEVEL) -> float:
    """Return the chance that is not exceeded with confidence ``level``: one-sided, exact.

    Of nothing in ``flights`` it is about ``3 / flights`` at 95 %, the rule of three.

    Raises
    ------
    ValueError
        As `clopper_pearson`.
    """
    from scipy.special import betaincinv

    _checked(count, flights, level)
    if count == flights:
        return 1.0
    return float(betaincinv(count + 1.0, flights - count, level))


def success_run(reliability: float, level: float = LEVEL, failures: int = 0) -> int:
    """Return how many flights show ``reliability`` with confidence ``level``.

    Of so many, no more than ``failures`` may fail. Without any,
    ``ceil(ln(1 - level) / ln(reliability))``.

    Raises
    ------
    ValueError
        When ``reliability`` or ``level`` is not between 0 and 1, or ``failures`` below 0.

    References
    ----------
    The binomial demonstration test: W. Nelson, Applied Life Data Analysis (1982); G. J. Hahn and
    W. Q. Meeker, Statistical Intervals (1991), chapter 6 (both from memory).
    """
    if not (0.0 < reliability < 1.0 and 0.0 < level < 1.0 and failures >= 0):
        raise ValueError("reliability and level lie between 0 and 1, failures not below 0")
    least = failures + 1
    most = max(ceil(log1p(-level) / log(reliability)), least)
    while not _is_shown(most, reliability, level, failures):
        most *= 2
    while least < most:  # the longer the test, the less it can be passed by luck
        middle = (least + most) // 2
        if _is_shown(middle, reliability, level, failures):
            most = middle
        else:
            least = middle + 1
    return most


def _is_shown(flights: int, reliability: float, level: float, failures: int) -> bool:
    """Whether a vehicle that is no better passes such a test too seldom to be taken for luck."""
    from scipy.special import bdtr

    return bool(bdtr(failures, flights, 1.0 - reliability) <= (1.0 - level) * (1.0 + SLACK))


def mtbf_lower(time: float, failures: int, level: float = LEVEL) -> float:
    """Return the mean time between failures that is exceeded with confidence ``level``.

    The test was ended after ``time`` in all, whatever its unit, with ``failures`` in it; failures
    come at a constant rate.

    Raises
    ------
    ValueError
        When ``time`` is not above 0, ``failures`` below 0, or ``level`` not between 0 and 1.

    References
    ----------
    ``2 T / chi2(level; 2 r + 2)``: NIST/SEMATECH e-Handbook of Statistical Methods, section
    8.4.5.1; MIL-HDBK-781 (both from memory).
    """
    from scipy.special import gammaincinv

    _check_test(time, failures, level)
    return float(time / gammaincinv(failures + 1.0, level))


def mtbf_limits(time: float, failures: int, level: float = LEVEL) -> tuple[float, float]:
    """Return the two-sided interval of the mean time between failures; unbounded without any.

    Raises
    ------
    ValueError
        As `mtbf_lower`.

    References
    ----------
    As `mtbf_lower`; the upper limit has ``2 r`` degrees of freedom.
    """
    from scipy.special import gammaincinv

    low = mtbf_lower(time, failures, (1.0 + level) / 2.0)
    if failures == 0:
        return low, inf
    return low, float(time / gammaincinv(float(failures), (1.0 - level) / 2.0))


def chance_of(happened: Bools) -> Chance:
    """Return how often ``happened``, one element a flight, is true, with its exact interval."""
    return chance_of_count(int(np.count_nonzero(happened)), int(happened.size))


def chance_of_count(count: int, flights: int) -> Chance:
    """Return a chance that was counted, with its exact interval."""
    return Chance(count, flights, *clopper_pearson(count, flights))


def paired_shift(before: Bools, after: Bools) -> tuple[float, float, float]:
    """Return by how much a chance changes on the same draws, and the 95 % interval of that.

    Flight i of both met the same wind and drew the same; only flights in which it happened in one
    and not in the other count. The interval is `loftwright.study.pairs.paired_chance`'s, and -1
    to 1 where there are too few flights for any.

    Raises
    ------
    ValueError
        When both have not the same number of flights, or none.
    """
    if before.size != after.size or not before.size:
        raise ValueError("pairs need the same flights, and at least one")
    pair = paired_chance(before, after)
    low = -1.0 if pair.low is None else pair.low
    high = 1.0 if pair.high is None else pair.high
    return float(pair.difference or 0.0), low, high


def shift_of(before: Bools, after: Bools) -> Shift:
    """Return both chances with the change between them, flight by flight.

    Raises
    ------
    ValueError
        As `paired_shift`.
    """
    return Shift(chance_of(before), chance_of(after), *paired_shift(before, after))


def difference_of(before: Chance, after: Chance) -> tuple[float, float, float]:
    """Return by how much a chance differs between flights that share nothing, with 95 % interval.

    For the same draws in both the interval is too wide; `paired_shift` is for those.

    References
    ----------
    R. G. Newcombe, "Interval estimation for the difference between independent proportions:
    comparison of eleven methods", *Statistics in Medicine* 17 (1998), 873-890, method 10 (from
    memory): the score intervals of both, their distances squared and added.
    """
    one, other = before.share, after.share
    (low, high), (least, most) = (wilson(each.count, each.flights) for each in (before, after))
    change = other - one
    down = ((other - least) ** 2 + (high - one) ** 2) ** 0.5
    up = ((most - other) ** 2 + (one - low) ** 2) ** 0.5
    return change, max(change - down, -1.0), min(change + up, 1.0)


def _checked(count: int, flights: int, level: float) -> float:
    if not 0 <= count <= flights:
        raise ValueError(f"{count} of {flights} cannot have happened")
    if not 0.0 < level < 1.0:
        raise ValueError("a level lies between 0 and 1")
    return level


def _check_test(time: float, failures: int, level: float) -> None:
    if not (time > 0.0 and failures >= 0 and 0.0 < level < 1.0):
        raise ValueError("the time is above 0, failures not below 0, the level between 0 and 1")
