"""The verb: which cause made a flight go wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.alike import groups_alike
from loftwright.debrief.causes.arguments import arguments, said_words, shapley, word_weights
from loftwright.debrief.causes.evidence import (
    Evidence,
    chance_of_words,
    evidence_of,
    features_of,
    keeps,
    layouts_of,
    observed,
)
from loftwright.debrief.causes.fit import fit_of
from loftwright.debrief.causes.flights import Ensemble, fly_causes, trials_of
from loftwright.debrief.causes.model import Model, Rows, fit_model
from loftwright.debrief.causes.records import Layout
from loftwright.debrief.causes.results import Cause, Causes, Telling
from loftwright.debrief.causes.subjects import Speech, subjects_of
from loftwright.debrief.causes.telling import tellings_of
from loftwright.documents.campaign import Campaign
from loftwright.documents.flight_record import FlightRecord
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.flight_log import FlightLog
from loftwright.instruments.cases import Happening
from loftwright.instruments.wiring import wire
from loftwright.rehearsal.cases import known_happenings
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.run import Trial

__all__ = ["FLIGHTS", "SET", "find_causes", "priors_of", "rows_of"]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

FLIGHTS = 300  # of each cause
SET = 0.9  # probability of the causes that are named together
SPOKEN = 0.01  # probability from which on a cause is argued for and against
MOST_SPOKEN = 6
PAIRED = 4  # most probable causes that are paired with every other
PAIR_SHARE, LEAST_PAIR = 6, 24  # flights of a pair: this part of a single cause's, at least so many
# Chance that what was measured at the pad was not so all the same: a gauge misread, a leak after
# it, water spilt (judgement).
MISMEASURED = 0.1


def find_causes(
    campaign: Campaign,
    record: FlightRecord,
    logs: Mapping[str, FlightLog],
    *,
    flights: int = FLIGHTS,
    seed: int = 1,
    pairs: bool = False,
    progress: Progress | None = None,
) -> Causes:
    """Rank every fault of the library at every part, and none, by what a flight left behind.

    Parameters
    ----------
    campaign : Campaign
        Of the documents as flown, with the conditions of the day.
    record : FlightRecord
        What people saw, heard, timed and paced.
    logs : mapping
        The log of each controller that left one.
    flights : int
        Of each cause.
    seed : int
        The same seed gives the same answer on any number of threads.
    pairs : bool
        Whether the most probable causes are also tried together with every other.
    progress : callable, optional
        Called with flights done and their total. An interruption ends the flying, and what was
        flown until then is judged by (``stopped``).

    Raises
    ------
    ProblemError
        When the campaign cannot be rehearsed, a log is of no controller with a barometer, or there
        is no evidence at all.
    """
    plan = plan_of(campaign, seed)
    _refuse_unknown(plan, logs)
    temperature = float(plan.recipe.values["site.air.temperature"])
    layouts = layouts_of(plan, logs, temperature)
    search = _Search(plan, record, logs, layouts, flights, progress)
    found = known_happenings(plan)
    trials = trials_of(found)
    ensemble, stopped = search.fly(trials, flights)
    if not len(ensemble.cause):
        raise ProblemError([_disagreeing()])
    evidence = search.evidence(ensemble.truth)
    prior = priors_of(trials, record)
    model = fit_model(rows_of(evidence, ensemble, seed), prior, seed=seed)
    if pairs and not stopped:
        trials, ensemble, stopped = search.with_pairs(trials, ensemble, _posterior(model, evidence))
        prior = priors_of(trials, record)
        model = fit_model(rows_of(evidence, ensemble, seed), prior, seed=seed)
    return search.answer(trials, ensemble, evidence, model, stopped)


def rows_of(evidence: Evidence, ensemble: Ensemble, seed: int) -> Rows:
    """Return simulated flights as rows of the features that the evidence has."""
    columns = features_of(evidence, ensemble, seed)
    values = (
        np.stack([*columns.values()], axis=1) if columns else np.zeros((len(ensemble.cause), 0))
    )
    weights = chance_of_words(evidence.said, ensemble.truth) * ensemble.share
    return Rows(tuple(columns), values, ensemble.cause, ensemble.flight, weights)


def priors_of(trials: Sequence[Trial], record: FlightRecord) -> Floats:
    """Return the chance of each cause before anything but the pad's measurements is known.

    Odds against nothing failing multiply: each cause is that fault and no other.
    """
    measured = set()
    if record.conditions is not None:
        if record.conditions.gauge_pressure is not None:
            measured |= {"wrong pressure", "vessel leaks"}
        if record.conditions.water_volume is not None:
            measured |= {"wrong water"}

    def odds(each: Happening) -> float:
        chance = min(each.chance, 0.999)
        doubt = MISMEASURED if each.fault.name in measured else 1.0
        return doubt * chance / (1.0 - chance)

    weights = np.array([np.prod([odds(each) for each in trial.happening]) for trial in trials])
    return np.asarray(weights / weights.sum())


def _posterior(model: Model, evidence: Evidence) -> Floats:
    values = _row(evidence, model)
    return np.asarray(model.posterior(model.shares(values))[0])


def _row(evidence: Evidence, model: Model) -> Floats:
    told = observed(evidence)
    return np.array([[float(told[name][0]) for name in model.rows.names]])


def _refuse_unknown(plan: Plan, logs: Mapping[str, FlightLog]) -> None:
    assert plan.campaign.avionics is not None
    controllers = wire(plan.campaign.avionics).controllers
    known = [name for name, each in controllers.items() if each.barometer]
    for name in logs:
        if name not in known:
            message = f"no controller {name!r} with a barometer could have written this log"
            mend = f"say whose log it is: {', '.join(known) or 'none has a barometer'}"
            where = Where(file=logs[name].name, field="source", value=name)
            raise ProblemError([Problem("causes-no-recorder", message, where, mend)])


@dataclass(frozen=True, slots=True)
class _Search:
    """One search: what stays the same from one round of flights to the next."""

    plan: Plan
    record: FlightRecord
    logs: Mapping[str, FlightLog]
    layouts: Mapping[str, Layout]
    flights: int
    progress: Progress | None

    def fly(self, trials: Sequence[Trial], flights: int) -> tuple[Ensemble, bool]:
        """Fly causes and record them as the flight was recorded."""
        return fly_causes(
            self.plan,
            trials,
            self.layouts,
            flights,
            keep=lambda truth: keeps(self.record, truth),
            progress=self.progress,
        )

    def evidence(self, known: dict[str, Floats]) -> Evidence:
        """Gather the flight's own evidence."""
        campaign = self.plan.campaign
        found = evidence_of(campaign, self.record, self.logs, self.layouts, known)
        if found.is_empty:
            raise ProblemError([_nothing()])
        return found

    def with_pairs(
        self, trials: Sequence[Trial], single: Ensemble, probable: Floats
    ) -> tuple[list[Trial], Ensemble, bool]:
        """Fly the most probable causes together with every other, and put them beside the rest."""
        order = [n for n in np.argsort(-probable).tolist() if trials[n].happening][:PAIRED]
        both = {
            tuple(sorted((one, other)))
            for one in order
            for other in range(len(trials))
            if other != one and trials[other].happening
        }
        pairs = [
            Trial((*trials[one].happening, *trials[other].happening)) for one, other in sorted(both)
        ]
        count = max(LEAST_PAIR, self.flights // PAIR_SHARE)
        flown, stopped = self.fly(pairs, count)
        return [*trials, *pairs], single.beside(flown, len(trials)), stopped

    def answer(
        self,
        trials: Sequence[Trial],
        ensemble: Ensemble,
        evidence: Evidence,
        model: Model,
        stopped: bool,
    ) -> Causes:
        """Put what was found into words and order."""
        seed = self.plan.seed
        values = _row(evidence, model)
        shares = model.shares(values)[0]
        probability = np.asarray(model.posterior(shares))
        low, high = model.bounds(values, seed)
        order = np.argsort(-probability, kind="stable")
        in_set = 1 + int(np.searchsorted(np.cumsum(probability[order]), SET))
        spoken = [n for n in order[:MOST_SPOKEN].tolist() if probability[n] >= SPOKEN]
        alike = groups_alike(model, values, spoken)
        speech = self._speech()
        fits, fits_says = fit_of(model, values, order[:in_set], speech)
        subjects = subjects_of(model.rows.names)
        weights = (
            subjects,
            shapley(model, values, subjects, seed),
            word_weights(evidence.said, model, ensemble),
        )
        place = {n: number for number, n in enumerate(order.tolist())}
        causes = []
        for n in order.tolist():
            cause = _cause(trials[n], model.prior[n], probability[n], (low[n], high[n]))
            if n in spoken:
                sides = arguments(n, model, values, evidence, weights, speech)
                cause = replace(
                    cause, speaks_for=sides[0], speaks_against=sides[1], alike=alike.get(n)
                )
            causes.append(cause)
        named = [n for n in order[:in_set].tolist() if n in spoken]
        tellings: tuple[Telling, ...] = ()
        if len(named) > 1 and not stopped:
            tellings = tellings_of(self.plan, trials, named, model, values, evidence, place)
        return Causes(
            causes=tuple(causes),
            in_set=in_set,
            evidence=_looked_at(self.plan, evidence, self.record),
            tellings=tellings,
            fits=fits,
            fits_says=fits_says,
            flights=ensemble.flown,
            cases=len(trials),
            seed=seed,
            stopped=stopped,
        )

    def _speech(self) -> Speech:
        stages = {
            name: tuple(stage.name for stage in table.stages)
            for name, table in self.plan.tables.items()
        }
        return Speech(self.plan.campaign.head.units, len(self.logs) > 1, stages)


def _cause(trial: Trial, prior: float, probability: float, bounds: tuple[float, float]) -> Cause:
    return Cause(
        faults=tuple(each.fault.name for each in trial.happening),
        parts=tuple(each.part.name for each in trial.happening),
        says=" ".join(each.says for each in trial.happening) or "Nothing failed.",
        prior=float(prior),
        probability=float(probability),
        low=float(bounds[0]),
        high=float(bounds[1]),
    )


def _nothing() -> Problem:
    message = "there is no log, nobody saw or heard anything, and no landing place was paced"
    mend = "take in a log, or write into flight.toml what was seen, heard and paced"
    return Problem("causes-no-evidence", message, Where(file="flight.toml"), mend)


def _disagreeing() -> Problem:
    message = "no flight of any cause agrees with what was said"
    mend = "look at who contradicts whom, and lower sure where somebody may be wrong"
    return Problem("causes-no-flight", message, Where(file="flight.toml", field="saw"), mend)


CHANNELS = {"pressure": "pressure", "push": "push", "state": "stages", "battery": "supply"}


def _looked_at(plan: Plan, evidence: Evidence, record: FlightRecord) -> tuple[str, ...]:
    """Say what was looked at, and what was not there to look at."""
    found = []
    for name, layout in evidence.layouts.items():
        has = [word for channel, word in CHANNELS.items() if channel in layout.channels]
        lacks = [word for channel, word in CHANNELS.items() if channel not in layout.channels]
        without = f", without {' and '.join(lacks)}" if lacks else ""
        found.append(f"The log of {name}: {', '.join(has)}{without}.")
    assert plan.campaign.avionics is not None
    for name, wires in wire(plan.campaign.avionics).controllers.items():
        if wires.barometer and name not in evidence.layouts:
            found.append(f"There is no log of {name}.")
    found += [said_words(each) for each in evidence.said]
    found += [f"Measured: {each.name}." for each in evidence.measured]
    said = {each.what for each in evidence.said}
    for what, words in (
        ("release", "Nobody said whether the payload left."),
        ("canopy open", "Nobody said whether the canopy opened."),
    ):
        if what not in said and (what != "release" or plan.campaign.payloads):
            found.append(words)
    if record.conditions is not None:
        measured = {
            "pressure": record.conditions.gauge_pressure,
            "water": record.conditions.water_volume,
        }
        found += [
            f"The {what} was measured at the pad, which makes its faults ten times less likely."
            for what, value in measured.items()
            if value is not None
        ]
    if record.sighting:
        found.append("Bearings and elevations are not looked at for causes.")
    return tuple(found)
