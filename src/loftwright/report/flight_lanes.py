"""From a reconstructed flight to a strip: the forecast as a band, the record in ink."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.results import Artefact, FlightEvent, Reconstruction
from loftwright.rehearsal.results import Stay
from loftwright.report.estimates import moment, plus_minus
from loftwright.report.expectation import due
from loftwright.report.flight_told import Expected, FlightReport
from loftwright.report.left_out import left_out
from loftwright.report.log_stages import NO_RECORD
from loftwright.report.people_rows import surely_not
from loftwright.report.quantities import amount, unit_of
from loftwright.report.said_units import sentence
from loftwright.report.strip_model import Block, Curve, Event, Lane, Note, Role, Spread, Strip

__all__ = ["event_words", "moment_words", "reported_strips", "stay_words"]

Floats = NDArray[np.float64]

CROWD = ("water out", "air out", "burnout")  # of the boost; the close-up shows them
BEFORE = 0.06  # of the time shown, kept in sight before first motion
PAST_TOP = 1.25  # of the time of the top: where the close-up of the climb ends
CLOSE = 0.6  # of the whole: a part that is shorter is worth showing larger
ROOM = 0.08  # of the heights that count: how far readings that mislead may lead away
LEAST_BLOCK = 0.004  # of the time shown: a spike that is shorter is widened so as to be seen


def reported_strips(report: FlightReport) -> list[Strip]:
    """Return the whole flight, and the climb shown larger where it is a small part of it."""
    whole = _strip(report, None)
    top = report.reconstruction.apogee_time
    if top is None:
        return [whole]
    stop = PAST_TOP * top.value
    if stop <= 0.0 or stop - whole.start > CLOSE * (whole.end - whole.start):
        return [whole]
    part = (max(whole.start, -0.08 * stop), stop)
    return [replace(whole, close_up=part), _strip(report, part)]


def _strip(report: FlightReport, part: tuple[float, float] | None) -> Strip:
    found, system = report.reconstruction, report.units
    start, end = part or _clock(report)
    lanes = [
        _height(report, (start, end), whole=part is None),
        _climb(report, whole=part is None),
        _acceleration(report),
        *_left_out(found, start, end),
        *(_stages(name, stays) for name, stays in report.stays.items() if stays),
    ]
    return Strip(
        title="The climb, shown larger" if part else "The flight",
        description=_described(found, report.expected, system),
        start=start,
        end=end,
        lanes=tuple(lanes),
        events=tuple(_events(report, start, end, whole=part is None)),
    )


def _clock(report: FlightReport) -> tuple[float, float]:
    """From shortly before first motion to shortly after the last thing that is known of."""
    found = report.reconstruction
    last = [each.time.value for each in found.events]
    last += [each.end_s for each in found.descents]
    if found.event("touchdown") is None:
        last += found.curve.time[-1:].tolist()
    last += (due(report.expected, "touchdown") or ())[2:]
    known = [each for each in last if math.isfinite(each)]
    end = max(known, default=1.0)
    end = end if end > 0.0 else 1.0
    return -BEFORE * end, (1.0 + BEFORE) * end


# ---------------------------------------------------------------- lanes


def _spreads(expected: Expected | None, lane: str, size: float, name: str) -> tuple[Spread, ...]:
    band = expected.band if expected else None
    if band is None or lane not in band.lanes:
        return ()
    return (Spread(name, band.time, band.lanes[lane] / size, told="forecast"),)


def _height(report: FlightReport, part: tuple[float, float], *, whole: bool) -> Lane:
    found, system = report.reconstruction, report.units
    unit = unit_of("height", system)
    curves = [
        *_readings(report, unit.size),
        Curve("flown", found.curve.time, found.curve.height / unit.size, Role.RECORD),
    ]
    notes = [*_top(found, system), *_misled(found, part, system)]
    spreads = _spreads(report.expected, "height_m", unit.size, "forecast")
    return Lane("height", unit.symbol, tuple(curves), spreads, tuple(notes),
                height=210.0 if whole else 150.0)  # fmt: skip


def _readings(report: FlightReport, size: float) -> Iterator[Curve]:
    """Yield all that the log read, in grey; what lies far off the flight runs along the edge."""
    found, expected = report.reconstruction, report.expected
    seen = [found.curve.height, np.where(found.used, found.raw_height, np.nan)]
    if expected and expected.band and "height_m" in expected.band.lanes:
        seen.append(expected.band.lanes["height_m"].ravel())
    numbers = np.concatenate(seen)
    numbers = numbers[np.isfinite(numbers)]
    if numbers.size:
        low, high = float(numbers.min()), float(numbers.max())
        room = ROOM * (high - low)
        within = ((low - room) / size, (high + room) / size)
        yield Curve(
            "", found.raw_time, found.raw_height / size, Role.SENSED,
            faint=True, sheer=True, told="log", within=within,
        )  # fmt: skip


def _top(found: Reconstruction, system: str) -> Iterator[Note]:
    if found.apogee is None or found.apogee_time is None:
        return
    words = plus_minus(found.apogee.value, found.apogee.sd, "height", system)
    shown = found.apogee.value / unit_of("height", system).size
    yield Note(found.apogee_time.value, shown, words)


def _misled(found: Reconstruction, part: tuple[float, float], system: str) -> Iterator[Note]:
    """Say where each artefact is and by how much it would mislead, on the flight itself."""
    unit = unit_of("height", system)
    for each in left_out(found.artefacts):
        middle = 0.5 * (each.time_s + each.until_s)
        if not part[0] <= middle <= part[1] or not found.curve.time.size:
            continue
        at = float(np.interp(middle, found.curve.time, found.curve.height)) / unit.size
        yield Note(middle, at, f"! {_short(each, system)}", "warning")


def _short(artefact: Artefact, system: str) -> str:
    if not math.isfinite(artefact.size_m) or artefact.size_m == 0.0:
        return artefact.kind
    return f"{artefact.kind}, {amount(abs(artefact.size_m), 'height', system, 2)}"


def _climb(report: FlightReport, *, whole: bool) -> Lane:
    found, system = report.reconstruction, report.units
    unit = unit_of("speed", system)
    curve = Curve("", found.curve.time, found.curve.climb / unit.size, Role.RECORD, told="flown")
    spreads = _spreads(report.expected, "climb_m_s", unit.size, "")
    notes = []
    if found.max_climb is not None and np.isfinite(found.curve.climb).any():
        at = int(np.nanargmax(found.curve.climb))
        words = plus_minus(found.max_climb.value, found.max_climb.sd, "speed", system)
        notes.append(
            Note(float(found.curve.time[at]), float(found.curve.climb[at]) / unit.size, words)
        )
    if whole:
        for each in found.descents:
            words = (
                f"{each.phase} {plus_minus(each.rate_m_s.value, each.rate_m_s.sd, 'speed', system)}"
            )
            notes.append(
                Note(0.5 * (each.begin_s + each.end_s), -each.rate_m_s.value / unit.size, words)
            )
    return Lane("climb", unit.symbol, (curve,), spreads, tuple(notes), height=110.0)


def _acceleration(report: FlightReport) -> Lane:
    found, unit = report.reconstruction, unit_of("acceleration", report.units)
    curve = Curve(
        "", found.curve.time, found.curve.acceleration / unit.size, Role.RECORD, told="flown"
    )
    spreads = _spreads(report.expected, "acceleration_m_s2", unit.size, "")
    return Lane("acceleration", unit.symbol, (curve,), spreads, height=84.0)


def _left_out(found: Reconstruction, start: float, end: float) -> Iterator[Lane]:
    """Yield a lane with the stretches in which the readings are not the flight."""
    least = LEAST_BLOCK * (end - start)
    blocks = []
    for each in found.artefacts:
        middle, half = 0.5 * (each.time_s + each.until_s), 0.5 * (each.until_s - each.time_s)
        half = max(half, 0.5 * least)
        if middle + half >= start and middle - half <= end:
            blocks.append(Block(f"! {each.kind}", middle - half, middle + half, "warning"))
    if blocks:
        yield Lane("left out", "not the flight", blocks=tuple(blocks), height=30.0)


def _stages(name: str, stays: Sequence[Stay]) -> Lane:
    blocks = tuple(
        Block(f"! {each.stage}", each.start, each.end, "warning")
        if each.stage == NO_RECORD
        else Block(each.stage, each.start, each.end)
        for each in stays
    )
    return Lane(name, "stages", blocks=blocks, height=34.0)


# ---------------------------------------------------------------- events and words


def _events(report: FlightReport, start: float, end: float, *, whole: bool) -> Iterator[Event]:
    found = report.reconstruction
    crowded = whole and end - start > 4.0
    for each in found.events:
        if crowded and each.kind in CROWD:
            continue
        known = None if each.commanded else due(report.expected, each.kind)
        early, late = (known[0], known[2]) if known else (None, None)
        role = "payload" if each.kind.startswith("release") else "ink"
        yield Event(moment_words(each), each.time.value, early, late, role=role)
    for each in report.told:
        early, _, late = due(report.expected, each.kind) or (None, None, None)
        role = "payload" if each.kind.startswith("release") else "ink"
        yield Event(f"{each.kind}, seen", each.time.value, early, late, role=role)
    told = {each.kind for each in report.told}
    for saw, _ in surely_not(report):
        known = due(report.expected, saw.what)
        if known is not None:
            told.add(saw.what)
            words = f"! {saw.what} due, did not happen"
            yield Event(words, known[1], known[0], known[2], role="warning")
    for lost in found.missing:
        known = due(report.expected, lost.kind)
        if known is None or lost.kind in told or (crowded and lost.kind in CROWD):
            continue
        yield Event(f"{lost.kind} due, not visible", known[1], known[0], known[2], role="quiet")


def event_words(event: FlightEvent) -> str:
    """Return a moment and when, such as ``"apogee at 2.31 s"``."""
    return f"{moment_words(event)} at {moment(event.time.value)}"


def moment_words(event: FlightEvent) -> str:
    """Return what a moment is called; that of a command says so."""
    return f"{event.kind} commanded" if event.commanded else event.kind


def _described(found: Reconstruction, expected: Expected | None, system: str) -> str:
    """The strip, for who hears it."""
    top = (
        "Greatest height not visible."
        if found.apogee is None
        else f"Greatest height {plus_minus(found.apogee.value, found.apogee.sd, 'height', system)}."
    )
    told = "; ".join(event_words(each) for each in found.events)
    left = "".join(
        f" Left out: {sentence(each.says, system)}" for each in left_out(found.artefacts)
    )
    band = " The band is the forecast, 5 to 95 %." if expected and expected.band else ""
    return f"Height, climb and acceleration as recorded. {top} {told}.{left}{band}"


def stay_words(stays: Mapping[str, Sequence[Stay]]) -> list[str]:
    """Return a sentence for each controller: its stages, and when each begins."""
    said = []
    for name, each in stays.items():
        told = [
            stay.stage if number == 0 else f"{stay.stage} at {moment(stay.start)}"
            for number, stay in enumerate(each)
        ]
        if told:
            said.append(f"{name[:1].upper()}{name[1:]}: {'; '.join(told)}.")
    return said
