"""Which flight of a log is read, and which of its lines: told, or the only one there is."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.errors import Problem
from loftwright.evidence.log_flights import FlightFinder, FlightSpan
from loftwright.evidence.log_problems import log_problem, log_warning

__all__ = ["Picked", "pick"]

WHOLE = 0.9  # share of the lines that one piece must have to be left to the check of the clock
MOST_SHOWN = 8


@dataclass(frozen=True, slots=True)
class Picked:
    """The lines to read, from the first to the last; None for all of them."""

    lines: tuple[int, int] | None
    count: int  # flights there are
    notes: tuple[str, ...] = ()
    warnings: tuple[Problem, ...] = ()


def pick(file: str, finder: FlightFinder, number: int | None, *, is_long: bool) -> Picked:
    """Say which lines of a log to read.

    With a ``number`` those of that flight. Else all, or where the clock begins again those of the
    one flight that is found. Of a long log those near the flight alone, so that memory stays that
    of a flight.

    Raises
    ------
    ProblemError
        There are several flights and no number, or no flight of this number.
    """
    flights = finder.flights()
    if number is not None:
        if number > len(flights):
            shown = _shown(flights) or "none"
            raise log_problem(
                "log-no-such-flight",
                file=file,
                field="--flight-number",
                value=number,
                count=len(flights),
                shown=shown,
            )
        span = flights[number - 1]
        note = f"flight {number} of {len(flights)} in the file, as told: {span.describe()}"
        return _of(file, span, len(flights), (note,), is_long=is_long)
    if len(flights) > 1:
        raise log_problem(
            "log-several-flights",
            file=file,
            line=flights[1].first,
            count=len(flights),
            shown=_shown(flights),
        )
    if not flights:
        return Picked(None, 0)
    span = flights[0]
    restarted = finder.restarts and span.landed and span.end - span.first < WHOLE * finder.end
    if not restarted:
        return _of(file, span, 1, (), is_long=True) if is_long else Picked(None, 1)
    facts = {"count": finder.restarts, "first": span.first, "last": span.end - 1}
    warning = log_warning("log-flight-cut", file=file, line=span.first, facts=facts)
    return _of(file, span, 1, (), is_long=is_long, warnings=(warning,))


def _of(
    file: str,
    span: FlightSpan,
    count: int,
    notes: tuple[str, ...],
    *,
    is_long: bool,
    warnings: tuple[Problem, ...] = (),
) -> Picked:
    if not is_long:
        return Picked((span.first, span.end - 1), count, notes, warnings)
    first, last = span.near
    facts = {"first": first, "last": last}
    cut = log_warning("log-long-cut", file=file, line=first, facts=facts)
    return Picked(span.near, count, notes, (*warnings, cut))


def _shown(flights: list[FlightSpan]) -> str:
    listed = [f"{i}: {each.describe()}" for i, each in enumerate(flights[:MOST_SHOWN], start=1)]
    more = len(flights) - len(listed)
    return "; ".join([*listed, *([f"and {more} more"] if more else [])])
