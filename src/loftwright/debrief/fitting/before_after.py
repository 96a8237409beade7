"""A record beside what its barometer would have read, by the documents and after a fit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.fit import Fitting
from loftwright.debrief.fitting.joint import FIRST_MOTION, Number, motion_shift
from loftwright.debrief.fitting.model import FlightModel
from loftwright.debrief.fitting.windows import heights_of
from loftwright.flight.statistics import percentiles
from loftwright.rehearsal.recorded import pressure_truth

__all__ = ["BeforeAfter", "before_and_after"]

Floats = NDArray[np.float64]

MOST = 3  # flights that are flown again, the last ones
PAST_TOP = 1.3  # of the ascent: how far beyond it they are shown


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """One flight: its record and two forecasts of it, heights over its rest [m].

    Time zero is first motion as the fit has it. ``before`` and ``after`` (m, 5) hold percentiles of
    what the barometer would read in ``flights`` flights at ``time`` (m,), gusts drawn, with fields
    as unsure as the documents and as the posterior say. ``until`` is where the ascent that counted
    ends.
    """

    name: str
    record_time: Floats
    record: Floats
    time: Floats
    before: Floats
    after: Floats
    until: float
    flights: int


def before_and_after(fitting: Fitting, *, flights: int = 200) -> Iterator[BeforeAfter]:
    """Fly the last flights of a fit again; those whose ascent did not count are left out."""
    joint = fitting.joint
    rng = np.random.default_rng(fitting.fit.seed)
    priors = {number: rng.standard_normal(flights) for number in fitting.every}
    drawn = fitting.posterior.draws(flights, rng)
    # What acts on nothing that was recorded is as unsure as before: the very same draws.
    posteriors = priors | dict(zip(joint.numbers, drawn.T, strict=True))
    means = dict(zip(joint.numbers, fitting.posterior.mean.tolist(), strict=True))
    shown = [place for place, each in enumerate(joint.models) if each.observed.ascent is not None]
    for place in shown[-MOST:]:
        shift = motion_shift(joint.models[place], means.get(Number(FIRST_MOTION, place), 0.0))
        yield _flight(joint.models[place], place, priors, posteriors, shift, fitting.fit.seed)


def _flight(
    model: FlightModel,
    place: int,
    priors: Mapping[Number, Floats],
    posteriors: Mapping[Number, Floats],
    shift: float,
    seed: int,
) -> BeforeAfter:
    given, ascent = model.observed.given, model.observed.ascent
    assert given.log is not None
    assert ascent is not None
    heights = heights_of(pressure_truth(given.log, liftoff_s=given.liftoff_s))
    until = float(ascent.times[-1]) - shift
    end = PAST_TOP * until
    flights = len(next(iter(priors.values())))
    bands = []
    for numbers in (priors, posteriors):
        time, read = model.readings(_own(numbers, place), flights, end, seed)
        bands.append(percentiles(read))
    since = heights.time - shift
    shown = (since >= time[0]) & (since <= time[-1])
    return BeforeAfter(
        name=given.name,
        record_time=since[shown],
        record=heights.height[shown],
        time=time,
        before=bands[0],
        after=bands[1],
        until=until,
        flights=flights,
    )


def _own(numbers: Mapping[Number, Floats], place: int) -> dict[str, Floats]:
    """Return the numbers that act on one flight, by path."""
    return {
        number.path: column
        for number, column in numbers.items()
        if number.flight in (None, place) and number.path != FIRST_MOTION
    }
