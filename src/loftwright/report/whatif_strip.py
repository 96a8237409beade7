"""The strip of a what-if: the forecast as a band, the baseline as dashed lines beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from loftwright.flight.figures import prefix_of
from loftwright.flight.results import Band
from loftwright.report.bodies import dash_of, role_of, root_of, short_names
from loftwright.report.quantities import Unit, amount, unit_of
from loftwright.report.strip_model import Curve, Event, Lane, Note, Role, Spread, Strip
from loftwright.study.whatif import WhatIfAnswer

__all__ = ["whatif_strips"]

POINTS = 60  # of a line: enough for the eye, few enough for the hand
PAST_TOP = 1.25  # of the time of the top: where the close-up of the climb ends
DASH = "7 4"
_LANES: Final = (("height_m", "height", "height"), ("climb_m_s", "climb", "speed"))
_EVENTS: Final = (("end of thrust", "burnout_s"), ("top", "apogee_time_s"),
                  ("canopy open", "canopy_open_s"))  # fmt: skip


def whatif_strips(
    answer: WhatIfAnswer, pinned: WhatIfAnswer | None = None, *, coarse: bool = True
) -> list[Strip]:
    """Return the climb shown larger, then the whole flight.

    ``coarse`` lines have few points: a moving hand sees no more, and they are drawn sooner.
    """
    both = [answer] if pinned is None else [answer, pinned]
    points = POINTS if coarse else None
    top = max(_middle(each, "apogee_time_s") or 0.0 for each in both)
    whole = max((float(each.band.time[-1]) for each in both if len(each.band.time)), default=1.0)
    strips = []
    close = 0.0 < PAST_TOP * top < 0.6 * whole
    if close:
        strips.append(_strip("The climb", answer, pinned, _steady(PAST_TOP * top), _LANES, points))
    lanes = _LANES[:1] if close else _LANES
    strips.append(_strip("The whole flight", answer, pinned, _steady(whole), lanes, points))
    return strips


def _coarse(band: Band, end: float, points: int) -> Band:
    """Return a band up to ``end`` with so many points that a line looks smooth."""
    clock = np.linspace(0.0, end, points)
    clock = clock[clock <= band.time[-1]] if len(band.time) else clock[:0]
    lanes = {
        name: np.column_stack([np.interp(clock, band.time, column) for column in rows.T])
        for name, rows in band.lanes.items()
    }
    return Band(clock, lanes)


def _steady(end: float) -> float:
    """Round an end up, so that the clock does not run along with the hand."""
    step = 10.0 ** math.floor(math.log10(max(end, 1e-3))) / 2.0
    return step * math.ceil(end / step)


def _strip(
    title: str,
    answer: WhatIfAnswer,
    pinned: WhatIfAnswer | None,
    end: float,
    wanted: tuple[tuple[str, str, str], ...],
    points: int | None,
) -> Strip:
    system = answer.campaign.head.units
    now, other = answer, pinned
    if points is not None:
        now = replace(answer, band=_coarse(answer.band, end, points))
        other = pinned and replace(pinned, band=_coarse(pinned.band, end, points))
    lanes = [
        _lane(lane, words, unit_of(kind, system), now, other, end) for lane, words, kind in wanted
    ]
    events = [each for each in _events(answer) if each.time <= end]
    return Strip(title, _described(answer, pinned), 0.0, end, tuple(lanes), tuple(events))


def _described(answer: WhatIfAnswer, pinned: WhatIfAnswer | None) -> str:
    system = answer.campaign.head.units
    top, when = (_middle(answer, key) for key in ("apogee_m", "apogee_time_s"))
    said = f"Height and climb over time: {amount(top, 'height', system)} up at the top, "
    said += f"{amount(when, 'time', system)} after liftoff."
    if pinned is not None:
        other = amount(_middle(pinned, "apogee_m"), "height", system)
        said += f" Dashed, the baseline: {other}."
    return said


def _middle(answer: WhatIfAnswer, key: str) -> float | None:
    column = answer.columns.get(key, np.zeros(0))
    known = column[np.isfinite(column)]
    return float(np.median(known)) if known.size else None


def _lane(
    lane: str,
    words: str,
    unit: Unit,
    answer: WhatIfAnswer,
    pinned: WhatIfAnswer | None,
    end: float,
) -> Lane:
    first = lane == "height_m"
    spreads = [Spread(_own(answer, "vehicle") if first else "", answer.band.time,
                      answer.band.lanes[lane] / unit.size)]  # fmt: skip
    if first:
        spreads += _others(answer, unit)
    curves = [] if pinned is None else list(_baseline(pinned.band, lane, unit, named=first))
    notes = list(_notes(answer, lane, unit, end))
    return Lane(words, unit.symbol, tuple(curves), tuple(spreads), tuple(notes),
                height=160.0 if first else 90.0)  # fmt: skip


def _own(answer: WhatIfAnswer, body: str) -> str:
    return short_names(answer.campaign).get(body, body)


def _others(answer: WhatIfAnswer, unit: Unit) -> Iterator[Spread]:
    """Yield the heights of what has left the vehicle, each from when it usually has."""
    told = set()
    for lane, rows in answer.band.lanes.items():
        body = lane.removesuffix("_height_m")
        root = root_of(body)
        released = _middle(answer, f"{prefix_of(root)}release_time_s")
        if lane == body or released is None or root in told:
            continue
        told.add(root)
        late = answer.band.time >= released
        role = Role.PAYLOAD if role_of(body) == "payload" else Role.FORECAST
        yield Spread(_own(answer, root), answer.band.time[late], rows[late] / unit.size, role,
                     dash_of(body))  # fmt: skip


def _baseline(band: Band, lane: str, unit: Unit, *, named: bool) -> Iterator[Curve]:
    if lane not in band.lanes:
        return
    low, _, middle, _, high = (band.lanes[lane] / unit.size).T
    yield Curve("baseline" if named else "", band.time, middle, Role.RECORD, dash=DASH)
    for edge in (low, high):
        yield Curve("", band.time, edge, Role.SENSED, faint=True, dash="2 3")


def _notes(answer: WhatIfAnswer, lane: str, unit: Unit, end: float) -> Iterator[Note]:
    """Yield words at the top and at the release point."""
    system = answer.campaign.head.units
    if lane == "height_m":
        top, when = (_middle(answer, key) for key in ("apogee_m", "apogee_time_s"))
        if top is not None and when is not None and when <= end:
            yield Note(when, unit.of(top), amount(top, "height", system))
        return
    for root in answer.campaign.payloads:
        prefix = prefix_of(root)
        when, climb = (_middle(answer, f"{prefix}release_{key}") for key in ("time_s", "climb_m_s"))
        if when is not None and climb is not None and when <= end:
            words = f"lets go at {amount(climb, 'speed', system)}"
            yield Note(when, unit.of(climb), words, "payload")


def _events(answer: WhatIfAnswer) -> Iterator[Event]:
    yield Event("liftoff", 0.0)
    for words, key in _EVENTS:
        yield from _event(answer, words, key, "ink")
    for root in answer.campaign.payloads:
        name = _own(answer, root)
        words = "release" if name == "payload" else f"{name} let go"
        yield from _event(answer, words, f"{prefix_of(root)}release_time_s", "payload")
    for root in ("boosters", "upper"):
        yield from _event(answer, f"{_own(answer, root)} parts", f"{root}_release_time_s", "ink")
    names = short_names(answer.campaign)
    for body in names:
        role = "payload" if role_of(body) == "payload" else "ink"
        yield from _event(answer, f"{names[body]} down", f"touchdown_{body}_time_s", role)


def _event(answer: WhatIfAnswer, words: str, key: str, role: str) -> Iterator[Event]:
    """Yield when something usually happens, if it does in half of the flights at least."""
    column = answer.columns.get(key, np.zeros(0))
    known = column[np.isfinite(column)]
    if 2 * known.size > column.size:
        early, middle, late = (float(each) for each in np.percentile(known, (5.0, 50.0, 95.0)))
        yield Event(words, middle, early, late, role=role)
