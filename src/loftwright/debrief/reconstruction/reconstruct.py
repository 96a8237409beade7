"""A flight as it must have been, from one log of it."""

from __future__ import annotations

from math import hypot

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.artefacts import artefacts_of
from loftwright.debrief.reconstruction.blend import Blend, blended
from loftwright.debrief.reconstruction.events import Seen, descents_of, events_of
from loftwright.debrief.reconstruction.found import Found
from loftwright.debrief.reconstruction.instrument import Instrument
from loftwright.debrief.reconstruction.laws import laws_checked
from loftwright.debrief.reconstruction.readings import Readings, readings_of
from loftwright.debrief.reconstruction.search import find_flight
from loftwright.debrief.reconstruction.unfit import without_unfit
from loftwright.debrief.results import Curve, Reconstruction
from loftwright.errors import ProblemError
from loftwright.evidence.flight_log import FlightLog
from loftwright.evidence.log_problems import log_problem
from loftwright.physics.atmosphere import GRAVITY
from loftwright.rehearsal.recorded import heights_over, port_pressure, pressure_truth

__all__ = ["reconstruct"]

Floats = NDArray[np.float64]
REST = 30.0  # s before liftoff that count
LONGEST = 1800.0  # s after liftoff that count: nothing hangs in the air for longer
THRUST, THRUST_FOR = 3.0 * GRAVITY, 0.06  # m/s2 over the rest, and s: a push (judgement)
PAD_TEMPERATURE_SD = 2.0  # K, of a thermometer in somebody's hand (common practice, no source)


def reconstruct(
    log: FlightLog,
    instrument: Instrument,
    *,
    pad_temperature: float,
    pad_pressure: float | None,
    liftoff_s: float | None = None,
    pad_temperature_sd: float = PAD_TEMPERATURE_SD,
) -> Reconstruction:
    """Reconstruct a flight from a log: its path with honest bands, its events, what misleads.

    Parameters
    ----------
    log : the record
    instrument : what wrote it, see ``instrument_of`` and ``assumed_instrument``
    pad_temperature : air temperature at the pad, K; heights are in proportion to it
    pad_pressure : absolute pressure at the pad, Pa; None takes the record's own rest for it
    liftoff_s : about when first motion is, s by the log's clock; found from the log when left out
    pad_temperature_sd : standard deviation of the temperature, K

    Returns
    -------
    Reconstruction
        The path's bands hold by the log's clock; the times of events carry that clock's own
        uncertainty.

    Raises
    ------
    ProblemError
        No liftoff stands out, or the one given is not within the log.

    Notes
    -----
    Forward-backward smoothing (Kalman 1960; Rauch, Tung and Striebel 1965; in the form of Bierman
    1973) about the last path (Bell 1994), the white jerk of each phase and the moments between
    phases where the readings are likeliest; readings that stray weigh less (Huber 1964). All from
    memory. See docs/physics/reconstruction.md.
    """
    fit, unfit = without_unfit(log, instrument)
    about = _liftoff(fit, liftoff_s, pad_temperature)
    window = (about - REST, about + LONGEST)
    readings = readings_of(
        fit, instrument, liftoff=about, pad_temperature=pad_temperature, window=window
    )
    found = find_flight(readings, instrument, about, float(log.time_s[0]))
    relative = pad_temperature_sd / pad_temperature
    blend = blended(found)
    found.shape = found.shape.moved("liftoff", found.moments["liftoff"].time)
    seen = Seen(found, blend, _curve(found, blend, instrument, relative), log, relative)
    events, missing = events_of(seen)
    descents = descents_of(seen)
    raw = heights_over(port_pressure(log, pad_temperature), readings.rest.pressure, pad_temperature)
    naive = int(np.nanargmax(raw))
    apogee, apogee_time = seen.apogee(), seen.apogee_time()
    liftoff = found.shape.liftoff
    draft = Reconstruction(
        log=log.name,
        sha256=log.sha256,
        liftoff_s=liftoff,
        curve=seen.curve,
        raw_time=log.time_s - liftoff,
        raw_height=raw,
        used=_used(log, found),
        events=events,
        missing=missing,
        artefacts=artefacts_of(seen, unfit),
        descents=descents,
        apogee=apogee,
        apogee_time=apogee_time,
        max_climb=seen.max_climb(),
        naive_max_height_m=float(raw[naive]),
        naive_max_time_s=float(log.time_s[naive]) - liftoff,
        notes=(*readings.notes, *_pad_notes(readings, log, pad_pressure), *seen.notes()),
        assumed=instrument.assumed,
    )
    return laws_checked(draft, readings.rest.moved)


def _liftoff(log: FlightLog, told: float | None, pad_temperature: float) -> float:
    """Return about when first motion is [s], by the log's clock."""
    try:
        found = pressure_truth(log, liftoff_s=told, pad_temperature=pad_temperature)
    except ProblemError as problem:
        pushed = _pushed_at(log)
        if problem.problems[0].code != "log-no-liftoff" or pushed is None:
            raise
        why = (
            f"it is pushed at {pushed:.2f} s, but the pressure does not fall as in a climb: vents "
            "are blocked, or the barometer is dead or frozen"
        )
        raise log_problem("log-no-liftoff", file=log.name, why=why) from None
    return found.liftoff_s


def _pushed_at(log: FlightLog) -> float | None:
    """Return when an accelerometer first feels a push that lasts [s]."""
    if log.push_m_s2 is None:
        return None
    rest = float(np.nanmedian(log.push_m_s2))
    hard = np.flatnonzero(np.abs(log.push_m_s2 - rest) > THRUST)
    groups = np.split(hard, np.flatnonzero(np.diff(hard) > 1) + 1) if hard.size else []
    for group in groups:
        if log.time_s[group[-1]] - log.time_s[group[0]] >= THRUST_FOR:
            return float(log.time_s[group[0]])
    return None


def _curve(found: Found, blend: Blend, instrument: Instrument, relative: float) -> Curve:
    """The path from a second before liftoff, bands widened by what all of it shares.

    Heights, climbs and accelerations are in proportion to the pad's temperature; by a clock that
    runs fast, climbs are too small by its share, and accelerations by twice that.
    """
    sd = np.sqrt(np.maximum(blend.variance, 0.0)).T
    height, climb, gain = blend.mean.T
    clock = instrument.clock_drift
    sideways = abs(blend.port[0]) * found.sideways(blend.time) / (2.0 * GRAVITY)
    return Curve(
        time=blend.time - found.shape.liftoff,
        height=height,
        height_sd=np.hypot(np.hypot(sd[0], relative * height), sideways),
        climb=climb,
        climb_sd=np.hypot(sd[1], hypot(relative, clock) * climb),
        acceleration=gain,
        acceleration_sd=np.hypot(sd[2], hypot(relative, 2.0 * clock) * gain),
    )


def _used(log: FlightLog, found: Found) -> NDArray[np.bool_]:
    """Tell which rows of the log counted."""
    used = np.zeros(len(log.time_s), bool)
    rest = found.readings.time <= found.start.time
    used[found.readings.row[found.keep | rest]] = True
    return used


def _pad_notes(readings: Readings, log: FlightLog, pad_pressure: float | None) -> tuple[str, ...]:
    if pad_pressure is None or log.pressure_pa is None:
        return ()
    off = readings.rest.pressure - pad_pressure
    if abs(off) < 300.0:
        return ()
    return (
        f"at rest the log reads {off / 100.0:+.1f} hPa off the pad's own pressure: heights count "
        "from its own rest, so that this does them no harm",
    )
