"""Logs as a campaign's own controllers would write them on forecast flights, with what was true."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
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
Whole = NDArray[np.intp]
GROUND = 8.0  # s


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


def as_log(
    seen: Watched, controller: str, step: float, water_out: float, ground: float = GROUND
) -> RehearsedLog:
    """Return what a controller that samples every ``step`` (s) of its own clock writes down.

    Rehearsals end soon after touchdown; the log goes on for ``ground`` (s) as it was on the pad.
    """
    sensed, truth = seen.sensed[controller], seen.truth
    down = float(truth["time_s"][-1])
    rest = _pad_rows(sensed["time_s"], ground)
    time = np.concatenate(
        [sensed["time_s"], sensed["time_s"][-1] + np.diff(sensed["time_s"][:2]) * (1 + rest)]
    )
    pressure, push = (
        np.concatenate([sensed[name], _lying(sensed[name], rest, sensed["time_s"] > down)])
        for name in ("pressure_pa", "push_m_s2")
    )
    log = FlightLog(
        name=f"flight-{seen.flight}.csv",
        time_s=step * np.arange(len(time), dtype=np.float64),
        pressure_pa=pressure,
        height_m=None,
        push_m_s2=None if np.isnan(push).all() else push,
        battery_v=None,
        line=np.arange(2, len(time) + 2, dtype=np.int32),
        marks=(),
        columns=(),
        notes=(),
        warnings=(),
        sha256=sha256(pressure.tobytes()).hexdigest(),
    )
    height, climb = (
        np.interp(time, truth["time_s"], truth[name]) for name in ("height_m", "climb_m_s")
    )
    events = dict(seen.events)
    if np.isfinite(water_out):
        events["water out"] = water_out
    if "payload" in seen.acts:
        events["release"] = seen.acts["payload"]
    climb[time > events.get("touchdown", np.inf)] = 0.0
    return RehearsedLog(log, time, height, climb, events, float(truth["height_m"].max()))


def _pad_rows(time: Floats, ground: float) -> Whole:
    """Numbers of rows on the pad that last for ``ground`` (s), as many as there are."""
    return np.arange(int((time < min(ground, -time[0]) + time[0]).sum()))


def _lying(values: Floats, rest: Whole, down: NDArray[np.bool_]) -> Floats:
    """Readings of the pad, shifted to what is read at the end."""
    if not rest.size:
        return values[:0]
    end = values[down][-20:] if down.any() else values[-1:]
    if not np.isfinite(end).any() or np.ptp(end[np.isfinite(end)]) == 0.0:
        return np.full(rest.size, end[-1])  # a sensor that is dead or stuck stays so
    return np.asarray(values[rest] - np.nanmean(values[rest]) + np.nanmean(end))


def _water_out(flown: Flown, flight: int) -> float:
    """When the water was out [s], not-a-number where nothing says it."""
    return float(flown.figures(0, "water_out_s")[flight])
