"""Logs as a campaign's own controllers would write them on forecast flights, with what was true."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.evidence.flight_log import FlightLog
from loftwright.instruments.cases import Happening
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.results import Watched
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.watching import watched

__all__ = ["RehearsedLog", "as_log", "rehearsed_logs"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class RehearsedLog:
    """A log of a forecast flight, and the truth that it is of.

    ``true_height`` (m) and ``true_climb`` (m/s) are those at the log's rows; ``true_time`` (s) is
    when each row was really taken, from first motion; ``events`` are true times (s) from there.
    """

    log: FlightLog
    true_time: Floats
    true_height: Floats
    true_climb: Floats
    events: dict[str, float]
    apogee_m: float


def rehearsed_logs(
    campaign: Campaign,
    controller: str,
    *,
    seed: int,
    first: int,
    count: int,
    happening: Sequence[Happening] = (),
) -> Iterator[RehearsedLog]:
    """Fly flights ``first`` to ``first + count`` and yield what ``controller`` would log of each.

    Raises
    ------
    ProblemError
        The campaign has no avionics, or its programs would work what cannot be rehearsed.
    """
    plan = plan_of(campaign, seed)
    flown = fly_block(plan, [Trial(happening=tuple(happening))], first, count)
    step = 1e-3 * plan.tables[controller].step_ms
    for flight in range(count):
        seen = watched(plan, flown, flight, case="")
        yield as_log(seen, controller, step, _water_out(flown, flight))


def as_log(seen: Watched, controller: str, step: float, water_out: float) -> RehearsedLog:
    """Return what a controller that samples every ``step`` (s) of its own clock writes down."""
    sensed, truth = seen.sensed[controller], seen.truth
    count = len(sensed["time_s"])
    push = sensed["push_m_s2"]
    pressure = sensed["pressure_pa"]
    log = FlightLog(
        name=f"flight-{seen.flight}.csv",
        time_s=step * np.arange(count),
        pressure_pa=pressure,
        height_m=None,
        push_m_s2=None if np.isnan(push).all() else push,
        battery_v=None,
        line=np.arange(2, count + 2, dtype=np.int32),
        marks=(),
        columns=(),
        notes=(),
        warnings=(),
        sha256=sha256(pressure.tobytes()).hexdigest(),
    )
    height, climb = (
        np.interp(sensed["time_s"], truth["time_s"], truth[name]) for name in
        ("height_m", "climb_m_s")
    )  # fmt: skip
    events = dict(seen.events)
    if np.isfinite(water_out):
        events["water out"] = water_out
    if "payload" in seen.acts:
        events["release"] = seen.acts["payload"]
    return RehearsedLog(
        log, sensed["time_s"], height, climb, events, float(truth["height_m"].max())
    )


def height_only(rehearsed: RehearsedLog, height: Floats) -> RehearsedLog:
    """Return it as a recorder writes it that keeps heights in place of pressures."""
    return replace(rehearsed, log=replace(rehearsed.log, pressure_pa=None, height_m=height))


def _water_out(flown: Flown, flight: int) -> float:
    """When the water was out [s], not-a-number where nothing says it."""
    return float(flown.figures(0, "water_out_s")[flight])
