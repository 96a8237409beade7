"""The evidence of one flight, and the same as every simulated flight would have left it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.features import log_features
from loftwright.debrief.causes.flights import Ensemble
from loftwright.debrief.causes.people import Measured, Said, measured_of, said_of
from loftwright.debrief.causes.records import Layout, layout_of, records_of_log
from loftwright.documents.campaign import Campaign
from loftwright.documents.flight_record import FlightRecord
from loftwright.evidence.flight_log import FlightLog
from loftwright.rehearsal.plan import Plan

__all__ = [
    "APART",
    "Evidence",
    "chance_of_words",
    "evidence_of",
    "features_of",
    "keeps",
    "keeps_said",
    "layouts_of",
    "observed",
]

Floats = NDArray[np.float64]
Columns = dict[str, Floats]

APART = ": "  # between a controller and its feature in a feature's full name
COMPARED = ("rest pressure", "apogee", "apogee time", "pad noise", "record ends")
# Share of the chance of the likeliest flights below which one is not looked at, and below which
# only some are.
FAINT, THINNED = 1e-3, 0.4


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known of a flight: records laid out, words, numbers that people took."""

    layouts: Mapping[str, Layout]
    logs: Mapping[str, Columns]  # (1,) each
    said: tuple[Said, ...]
    measured: tuple[Measured, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to judge by."""
        return not self.logs and not self.said and not self.measured


def layouts_of(
    plan: Plan, logs: Mapping[str, FlightLog], pad_temperature: float
) -> dict[str, Layout]:
    """Return what the record of each controller is like that left one."""
    found = {}
    for name, log in logs.items():
        table = plan.tables[name]
        stages = tuple(stage.name for stage in table.stages)
        found[name] = layout_of(name, log, table.step_ms / 1000.0, stages, pad_temperature)
    return found


def evidence_of(
    campaign: Campaign,
    record: FlightRecord,
    logs: Mapping[str, FlightLog],
    layouts: Mapping[str, Layout],
    known: Columns,
) -> Evidence:
    """Gather the evidence of a flight; ``known`` are the columns of the simulated truth."""
    return Evidence(
        layouts=layouts,
        logs={
            name: log_features(records_of_log(log, layouts[name]), layouts[name])
            for name, log in logs.items()
        },
        said=said_of(record, known),
        measured=measured_of(record, campaign, known),
    )


def observed(evidence: Evidence) -> Columns:
    """Return the features of the flight itself by full name, (1,) each."""
    found = _named(evidence.logs)
    for measured in evidence.measured:
        found |= {name: np.array([value]) for name, value in measured.told().items()}
    return found


def features_of(evidence: Evidence, flights: Ensemble, seed: int) -> Columns:
    """Return the same features of every simulated flight, (n,) each."""
    found = _named(flights.logs)
    for measured in evidence.measured:
        found |= measured.simulated(flights.truth, seed)
    return found


def _named(logs: Mapping[str, Columns]) -> Columns:
    """Put the features of all records side by side, with what two records differ by."""
    found = {
        f"{controller}{APART}{name}": values
        for controller, columns in logs.items()
        for name, values in columns.items()
    }
    for one, other in combinations(sorted(logs), 2):
        for name in COMPARED:
            found[f"{one} less {other}{APART}{name}"] = logs[one][name] - logs[other][name]
    return found


def chance_of_words(said: tuple[Said, ...], truth: Columns) -> Floats:
    """How likely all that was said is in each flight, (n,)."""
    chance = np.ones(len(truth["liftoff_s"]))
    for each in said:
        chance *= each.chance(truth)
    return chance


def keeps(record: FlightRecord, truth: Columns) -> Floats:
    """Return with what chance a flight is worth recording, by what was said of the real one."""
    return keeps_said(said_of(record, truth), truth)


def keeps_said(said: tuple[Said, ...], truth: Columns) -> Floats:
    """Return the same of what was said; what the truth has no column for yet is left out.

    Flights that the words make unlikely are thinned, and each that is left counts for more.
    """
    known = tuple(each for each in said if each.is_known(truth))
    share = chance_of_words(known, truth) / _best(known)
    return np.where(share < FAINT, 0.0, np.minimum(share / THINNED, 1.0))


def _best(said: tuple[Said, ...]) -> float:
    """Return the chance of the words in a flight that agrees with them as far as one can.

    People who contradict each other of one thing cannot all be right.
    """
    things: dict[tuple[str, str], list[Said]] = {}
    for each in said:
        things.setdefault((each.what, each.of), []).append(each)
    best = 1.0
    for told in things.values():
        so = [each.sure if each.happened else 1.0 - each.sure for each in told]
        best *= max(float(np.prod(so)), float(np.prod([1.0 - each for each in so])))
    return best
