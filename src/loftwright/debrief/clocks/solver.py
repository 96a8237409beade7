"""Clocks solved together, by weighted least squares from the moments that they share.

Unknown are each clock's offset and drift and the time of each moment; first motion is zero, and
the reference keeps the second. A telling that all others contradict is left out and said, not
averaged. Where it cannot be told which of two is wrong, the clock is not tied; against the
reference, which was compared with itself by its reconstruction, it is always the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import nan, sqrt

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.clocks.results import (
    ClockPrior,
    Clocks,
    Moment,
    SolvedClock,
    Telling,
    Told,
    Untied,
)
from loftwright.debrief.results import Estimate
from loftwright.debrief.scoring.measured_figures import estimate

__all__ = ["CRYSTAL", "FIRST_MOTION", "solve_clocks"]

Floats = NDArray[np.float64]

FIRST_MOTION: Moment = ("liftoff", "vehicle")
CRYSTAL = ClockPrior(50e-6)  # tens of parts in a million (common practice, no source)
CRITICAL = 3.29  # standard deviations: one good telling in a thousand is taken for a slip
# Leaving out either of two must fit so much better (in chi-square, odds of twenty to one) before
# one is blamed; tellings that share less than half of their errors are not rivals, but two slips.
TELLS_APART, RIVALS = 6.0, 0.5
LESS_SURE = 0.1  # by so much less sure is who slipped, where nothing else tells
LIKELY = 0.05  # chance of residuals below which uncertainties are taken wider
INFORMED = 0.5  # of its prior sd that a drift's may keep to count as solved
NO_CHECK = 1e-9  # redundancy of a telling that nothing else checks


def solve_clocks(
    tellings: Sequence[Telling],
    priors: Mapping[str, ClockPrior] | None = None,
    *,
    reference: str | None = None,
) -> Clocks:
    """Tie clocks to flight time.

    Parameters
    ----------
    tellings : sequence of Telling
        Who told what when.
    priors : mapping, optional
        By clock; a crystal's for those that are not named.
    reference : str, optional
        The clock whose second counts; the first to tell first motion when left out.

    Returns
    -------
    Clocks

    Notes
    -----
    Drift enters with its prior as one more observation: two ties a few seconds apart inform it
    only as far as they can. Slips are looked for one by one, the telling with the largest
    standardised residual first.

    Raises
    ------
    ValueError
        When a telling has no uncertainty.

    References
    ----------
    W. Baarda, *A testing procedure for use in geodetic networks*, Netherlands Geodetic Commission
    2(5) (1968): standardised residuals, and 3.29 for one in a thousand; R. T. Birge, *Phys. Rev.*
    40 (1932), 207-227: widening by the root of chi-square over its freedom (both from memory).
    """
    if any(not each.sd > 0.0 for each in tellings):
        raise ValueError("a telling needs an uncertainty above 0")
    known = dict(priors or {})
    chosen = reference or next((each.clock for each in tellings if each.moment == FIRST_MOTION), "")
    used = list(range(len(tellings)))
    refused: dict[str, str] = {}
    while True:
        used = _connected(tellings, used, set(refused))
        fit = _fit([tellings[place] for place in used], known, chosen)
        slip = _slip(fit, chosen)
        if not slip:
            break
        if len(slip) == 1:
            used.remove(used[slip[0]])
            continue
        refused |= _contradicted(fit, slip, chosen)
    return _clocks(tellings, used, fit, chosen, refused)


def _connected(tellings: Sequence[Telling], used: Iterable[int], refused: set[str]) -> list[int]:
    """Return the tellings that hang together with first motion, over clocks and moments."""
    left = [place for place in used if tellings[place].clock not in refused]
    clocks: set[str] = set()
    moments: set[Moment] = {FIRST_MOTION}
    while True:
        found = {tellings[p].clock for p in left if tellings[p].moment in moments} - clocks
        if not found:
            return [place for place in left if tellings[place].clock in clocks]
        clocks |= found
        moments |= {tellings[p].moment for p in left if tellings[p].clock in found}


@dataclass(frozen=True, slots=True)
class _Fit:
    """A solution: unknowns by name, their covariance, and standardised residuals."""

    tellings: list[Telling]
    columns: dict[tuple[str, ...], int]
    values: Floats
    covariance: Floats
    residuals: Floats  # of the tellings, in sds
    checks: Floats  # (n, n): the part of each error that shows in each residual
    starts: dict[str, float]
    priors: dict[str, ClockPrior]
    chi_square: float
    freedom: int

    def of(self, *name: str) -> tuple[float, float]:
        """Return an unknown and its standard deviation; certain where it is none."""
        place = self.columns.get(name)
        if place is None:
            return 0.0, 0.0
        return float(self.values[place]), sqrt(max(float(self.covariance[place, place]), 0.0))

    def tests(self) -> Floats:
        """Return each residual over its own standard deviation, NaN where nothing checks it."""
        shown = np.diagonal(self.checks)
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(shown > NO_CHECK, self.residuals / np.sqrt(shown), np.nan)


def _fit(used: list[Telling], priors: Mapping[str, ClockPrior], reference: str) -> _Fit:
    clocks = list(dict.fromkeys(each.clock for each in used))
    moments = [m for m in dict.fromkeys(each.moment for each in used) if m != FIRST_MOTION]
    drifting = [clock for clock in clocks if clock != reference]
    names = [
        *(("offset", clock) for clock in clocks),
        *(("drift", clock) for clock in drifting),
        *(("moment", *moment) for moment in moments),
    ]
    columns: dict[tuple[str, ...], int] = {name: place for place, name in enumerate(names)}
    starts = {
        clock: float(np.mean([each.time for each in used if each.clock == clock]))
        for clock in clocks
    }
    own = {clock: priors.get(clock, CRYSTAL) for clock in clocks}
    matrix = np.zeros((len(used) + len(drifting), len(names)))
    wanted = np.zeros(len(matrix))
    for row, each in enumerate(used):
        since = each.time - starts[each.clock]
        matrix[row, columns["offset", each.clock]] = 1.0 / each.sd
        if ("drift", each.clock) in columns:
            matrix[row, columns["drift", each.clock]] = since / each.sd
        if each.moment != FIRST_MOTION:
            matrix[row, columns["moment", *each.moment]] = -1.0 / each.sd
        wanted[row] = -since / each.sd
    for row, clock in enumerate(drifting, start=len(used)):
        matrix[row, columns["drift", clock]] = 1.0 / own[clock].drift_sd
    return _solved(used, columns, starts, own, matrix, wanted)


def _solved(
    used: list[Telling],
    columns: dict[tuple[str, ...], int],
    starts: dict[str, float],
    priors: dict[str, ClockPrior],
    matrix: Floats,
    wanted: Floats,
) -> _Fit:
    scale = np.linalg.norm(matrix, axis=0)  # drifts are small numbers beside times
    inverse = np.linalg.pinv(matrix / scale) if len(scale) else np.zeros((0, len(matrix)))
    values = (inverse @ wanted) / scale
    residuals = wanted - matrix @ values
    hat = (matrix / scale) @ inverse
    return _Fit(
        tellings=used,
        columns=columns,
        values=values,
        covariance=(inverse @ inverse.T) / np.outer(scale, scale),
        # Flight time that a telling says less what all say: it came late where that is positive.
        residuals=-residuals[: len(used)],
        checks=(np.eye(len(matrix)) - hat)[: len(used), : len(used)],
        starts=starts,
        priors=priors,
        chi_square=float(residuals @ residuals),
        freedom=len(matrix) - len(columns),
    )


def _slip(fit: _Fit, reference: str) -> list[int]:
    """Return the telling that slipped, or several of which one did; empty where none has."""
    tests = np.abs(fit.tests())
    if not len(tests) or np.all(np.isnan(tests)) or np.nanmax(tests) < CRITICAL:
        return []
    worst = int(np.nanargmax(tests))
    alike = _alike(fit, tests, worst)
    others = [place for place in alike if fit.tellings[place].clock != reference]
    if not others:
        return [worst]
    sures = sorted(fit.tellings[place].sure for place in others)
    if len(others) > 1 and sures[1] - sures[0] >= LESS_SURE:
        return [min(others, key=lambda place: fit.tellings[place].sure)]
    return others


def _alike(fit: _Fit, tests: Floats, worst: int) -> list[int]:
    """Return the tellings whose slip would explain as much as that of ``worst``."""
    shown = np.diagonal(fit.checks)
    return [
        place
        for place in np.flatnonzero(tests**2 > tests[worst] ** 2 - TELLS_APART).tolist()
        if abs(fit.checks[worst, place]) > RIVALS * sqrt(shown[worst] * shown[place])
    ]


def _contradicted(fit: _Fit, slip: Sequence[int], reference: str) -> dict[str, str]:
    """Return the clocks that cannot be tied because it cannot be told which tie is wrong."""
    suspects = [fit.tellings[place] for place in slip]
    clocks = list(dict.fromkeys(each.clock for each in suspects if each.clock != reference))
    found = {}
    for clock in clocks:
        own = [each for each in suspects if each.clock == clock]
        told = " and ".join(dict.fromkeys(each.event for each in own))
        others = [other for other in clocks if other != clock]
        if others:
            found[clock] = (
                f"it and {' and '.join(others)} contradict each other over {told}, and nothing "
                "tells which is wrong"
            )
        else:
            found[clock] = (
                f"what it tells of {told} does not fit the others, and one of it must be wrong"
            )
    return found


def _clocks(
    tellings: Sequence[Telling],
    used: Sequence[int],
    fit: _Fit,
    reference: str,
    refused: Mapping[str, str],
) -> Clocks:
    chance = _chance(fit.chi_square, fit.freedom)
    widened = sqrt(fit.chi_square / fit.freedom) if chance < LIKELY else 1.0
    solved = {clock: _solved_clock(fit, clock, widened) for clock in fit.starts}
    moments = {moment: _moment(fit, moment, widened) for moment in _moments(fit)}
    return Clocks(
        reference=reference,
        clocks=solved,
        untied=tuple(_untied(tellings, set(solved), refused)),
        moments=moments,
        told=tuple(_told(tellings, used, fit, solved, moments)),
        chi_square=fit.chi_square,
        freedom=fit.freedom,
        chance=chance,
        widened=widened,
    )


def _moments(fit: _Fit) -> dict[Moment, None]:
    return dict.fromkeys(each.moment for each in fit.tellings)


def _moment(fit: _Fit, moment: Moment, widened: float) -> Estimate:
    """Return when a moment was; wider only where sources that tell it as well disagree."""
    value, sd = fit.of("moment", *moment)
    told = [row for row, each in enumerate(fit.tellings) if each.moment == moment]
    return estimate(value, sd * (widened if _is_checked(fit, told) else 1.0))


def _is_checked(fit: _Fit, rows: Iterable[int]) -> bool:
    return any(fit.checks[row, row] > NO_CHECK for row in rows)


def _solved_clock(fit: _Fit, clock: str, widened: float) -> SolvedClock:
    offset, offset_sd = fit.of("offset", clock)
    drift, drift_sd = fit.of("drift", clock)
    own = [row for row, each in enumerate(fit.tellings) if each.clock == clock]
    correlation = 0.0
    if ("drift", clock) in fit.columns and offset_sd > 0.0 and drift_sd > 0.0:
        places = fit.columns["offset", clock], fit.columns["drift", clock]
        correlation = float(fit.covariance[places]) / (offset_sd * drift_sd)
    return SolvedClock(
        clock=clock,
        at=fit.starts[clock],
        offset=offset,
        offset_sd=offset_sd * (widened if drift_sd > 0.0 and _is_checked(fit, own) else 1.0),
        drift=drift,
        drift_sd=drift_sd,
        correlation=correlation,
        ties=len(own),
        drift_solved=0.0 < drift_sd < INFORMED * fit.priors[clock].drift_sd,
    )


def _chance(chi_square: float, freedom: int) -> float:
    if freedom <= 0:
        return 1.0
    from scipy.special import chdtrc

    return float(chdtrc(freedom, chi_square))


def _untied(
    tellings: Sequence[Telling], solved: set[str], refused: Mapping[str, str]
) -> Iterable[Untied]:
    told = dict.fromkeys(each.clock for each in tellings)
    first = any(each.moment == FIRST_MOTION for each in tellings)
    for clock in told:
        if clock in refused:
            yield Untied(clock, refused[clock])
        elif clock not in solved and not first:
            yield Untied(clock, "nobody tells when the vehicle first moved")
        elif clock not in solved:
            yield Untied(clock, "it tells no moment that another source tells as well")


def _told(
    tellings: Sequence[Telling],
    used: Sequence[int],
    fit: _Fit,
    solved: Mapping[str, SolvedClock],
    moments: Mapping[Moment, object],
) -> Iterable[Told]:
    tests = fit.tests()
    places = {place: row for row, place in enumerate(used)}
    for place, each in enumerate(tellings):
        row = places.get(place)
        if row is not None:
            checked = not np.isnan(tests[row])
            # What all say leans on this telling itself by what its residual does not show.
            shown = float(fit.checks[row, row])
            residual = float(fit.residuals[row]) * each.sd / shown if checked else nan
            yield Told(each, residual, float(tests[row]), used=True)
        elif each.clock in solved and each.moment in moments:
            yield _left_out(each, fit, solved[each.clock])
        else:
            yield Told(each, nan, nan, used=False)


def _left_out(each: Telling, fit: _Fit, clock: SolvedClock) -> Told:
    """Hold a telling that was left out against what the others say."""
    moment, moment_sd = fit.of("moment", *each.moment)
    by_it = clock.offset + (1.0 + clock.drift) * (each.time - clock.at)
    spread = sqrt(each.sd**2 + moment_sd**2 + clock.offset_sd**2)
    return Told(each, by_it - moment, (by_it - moment) / spread, used=False)
