"""From flights of two settings to strips: one flight in ink, many as a band about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from loftwright.rehearsal.flown_settings import SettingFlown
from loftwright.report.pair import SCALE, TITLE, Pair, on_one_clock
from loftwright.report.quantities import unit_of
from loftwright.report.strip_model import Event, Lane, Role, Spread, Strip
from loftwright.report.watched_lanes import watched_strips

__all__ = ["CLOSE", "setting_pairs"]

CLOSE: Final = "The part in which they act, shown larger"
MOVED: Final = " moved"  # what follows the name of a thing on the rail
_LANES: Final = {"height": ("height_m", "height"), "climb": ("climb_m_s", "speed")}


def setting_pairs(
    flown: Sequence[SettingFlown], labels: Sequence[str], system: str
) -> Iterator[Pair]:
    """Yield the part in which controllers act, shown larger, and the whole flight.

    Each under every setting, on one clock. The part is left out where one of them has none.
    """
    every = [watched_strips(each.watched, system) for each in flown]
    titled = zip((TITLE, CLOSE), zip(*every, strict=False), strict=False)
    for title, strips in reversed(list(titled)):
        shown = [
            _with_band(replace(strip, title=f"{title}, {label}"), each, system)
            for strip, each, label in zip(strips, flown, labels, strict=True)
        ]
        yield Pair(title, tuple(labels), tuple(on_one_clock(shown)), _caption(flown))


def _caption(flown: Sequence[SettingFlown]) -> str:
    said = (
        f"Flight {flown[0].watched.flight}, whose greatest height is the middle one as written. "
        "Ink: as it flew. Coloured: what the controller believed. Thin and grey: what its sensor "
        f"said. Shaded: 5 to 95 % of {flown[0].flights} flights, dotted their median; bars on the "
        "rail: when it happens in them."
    )
    return f"{SCALE} {said}" if len(flown) > 1 else said


def _with_band(strip: Strip, flown: SettingFlown, system: str) -> Strip:
    return replace(
        strip,
        lanes=tuple(_lane(lane, flown, system) for lane in strip.lanes),
        events=tuple(_events(strip.events, flown)),
    )


def _lane(lane: Lane, flown: SettingFlown, system: str) -> Lane:
    """Put the band of what flew behind a lane that shows what flew."""
    if lane.blocks or lane.name not in _LANES:
        return lane
    key, kind = _LANES[lane.name]
    shown = flown.band.lanes[key] / unit_of(kind, system).size
    # In ink, as what flew is: colour is what controllers believe.
    many = Spread("", flown.band.time, shown, Role.RECORD, dash="2 3", told="all flown")
    return replace(lane, spreads=(*lane.spreads, many))


def _events(events: Sequence[Event], flown: SettingFlown) -> Iterator[Event]:
    for each in events:
        due = flown.due.get(each.words.removesuffix(MOVED))
        yield each if due is None else replace(each, early=due[0], late=due[1])
