"""Clocks and sightings in words: what each clock says of the flight, and what was left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite, sqrt

from loftwright.debrief.clocks.results import Clocks, SolvedClock, Told
from loftwright.debrief.clocks.sighting_results import SightedPosition
from loftwright.report.quantities import NO_BREAK, amount, digits
from loftwright.report.reading import listed

__all__ = ["clock_lines", "sight_lines"]

PER = 100.0  # s of which it is told how many a clock gains
NOTHING = "–"


def clock_lines(clocks: Clocks) -> Iterator[str]:
    """Yield a sentence for each clock, for what was left out, and for how well all agree."""
    for clock in clocks.clocks.values():
        yield _clock_words(clocks, clock)
    for each in clocks.untied:
        yield f"{_named(each.clock)}: not tied to the flight; {each.why}."
    for told in clocks.outliers():
        if isfinite(told.test):
            yield _left_out_words(told)
    if clocks.widened > 1.0:
        yield (
            "The sources differ by more than was said of them: what several of them tell is taken "
            f"as {digits(clocks.widened, 2)} times less sure."
        )
    elif clocks.freedom > 0:
        yield "The sources agree as well as was said of them."


def _named(clock: str) -> str:
    """Return a name as a sentence begins with it; a file's stays as it is written."""
    if "." in clock:
        return clock
    return f"{clock[:1].upper()}{clock[1:]}"


def _seconds(value: float, sd: float) -> str:
    """Return a time with its standard deviation, to the digits that this leaves."""
    places = 3 if sd < 0.0095 else 2 if sd < 0.95 else 1
    shown = f"{value:.{places}f}".replace("-", "−")
    if float(f"{value:.{places}f}") == 0.0:
        shown = f"{0.0:.{places}f}"
    return f"{shown}{NO_BREAK}s ± {max(sd, 0.001):.{places}f}{NO_BREAK}s"


def _clock_words(clocks: Clocks, clock: SolvedClock) -> str:
    reading = clock.at - clock.offset / (1.0 + clock.drift)
    at_zero = clocks.to_flight(clock.clock, reading)
    sd = at_zero.sd if at_zero is not None else 0.0
    start = f"{_named(clock.clock)} reads {_seconds(reading, sd)} at first motion"
    if clock.clock == clocks.reference:
        return f"{start}; its second is the one that counts."
    moments = "one moment" if clock.ties == 1 else f"{clock.ties} moments"
    return f"{start}, by {moments}; {_rate_words(clock)}."


def _rate_words(clock: SolvedClock) -> str:
    if not clock.drift_solved:
        within = digits(100.0 * clock.drift_sd, 1)
        return f"its rate is taken as good to {within}{NO_BREAK}%, not compared"
    # A second of the clock is 1 + drift of the flight's: where that is less, the clock gains.
    gains = -clock.drift / (1.0 + clock.drift) * PER
    sd = clock.drift_sd * PER
    way = "gains" if gains >= 0.0 else "loses"
    return f"it {way} {_seconds(abs(gains), sd)} in {PER:.0f}{NO_BREAK}s"


def _left_out_words(told: Told) -> str:
    late = "late" if told.residual > 0.0 else "early"
    telling = told.telling
    return (
        f"{_named(telling.clock)} tells {telling.event} {abs(told.residual):.2f}{NO_BREAK}s {late} "
        "by the others: left out."
    )


# ---------------------------------------------------------------- sightings


def sight_lines(places: Sequence[SightedPosition], system: str) -> Iterator[str]:
    """Yield a sentence for each sighted moment: where, how sure, and whether the lines meet."""
    for each in places:
        what = each.moment or _when(each)
        stations = listed(list(each.stations))
        yield f"{_named(what)} of the {each.of} from {stations}: {_place(each, system)}."


def _when(place: SightedPosition) -> str:
    return (
        "a moment without a clock" if place.time is None else f"{place.time.value:.2f}{NO_BREAK}s"
    )


def _place(each: SightedPosition, system: str) -> str:
    if each.position is None or each.covariance is None:
        return each.says
    if each.agrees is False:
        return f"{each.says}{_missed(each, system)}"
    east, north, up = (float(value) for value in each.position)
    spread = [sqrt(float(each.covariance[axis, axis])) for axis in range(3)]
    level = amount(max(spread[:2]), "distance", system, 2)
    where = (
        f"{amount(up, 'height', system)} ± {amount(spread[2], 'height', system, 2)} up, "
        f"{_way(east, 'east', 'west', system)} and {_way(north, 'north', 'south', system)} of the "
        f"pad, give or take {level}"
    )
    return f"{where}; {each.says}{_missed(each, system)}"


def _way(value: float, ahead: str, behind: str, system: str) -> str:
    return f"{amount(abs(value), 'distance', system, 2)} {ahead if value >= 0.0 else behind}"


def _missed(each: SightedPosition, system: str) -> str:
    if each.miss is None or each.miss_open is None:
        return ""
    miss, left = (amount(value, "distance", system, 2) for value in (each.miss, each.miss_open))
    return f" (they pass {miss} apart, where {left} is open)"
