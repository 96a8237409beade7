"""Times that were stopped by hand, each held against the log's own."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, sqrt

from loftwright.debrief.clocks.by_hand import PRESS_SD, sd_of
from loftwright.debrief.clocks.clocks import moment_of, stopwatch_clock
from loftwright.debrief.results import Estimate, LawCheck, Reconstruction
from loftwright.documents.flight_record import FlightRecord, Stopwatch

__all__ = ["stopwatch_checks"]

WIDE = 2.0  # standard deviations within which two times agree, at 95 %


def stopwatch_checks(record: FlightRecord, log: Reconstruction) -> tuple[LawCheck, ...]:
    """Return a check of every stopped time: the log's time between the same two moments.

    It agrees within two standard deviations of both together. Where the log does not show one of
    the moments, it cannot tell.
    """
    return tuple(_checks(record, log))


def _checks(record: FlightRecord, log: Reconstruction) -> Iterator[LawCheck]:
    told = {moment_of(each.kind, "vehicle"): each.time for each in log.events}
    told.setdefault(("liftoff", "vehicle"), Estimate(0.0, 0.0, 0.0, 0.0))
    for number, watch in enumerate(record.stopwatch):
        yield _check(stopwatch_clock(number, watch), watch, told)


def _check(name: str, watch: Stopwatch, told: dict[tuple[str, str], Estimate]) -> LawCheck:
    between = f"from {watch.begin} to {watch.end}"
    ends = [told.get(moment_of(event, watch.of)) for event in (watch.begin, watch.end)]
    shown = f"{watch.time.value:.2f} s {between}"
    missing = [
        event for event, time in zip((watch.begin, watch.end), ends, strict=True) if time is None
    ]
    begin, end = ends
    if begin is None or end is None:
        body = "" if watch.of == "vehicle" else f" of the {watch.of}"
        return LawCheck(name, None, f"{shown}: the log does not show {' or '.join(missing)}{body}")
    by_log = end.value - begin.value
    both = hypot(sd_of(watch.time, sqrt(2.0) * PRESS_SD), hypot(begin.sd, end.sd))
    apart = watch.time.value - by_log
    agrees = abs(apart) <= WIDE * both
    way = "longer" if apart > 0.0 else "shorter"
    return LawCheck(
        name,
        agrees,
        f"{shown}, {by_log:.2f} s by the log: {abs(apart):.2f} s {way}, where both together leave "
        f"{WIDE * both:.2f} s open",
    )
