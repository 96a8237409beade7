"""A log in which no flight is seen, debriefed all the same: everything in it is not visible."""

from __future__ import annotations

from typing import Any

import numpy as np

from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.reconstruct import reconstruct
from loftwright.debrief.results import Curve, LawCheck, Missing, Reconstruction
from loftwright.errors import ProblemError
from loftwright.evidence.flight_log import FlightLog

__all__ = ["reconstruct_or_tell", "shows_nothing"]

LEAST = 10  # readings that a flight could be seen in
NOT_SEEN = "log-no-liftoff"
REST = ("water out", "release", "apogee", "canopy open", "touchdown")


def shows_nothing(log: FlightLog) -> bool:
    """Tell whether a log has hardly a reading, or one and the same throughout."""
    values = log.height_m if log.pressure_pa is None else log.pressure_pa
    known = np.zeros(0) if values is None else values[np.isfinite(values)]
    return len(known) < LEAST or bool(np.all(known == known[0]))


def reconstruct_or_tell(log: FlightLog, instrument: Instrument, **about: Any) -> Reconstruction:
    """Reconstruct a flight; where its log shows none, return one of which nothing is known.

    Takes what `reconstruct` takes. The log of a dead or blocked sensor is evidence too: what people
    saw, and what may have gone wrong, can be told beside it. Moments are not-a-number then.

    Raises ``ProblemError`` as `reconstruct`, but for a liftoff that is not found.
    """
    if shows_nothing(log):
        return _unseen(log, instrument)
    try:
        return reconstruct(log, instrument, **about)
    except ProblemError as error:
        if about.get("liftoff_s") is not None or error.problems[0].code != NOT_SEEN:
            raise
    return _unseen(log, instrument)


def _unseen(log: FlightLog, instrument: Instrument) -> Reconstruction:
    """Return a reconstruction in which nothing is visible, and why."""
    rows = len(log.time_s)
    values = log.height_m if log.pressure_pa is None else log.pressure_pa
    there = 0 if values is None else int(np.isfinite(values).sum())
    why = _why(log, there)
    nothing = np.zeros(0)
    return Reconstruction(
        log=log.name,
        sha256=log.sha256,
        liftoff_s=float("nan"),
        curve=Curve(*[nothing] * 7),
        raw_time=log.time_s - log.time_s[0],
        raw_height=np.full(rows, np.nan),
        used=np.zeros(rows, bool),
        events=(),
        missing=(
            Missing("liftoff", why),
            *(Missing(kind, "nor is the liftoff before it") for kind in REST),
        ),
        artefacts=(),
        descents=(),
        apogee=None,
        apogee_time=None,
        max_climb=None,
        naive_max_height_m=float("nan"),
        naive_max_time_s=float("nan"),
        checks=(LawCheck("a flight is seen", False, f"it shows no flight: {why}"),),
        assumed=instrument.assumed,
    )


def _why(log: FlightLog, there: int) -> str:
    if there < LEAST:
        return f"{there} of {len(log.time_s):,} rows have a reading"
    if shows_nothing(log):
        return "all of its readings are the same"
    return "nothing in it rises 5 m over a rest before it and stays there"
