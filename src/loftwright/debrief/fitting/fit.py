"""The flight model fitted to recorded flights: which fields they inform, and to what.

Fields that carry an uncertainty are standard normal numbers before the records; what they are
after them is told by draws that the model itself weighs (`flight_posterior`). Residuals are noise,
gusts and the model's own smooth error (`flight_doubt`), whose scale the records estimate, so that
many readings of one ascent do not count for more than they are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.doubt import MEDIAN_SCALE, doubt_of
from loftwright.debrief.fitting.joint import GUST_FLIGHTS, Joint, Number
from loftwright.debrief.fitting.model import FlightModel
from loftwright.debrief.fitting.observed import FitInput, Observed, observe
from loftwright.debrief.fitting.posterior import (
    Found,
    Posterior,
    near,
    sample_posterior,
    settle,
    slopes_at,
)
from loftwright.debrief.fitting.problems import fit_problem
from loftwright.debrief.fitting.results import FlightFit, Informed
from loftwright.debrief.fitting.summary import informed_fields, together
from loftwright.errors import ProblemError

__all__ = ["FitInput", "Fitting", "fit_flights", "fit_observed", "fitting_of"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], object]

# Information below which a number acts on nothing that was measured: it would take a thousandth
# of a thousandth of the variance.
ACTS = 1e-4
CLEANINGS = 2
RUNS = 512  # flights that shape a polynomial: ten for each of its terms
WALKERS = (100, 400)  # of the draws that shape the next polynomial, and of those that count
BAD = 4.0  # reduced chi-square from which a record is not what the model describes
FAR_AWAY = 3.0  # prior deviations


@dataclass(frozen=True, slots=True)
class Fitting:
    """A fit, and what it was made with: for tests, pictures and forecasts of the next flight."""

    fit: FlightFit
    joint: Joint
    posterior: Posterior
    found: Found
    every: tuple[Number, ...]


def fit_flights(
    flights: Sequence[FitInput],
    *,
    fields: Sequence[str] | None = None,
    seed: int = 1,
    progress: Progress | None = None,
) -> FlightFit:
    """Fit the uncertain fields of the documents to recorded flights.

    Fields of the build (drag, losses, canopy) are shared by all flights; those of a day (fill,
    wind, air, the moments at which things open) are each flight's own.

    Parameters
    ----------
    flights : at least one
    fields : paths that are asked for, such as ``"vehicle.nozzle.flow_coefficient"``; all uncertain
        ones when left out. The others stay uncertain all the same: a field that is left out is not
        held fixed.
    seed : of all draws
    progress : called with flights flown and about how many there will be

    Raises
    ------
    ProblemError
        There is no flight, a field is not among the uncertain ones, or a log shows no liftoff.
    """
    return fitting_of(flights, fields=fields, seed=seed, progress=progress).fit


def fitting_of(
    flights: Sequence[FitInput],
    *,
    fields: Sequence[str] | None = None,
    seed: int = 1,
    progress: Progress | None = None,
) -> Fitting:
    """Do what `fit_flights` does, and return what the fit was made with as well."""
    if not flights:
        raise ProblemError([fit_problem("fit-no-flight")])
    observed = [observe(each) for each in flights]
    return fit_observed(observed, fields=fields, seed=seed, progress=progress)


def fit_observed(
    observed: Sequence[Observed],
    *,
    fields: Sequence[str] | None = None,
    seed: int = 1,
    progress: Progress | None = None,
) -> Fitting:
    """Fit to what counts of each flight; the parameters are those of `fit_flights`."""
    count = _Counter(progress)
    models = [FlightModel(each, count) for each in observed]
    joint = Joint(models, seed)
    every = joint.numbers
    _check_fields(fields, every)
    names = tuple(each.given.name for each in observed)
    notes: list[str] = []
    if not len(joint.measured):
        nothing = Posterior(np.zeros((len(every), 0)), np.zeros(0), np.zeros((1, 0)), np.ones(1))
        found = _nothing(len(every))
        return _fitting(joint, nothing, found, every, names, fields, notes, seed, 0.0)
    count.expect(len(observed), len(every))
    found, louder = _search(joint)
    posterior = _sampled(joint, found, seed)
    misfit = _misfit(joint, posterior)
    notes += _notes(found, posterior, misfit, louder)
    return _fitting(joint, posterior, found, every, names, fields, notes, seed, misfit)


class _Counter:
    """Tells of flights flown against a guess of how many there will be."""

    def __init__(self, progress: Progress | None) -> None:
        self._progress, self._done, self._total = progress, 0, 1

    def expect(self, flights: int, numbers: int) -> None:
        """Set the guess: searches of some steps, the gusts, and the draws."""
        search = 2 * numbers + 10 * (numbers + 10) + 2 * GUST_FLIGHTS
        self._total = flights * (search + len(WALKERS) * RUNS)

    def __call__(self, flown: int) -> None:
        self._done += flown
        if self._progress is not None:
            self._progress(min(self._done, self._total), self._total)


def _search(joint: Joint) -> tuple[Found, int]:
    """Find the best point; leave out what acts on nothing, and weigh down what fits nothing."""
    start = np.zeros(len(joint.numbers))
    joint.blow(start)
    here, slopes = slopes_at(joint.predict, start)
    if not np.isfinite(here).all():
        raise ProblemError([fit_problem("fit-not-flown")])
    slopes = np.nan_to_num(slopes)
    precision = joint.doubt().precision(np.zeros(len(joint.measured)))
    acting = np.einsum("ki,kl,li->i", slopes, precision, slopes, optimize=True) > ACTS
    joint.only(np.flatnonzero(acting).tolist())
    start = start[acting]
    found = settle(joint.predict, joint.measured, joint.doubt(), start)
    joint.blow(found.point)
    louder = 0
    for _ in range(CLEANINGS):
        found = settle(joint.predict, joint.measured, joint.doubt(), found.point)
        before = louder
        louder = joint.quieten(found.residual, joint.doubt().precision(found.residual))
        if louder == before:
            break
    else:
        found = settle(joint.predict, joint.measured, joint.doubt(), found.point)
    return found, louder


def _sampled(joint: Joint, found: Found, seed: int) -> Posterior:
    """Draw from polynomials shaped about the best point, then from ones shaped by these draws."""
    rng = np.random.default_rng(seed)
    points = near(found, RUNS, rng)
    for walkers in WALKERS:
        stand_in = joint.stand_in(found, points)
        doubt = joint.doubt(stand_in)
        posterior = sample_posterior(stand_in, joint.measured, doubt, found, points[:walkers], seed)
        points = posterior.draws(RUNS, rng)
    return posterior


def _nothing(size: int) -> Found:
    return Found(np.zeros(size), np.zeros((0, size)), np.zeros((size, size)), np.zeros(0), True)


def _misfit(joint: Joint, posterior: Posterior) -> float:
    """Reduced chi-square at the posterior's mean, the model's error at its usual scale."""
    residual = joint.measured - joint.predict(posterior.mean[None, :])[0]
    usual = doubt_of(*joint.covariances(), np.array([MEDIAN_SCALE]), np.ones(1))
    square = float(residual @ usual.precision(residual) @ residual)
    learnt = float((posterior.strength / (1.0 + posterior.strength)).sum())
    return square / max(len(residual) - learnt, 1.0)


def _notes(found: Found, posterior: Posterior, misfit: float, louder: int) -> list[str]:
    notes = []
    if louder:
        notes.append(
            f"{louder} of the numbers measured fit nothing beside them and count less for it"
        )
    if misfit > BAD:
        notes.append(
            f"the model does not follow these records (reduced chi-square {misfit:.1f}): something "
            "happened that the documents do not describe; do not trust what was learnt"
        )
    if not (found.is_settled and posterior.is_settled):
        notes.append("the search or the draws had not come to rest: take the intervals as rough")
    return notes


def _fitting(
    joint: Joint,
    posterior: Posterior,
    found: Found,
    every: Sequence[Number],
    names: tuple[str, ...],
    fields: Sequence[str] | None,
    notes: list[str],
    seed: int,
    misfit: float,
) -> Fitting:
    informed, correlation = informed_fields(joint, posterior, every, names)
    if fields is not None:
        rows = [i for i, each in enumerate(informed) if each.path in set(fields)]
        informed = [informed[i] for i in rows]
        correlation = correlation[np.ix_(rows, rows)]
    observed = [model.observed for model in joint.models]
    notes = [*notes, *_far(informed), *_apart(joint)]
    fit = FlightFit(
        flights=names,
        fields=tuple(informed),
        correlation=tuple(tuple(map(float, row)) for row in correlation),
        misfit=misfit,
        used=tuple(_named(names, observed, "used")),
        warnings=(*_named(names, observed, "warnings"), *notes),
        seed=seed,
        together=together(joint, posterior, names),
        logs=tuple(each.sha256 for each in observed),
    )
    return Fitting(fit, joint, posterior, found, tuple(every))


def _named(names: Sequence[str], observed: Sequence[Observed], what: str) -> list[str]:
    several = len(names) > 1
    return [
        f"{name}: {line}" if several else line
        for name, each in zip(names, observed, strict=True)
        for line in getattr(each, what)
    ]


def _far(informed: Sequence[Informed]) -> list[str]:
    """Say which fields the records put far from what the documents say."""
    return [
        f"{each.words}: the records put it {abs(away):.1f} standard deviations from what the "
        "documents say; look at that field, and at what else acts like it, before trusting either"
        for each in informed
        if each.prior.sd > 0.0
        and abs(away := (each.posterior.value - each.prior.value) / each.prior.sd) > FAR_AWAY
    ]


def _apart(joint: Joint) -> list[str]:
    """Say where the flights' documents differ in fields that are taken as shared."""
    first = joint.models[0]
    apart = sorted(
        number.path
        for number in joint.numbers
        if number.flight is None
        and any(
            model.values.get(number.path) != first.values.get(number.path)
            or model.sds.get(number.path) != first.sds.get(number.path)
            for model in joint.models[1:]
        )
    )
    if not apart:
        return []
    return [
        "the flights were not of one build: " + ", ".join(apart) + "; each flight is taken as far "
        "from its own document as the others from theirs"
    ]


def _check_fields(fields: Sequence[str] | None, every: Sequence[Number]) -> None:
    """Refuse a field that is not uncertain, or that there is not."""
    known = {number.path for number in every}
    wrong = [path for path in fields or () if path not in known]
    if wrong:
        raise ProblemError([fit_problem("fit-field", value=path, known=known) for path in wrong])
