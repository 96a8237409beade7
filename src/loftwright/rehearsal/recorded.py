"""What a recorded flight is for a rehearsal: pressure at the port and push, from first motion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_guess import rest_of
from loftwright.evidence.log_problems import log_problem
from loftwright.physics.atmosphere import LAPSE_RATE, PRESSURE_EXPONENT
from loftwright.physics.standard_atmosphere import STANDARD_PRESSURE

__all__ = [
    "PressureTruth",
    "RecordFacts",
    "heights_over",
    "port_pressure",
    "pressure_truth",
    "record_facts",
]

Floats = NDArray[np.float64]
STANDARD_PAD = 288.15  # K
# What is taken for a liftoff: common practice, no source.
RISE = 5.0  # m over the rest before it
CLEAR = 8.0  # times the noise of that rest, where that is more
HELD = 0.25  # s that the rise must last without a reading below it
REST = 4.0  # s of rest whose mean counts, ...
GUARD = 1.0  # ... up to this long before, so that the rise itself does not spoil it
LEAST_REST = 5  # readings
LIFTED = 1.0  # m, or three times the noise: a reading above it is of a vehicle that moves
LIFTED_NOISE = 3.0


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """What the log itself says: single readings as they stand in it, nothing smoothed.

    Heights are over the median of the first readings, in the standard atmosphere of the pad's
    temperature; a gust or a spike of the sensor is in them.
    """

    rows: int
    first_s: float
    last_s: float
    raw_highest_m: float
    raw_highest_time_s: float
    raw_highest_line: int
    raw_lowest_pressure_pa: float | None
    raw_largest_push_m_s2: float | None


@dataclass(frozen=True, slots=True)
class PressureTruth:
    """A recorded flight as truth: ``(n,)`` arrays, time zero at first motion.

    ``time_s`` (s, strictly rising), ``port_pressure`` (Pa) as the recorder's sensor had it,
    ``push`` (m/s2, not-a-number where nothing measured it). ``liftoff_s`` is first motion by the
    log's clock, and ``how`` says how it was found.
    """

    time_s: Floats
    port_pressure: Floats
    push: Floats
    liftoff_s: float
    how: str


def port_pressure(log: FlightLog, pad_temperature: float = STANDARD_PAD) -> Floats:
    """Pressure of each row [Pa]; of a log without it, that of the standard atmosphere.

    Height then counts from the median of the first rows, where the pressure is 101325 Pa: the
    program's own height, which follows from the ratio of pressures, comes out as recorded.
    """
    if log.pressure_pa is not None:
        return log.pressure_pa
    assert log.height_m is not None
    over = log.height_m - rest_of(log.height_m)
    left: Floats = np.maximum(1.0 - LAPSE_RATE * over / pad_temperature, 1e-6)
    return STANDARD_PRESSURE * left**PRESSURE_EXPONENT


def heights_over(pressure: Floats, reference: float | Floats, pad_temperature: float) -> Floats:
    """Height over where the pressure is ``reference`` [m]; not-a-number for no pressure at all."""
    ratio = np.where(pressure > 0.0, pressure, np.nan) / reference
    return (1.0 - ratio ** (1.0 / PRESSURE_EXPONENT)) * pad_temperature / LAPSE_RATE


def record_facts(log: FlightLog, pad_temperature: float = STANDARD_PAD) -> RecordFacts:
    """Return the raw facts of a log."""
    pressure = port_pressure(log, pad_temperature)
    height = heights_over(pressure, rest_of(pressure), pad_temperature)
    top = int(np.nanargmax(height))
    lowest = None if log.pressure_pa is None else float(np.nanmin(log.pressure_pa))
    push = log.push_m_s2
    largest = None if push is None or np.isnan(push).all() else float(np.nanmax(push))
    return RecordFacts(
        rows=len(log.time_s),
        first_s=float(log.time_s[0]),
        last_s=float(log.time_s[-1]),
        raw_highest_m=float(height[top]),
        raw_highest_time_s=float(log.time_s[top]),
        raw_highest_line=int(log.line[top]),
        raw_lowest_pressure_pa=lowest,
        raw_largest_push_m_s2=largest,
    )


def pressure_truth(
    log: FlightLog,
    *,
    liftoff_s: float | None = None,
    pad_temperature: float = STANDARD_PAD,
) -> PressureTruth:
    """Return a recorded flight as the truth of a rehearsal, time zero at first motion.

    Liftoff is the first rise of 5 m (or eight times the noise) over the mean of the rest before
    it, which no reading breaks for a quarter of a second. First motion is the last reading before
    it that is not a metre (or three times the noise) over that rest. Rows without pressure, and of
    rows with one time all but the last, are left out.

    Parameters
    ----------
    log : the recorded flight
    liftoff_s : first motion by the log's clock, s; found from the log when left out
    pad_temperature : temperature at the pad, K

    Raises
    ------
    ProblemError
        No liftoff stands out, or the one given is not within the log.
    """
    pressure = port_pressure(log, pad_temperature)
    keep = ~np.isnan(pressure)
    keep[:-1] &= np.diff(log.time_s) > 0.0
    time, pressure = log.time_s[keep], pressure[keep]
    push = np.full(len(time), np.nan) if log.push_m_s2 is None else log.push_m_s2[keep]
    how = "as told"
    if liftoff_s is None:
        liftoff_s, how = _find_liftoff(log.name, time, pressure, pad_temperature)
    elif not time[0] <= liftoff_s < time[-1]:
        allowed = f"give a time from {time[0]:g} s to {time[-1]:g} s, the log's own"
        value = f"{liftoff_s:g} s"
        raise log_problem(
            "log-option", file=log.name, field="--liftoff", value=value, allowed=allowed
        )
    return PressureTruth(time - liftoff_s, pressure, push, liftoff_s, how)


def _find_liftoff(
    name: str, time: Floats, pressure: Floats, pad_temperature: float
) -> tuple[float, str]:
    """Return first motion [s], and how it was found."""
    height = heights_over(pressure, rest_of(pressure), pad_temperature)
    height = np.where(np.isnan(height), 0.0, height)
    rest, noise, enough = _rest_before(time, height)
    need = np.maximum(RISE, CLEAR * noise)
    above = enough & (height - rest > need)
    ends = np.minimum(np.searchsorted(time, time + HELD), len(time) - 1)
    held = np.concatenate([[0], np.cumsum(height - rest > need)])
    whole = above & (held[ends + 1] - held[:-1] == ends + 1 - np.arange(len(time)))
    whole &= time + HELD <= time[-1]
    found = np.flatnonzero(whole)
    if not found.size:
        why = "nothing rises 5 m over a rest of a second or more before it"
        raise log_problem("log-no-liftoff", file=name, why=why)
    first = int(found[0])
    level = rest[first] + max(LIFTED, LIFTED_NOISE * float(noise[first]))
    still = np.flatnonzero(height[:first] <= level)
    start = int(still[-1]) if still.size else 0
    how = (
        f"the last reading within {level - rest[first]:.2g} m of the rest before a rise of "
        f"{need[first]:.2g} m that lasts"
    )
    return float(time[start]), how


def _rest_before(time: Floats, height: Floats) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Mean and noise of the rest before each reading, and whether there is enough of it."""
    # A slow log has few readings in a few seconds: its rest reaches further back.
    every = float(np.median(np.diff(time))) if len(time) > 1 else 0.0
    guard, reach = max(GUARD, 2.5 * every), max(REST, 2.0 * LEAST_REST * every)
    last = np.searchsorted(time, time - guard, side="right")
    first = np.searchsorted(time, time - guard - reach)
    count = last - first
    enough = (count >= LEAST_REST) & (time - guard >= time[0])
    total = np.concatenate([[0.0], np.cumsum(height)])
    square = np.concatenate([[0.0], np.cumsum(height**2)])
    many = np.maximum(count, 1)
    mean = (total[last] - total[first]) / many
    spread = np.sqrt(np.maximum((square[last] - square[first]) / many - mean**2, 0.0))
    return mean, spread, enough
