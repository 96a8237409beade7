"""Whose clock said what: the clocks of a flight in words, and the moments that only people tell."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.debrief.clock_results import Clocks, Moment, SolvedClock, Told
from loftwright.debrief.results import Estimate, FlightEvent, Reconstruction
from loftwright.report.estimates import moment
from loftwright.report.flight_told import ClockLine
from loftwright.report.reading import listed

__all__ = ["clock_lines", "left_out_words", "told_moments"]

STOPPED = "stopwatch"  # how clocks begin that are one stopped time; they are checked by themselves
NINE_IN_TEN = 1.6448536  # standard deviations to either side


def clock_lines(clocks: Clocks) -> tuple[ClockLine, ...]:
    """Return each clock with its reading at first motion; then those that nothing ties."""
    tied = [
        ClockLine(name, _zero(each), _tied(each, clocks))
        for name, each in clocks.clocks.items()
        if not name.startswith(STOPPED)
    ]
    loose = [
        ClockLine(each.clock, None, f"not tied to the flight: {each.why}")
        for each in clocks.untied
        if not each.clock.startswith(STOPPED)
    ]
    # One clock alone is nothing to compare.
    return (*tied, *loose) if len(tied) + len(loose) > 1 else ()


def _zero(clock: SolvedClock) -> Estimate:
    value = clock.at - clock.offset / (1.0 + clock.drift)
    spread = NINE_IN_TEN * clock.offset_sd
    return Estimate(value, clock.offset_sd, value - spread, value + spread)


def _tied(clock: SolvedClock, clocks: Clocks) -> str:
    if clock.clock == clocks.reference:
        return "its second counts"
    count = f"{clock.ties} moments" if clock.ties != 1 else "one moment"
    drift = ""
    if clock.drift_solved:
        way = "slow" if clock.drift > 0.0 else "fast"
        drift = f"; runs {abs(100.0 * clock.drift):.2g} % {way}"
    return f"tied by {count}{drift}"


def told_moments(clocks: Clocks, found: Reconstruction) -> tuple[FlightEvent, ...]:
    """Return the moments that people and films tell and the log does not, in their order.

    A release is told even where the log has one: a log knows when it was commanded.
    """
    seen = {each.kind for each in found.events}
    return tuple(
        FlightEvent(_named(which), time, f"told by {listed(by)}")
        for which, time in sorted(clocks.moments.items(), key=lambda each: each[1].value)
        if (by := list(_by(which, clocks, found.log)))
        and (which[1] != "vehicle" or which[0] not in seen)
    )


def _named(which: Moment) -> str:
    event, of = which
    if event == "release":
        return event if of == "payload" else f"{event} of {of}"
    return event if of == "vehicle" else f"{event} of the {of}"


def _by(which: Moment, clocks: Clocks, log: str) -> Iterator[str]:
    """Yield the clocks other than the log's own that tell a moment."""
    told = (each.telling for each in clocks.told if each.used and each.telling.moment == which)
    yield from dict.fromkeys(
        each.clock for each in told if each.clock not in (log, clocks.reference)
    )


def left_out_words(clocks: Clocks) -> tuple[str, ...]:
    """Return a sentence for each telling that all others contradict."""
    return tuple(_contradicted(each) for each in clocks.outliers())


def _contradicted(each: Told) -> str:
    event, _ = each.telling.moment
    side = "later" if each.residual > 0.0 else "earlier"
    return (
        f"By {each.telling.clock}, {event} was {moment(abs(each.residual))} {side} than all others "
        "tell; it was left out"
    )
