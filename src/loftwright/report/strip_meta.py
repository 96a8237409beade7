"""What of a strip is no array, as plain data that JSON can hold, and back.

A file may come from anywhere: whatever ends up in a drawing is held to what our own strips have.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from loftwright.report.strip_model import (
    Block,
    Curve,
    Event,
    Lane,
    Limit,
    Note,
    Role,
    Spread,
    Strip,
)
from loftwright.report.theme import LIGHT

__all__ = ["Damaged", "lanes_of", "meta_of", "strip_of"]

Floats = NDArray[np.float64]
Named = Callable[[NDArray[Any]], str]
Found = Callable[[str], NDArray[Any]]

DASH: Final = re.compile(r"[0-9. ]{0,40}")
MOST: Final = 100_000  # of anything in a list
MOST_WORDS: Final = 4000  # characters of a text
HEIGHTS: Final = (4.0, 2000.0)  # px of a lane


class Damaged(Exception):  # noqa: N818 - it says what is wrong, and becomes a ProblemError
    """Something in a file is not what a strip of ours has; its text says what."""


# ---------------------------------------------------------------- out


def meta_of(strip: Strip, named: Named) -> dict[str, Any]:
    """Return a strip as plain data; ``named`` keeps an array and returns its name."""
    return {
        "title": strip.title,
        "description": strip.description,
        "start": strip.start,
        "end": strip.end,
        "close_up": None if strip.close_up is None else [_told(each) for each in strip.close_up],
        "events": [_plain(event) for event in strip.events],
        "lanes": [_lane(lane, named) for lane in strip.lanes],
    }


def _lane(lane: Lane, named: Named) -> dict[str, Any]:
    return {
        "name": lane.name,
        "unit": lane.unit,
        "height": lane.height,
        "from_zero": lane.from_zero,
        "reach": [_told(each) for each in lane.reach],
        "notes": [_plain(note) for note in lane.notes],
        "limits": [_plain(limit) for limit in lane.limits],
        "blocks": [_plain(block) for block in lane.blocks],
        "curves": [
            _plain(c, time=named(c.time), value=named(c.value), role=c.role.value)
            for c in lane.curves
        ],
        "spreads": [
            _plain(s, time=named(s.time), percentiles=named(s.percentiles), role=s.role.value)
            for s in lane.spreads
        ],
    }


def _plain(thing: Any, **instead: Any) -> dict[str, Any]:
    told = {each.name: instead.get(each.name, getattr(thing, each.name)) for each in fields(thing)}
    return {
        name: _told(value) if isinstance(value, float) else value for name, value in told.items()
    }


def _told(value: float) -> float | str:
    # JSON has no word for these.
    return float(value) if math.isfinite(value) else repr(float(value))


# ---------------------------------------------------------------- back


def strip_of(meta: Mapping[str, Any], found: Found) -> Strip:
    """Return the strip of plain data; ``found`` returns an array by its name.

    Raises `Damaged`.
    """
    try:
        close = meta["close_up"]
        return Strip(
            title=_words(meta["title"]),
            description=_words(meta["description"]),
            start=_finite(meta["start"]),
            end=_finite(meta["end"]),
            lanes=tuple(_lane_of(each, found) for each in lanes_of(meta, "lanes")),
            events=tuple(_event_of(each) for each in lanes_of(meta, "events")),
            close_up=None if close is None else (_number(close[0]), _number(close[1])),
        )
    except (KeyError, IndexError, TypeError, ValueError, AttributeError) as error:
        raise Damaged(f"something in it is not as it should be ({error})") from error


def lanes_of(meta: Mapping[str, Any], key: str) -> list[dict[str, Any]]:
    """Return a list of objects. Raises `Damaged`."""
    listed = meta.get(key)
    if not isinstance(listed, list) or len(listed) > MOST:
        raise Damaged(f"it does not list its {key}")
    if not all(isinstance(each, dict) for each in listed):
        raise Damaged(f"its {key} are not as they should be")
    return listed


def _lane_of(told: Mapping[str, Any], found: Found) -> Lane:
    height = _finite(told["height"])
    return Lane(
        name=_words(told["name"]),
        unit=_words(told["unit"]),
        curves=tuple(_curve_of(each, found) for each in lanes_of(told, "curves")),
        spreads=tuple(_spread_of(each, found) for each in lanes_of(told, "spreads")),
        notes=tuple(
            Note(_number(n["time"]), _number(n["value"]), _words(n["words"]), _colour(n["role"]))
            for n in lanes_of(told, "notes")
        ),
        limits=tuple(
            Limit(_finite(each["value"]), _words(each["words"]))
            for each in lanes_of(told, "limits")
        ),
        height=min(max(height, HEIGHTS[0]), HEIGHTS[1]),
        from_zero=told["from_zero"] is True,
        reach=tuple(_number(each) for each in told["reach"]),
        blocks=tuple(
            Block(_words(b["words"]), _finite(b["start"]), _finite(b["end"]), _colour(b["role"]))
            for b in lanes_of(told, "blocks")
        ),
    )


def _curve_of(told: Mapping[str, Any], found: Found) -> Curve:
    time, value = found(told["time"]), found(told["value"])
    if time.ndim != 1 or value.shape != time.shape:
        raise Damaged("a curve has not as many values as times")
    return Curve(
        _words(told["name"]), time, value, Role(told["role"]),
        faint=told["faint"] is True, sheer=told["sheer"] is True, dash=_dash(told["dash"]),
        told=_words(told["told"]), within=_range(told["within"]),
    )  # fmt: skip


def _spread_of(told: Mapping[str, Any], found: Found) -> Spread:
    time, percentiles = found(told["time"]), found(told["percentiles"])
    if time.ndim != 1 or percentiles.shape != (time.size, 5):
        raise Damaged("a band has not five values at each time")
    role, dash = Role(told["role"]), _dash(told["dash"])
    return Spread(_words(told["name"]), time, percentiles, role, dash, _words(told["told"]))


def _range(value: Any) -> tuple[float, float] | None:
    return None if value is None else (_finite(value[0]), _finite(value[1]))


def _event_of(told: Mapping[str, Any]) -> Event:
    return Event(
        _words(told["words"]),
        _number(told["time"]),
        None if told["early"] is None else _number(told["early"]),
        None if told["late"] is None else _number(told["late"]),
        _colour(told["role"]),
    )


def _words(value: object) -> str:
    if not isinstance(value, str) or len(value) > MOST_WORDS:
        raise Damaged("a name in it is no text")
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise Damaged("a number in it is none")
    return float(value)


def _finite(value: object) -> float:
    number = _number(value)
    if not math.isfinite(number):
        raise Damaged("a number in it is none")
    return number


def _colour(value: object) -> str:
    if value not in LIGHT:
        raise Damaged("a colour in it is unknown")
    return str(value)


def _dash(value: object) -> str | None:
    if value is None:
        return None
    if not isinstance(value, str) or not DASH.fullmatch(value):
        raise Damaged("a dash in it is none")
    return value
