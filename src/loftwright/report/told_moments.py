"""The moments of a flight that people and films tell and its log does not."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.debrief.clocks.results import Clocks, Moment
from loftwright.debrief.results import FlightEvent, Reconstruction
from loftwright.report.reading import listed

__all__ = ["told_moments"]


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
