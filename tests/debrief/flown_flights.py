"""Flights flown by the model with drawn truths, recorded by the instruments' kernel.

They go the whole way of a rehearsal: gusts, noise, steps of the sensor and its clock's drift are in
the log, and the release program decides what is let go when.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from loftwright.debrief.fitting.doubt import MEDIAN_SCALE, SPREAD, smooth_error, vent_error
from loftwright.debrief.fitting.observed import FitInput
from loftwright.documents import read_campaign
from loftwright.documents.campaign import Campaign
from loftwright.documents.flight_record import FlightRecord
from loftwright.evidence.flight_log import FlightLog
from loftwright.physics.atmosphere import LAPSE_RATE, PRESSURE_EXPONENT
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.recorded import STANDARD_PAD
from loftwright.rehearsal.run import Flown, Trial, fly_block
from loftwright.rehearsal.watching import watched

__all__ = ["FlownFlight", "as_log", "flown_flights", "mended"]

EXAMPLES = Path(__file__).parents[2] / "examples"
EVERY = 0.02  # s, of the board's program
LONGEST = 60.0  # s


@dataclass(frozen=True, slots=True)
class FlownFlight:
    """A flight to learn from, and what was true of it, by path, SI."""

    given: FitInput
    truth: dict[str, float]


def mended() -> Campaign:
    """The demo campaign whose glider stays on."""
    return read_campaign(EXAMPLES / "sedge-lift-mended")


def as_log(name: str, time: np.ndarray, pressure: np.ndarray) -> FlightLog:
    """A log of pressures alone."""
    return FlightLog(
        name=name,
        time_s=time,
        pressure_pa=pressure,
        height_m=None,
        push_m_s2=None,
        battery_v=None,
        line=np.arange(2, len(time) + 2, dtype=np.int32),
        marks=(),
        columns=(),
        notes=(),
        warnings=(),
        sha256=f"{abs(hash(name)):064x}"[:64],
    )


def flown_flights(
    campaign: Campaign, seed: int, first: int, count: int, *, own_error: bool = False
) -> Iterator[FlownFlight]:
    """Fly some flights of an ensemble, and yield those on which everything stayed on.

    With ``own_error`` the recorded heights are wrong by a draw of the model's own error.
    """
    plan = plan_of(campaign, seed)
    flown = fly_block(plan, [Trial()], first, count)
    torn = flown.figures(0, "torn_off") > 0.0
    early = flown.figures(0, "release_time_s") < 1.0
    for flight in np.flatnonzero(~torn & ~early):
        yield _one(plan, flown, int(flight), own_error)


def _one(plan: Plan, flown: Flown, flight: int, own_error: bool) -> FlownFlight:
    seen = watched(plan, flown, flight, case="nothing fails")
    board = seen.sensed["board"]
    count = int(np.searchsorted(board["time_s"], LONGEST))
    pressure = board["pressure_pa"][:count].copy()
    if own_error:
        pressure += _error_of(plan, seen, board["time_s"][:count], pressure, flight)
    # By the board's own clock, from power-up.
    clock = EVERY * np.arange(count)
    start = int(max(0.0, -board["time_s"][0] - 8.0) / EVERY)
    log = as_log(f"flight {flown.block.first + flight}", clock[start:], pressure[start:])
    values = flown.block.values[0]
    truth = {
        path: float(np.broadcast_to(values[path], flown.block.count)[flight])
        for path, sd in plan.recipe.sds.items()
        if sd > 0.0
    }
    record = FlightRecord(name=log.name)
    return FlownFlight(FitInput(log.name, plan.campaign, record, log, "board"), truth)


def _error_of(plan, seen, time, pressure, flight):
    """Draw the model's own error, as the fit holds it possible, and return it as pressures."""
    rng = np.random.default_rng([plan.seed, flown_number(seen), 5])
    top = seen.events["apogee"]
    share = np.linspace(0.0, 1.0, 80)
    covariance = smooth_error(share, share) + 1e-9 * np.eye(len(share))
    scale = MEDIAN_SCALE * np.exp(SPREAD * rng.standard_normal())
    height = float(np.max(seen.truth["height_m"]))
    drawn = scale * height * (np.linalg.cholesky(covariance) @ rng.standard_normal(len(share)))
    error = np.interp(time / top, share, drawn)
    # And what the air does at the vents beside one coefficient.
    moments = top * share
    climb = np.maximum(np.interp(moments, seen.truth["time_s"], seen.truth["climb_m_s"]), 0.0)
    wander = vent_error(moments, climb) + 1e-9 * np.eye(len(share))
    wander = np.linalg.cholesky(wander) @ rng.standard_normal(len(share))
    error += np.interp(time, moments, wander, left=0.0, right=0.0)
    # After the ascent the error stays: only the rate counts there.
    level = float(np.median(pressure[:100]))
    slope = -level * PRESSURE_EXPONENT * LAPSE_RATE / STANDARD_PAD
    return slope * error


def flown_number(seen) -> int:
    """The number of a watched flight."""
    return int(seen.flight)
