"""The room that things take up around a body, as rules need it to find overlaps.

A thing is a piece of a ring: from ``front`` to ``end`` along the axis, from ``inner`` to ``outer``
off it, and ``half`` to both sides of the direction ``around``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from loftwright.documents.payload import Payload
from loftwright.documents.stage import Boosters
from loftwright.documents.vehicle import Fins, Vehicle

__all__ = [
    "Room",
    "booster_rooms",
    "fin_rooms",
    "overlap",
    "payload_room",
    "radius_at",
]

TOUCHING = 1e-3  # m; tape measures are no better
TURN = 2.0 * math.pi

NOSE_RADIUS: dict[str, Callable[[float], float]] = {
    "cone": lambda x: x,
    "parabola": math.sqrt,
    "ellipsoid": lambda x: math.sqrt(2.0 * x - x * x),
    "ogive": lambda x: 2.0 * x - x * x,
}


class Room(NamedTuple):
    """A piece of a ring around the axis; m and rad."""

    front: float
    end: float
    inner: float
    outer: float
    around: float
    half: float


def overlap(a: Room, b: Room) -> bool:
    """Tell whether two pieces of ring share more room than a tape measure can tell apart."""
    along = min(a.end, b.end) - max(a.front, b.front)
    off = min(a.outer, b.outer) - max(a.inner, b.inner)
    apart = abs(math.remainder(a.around - b.around, TURN))
    arc = (a.half + b.half - apart) * max(a.inner, b.inner, TOUCHING)
    return min(along, off, arc) > TOUCHING


def radius_at(vehicle: Vehicle, from_nose: float) -> float:
    """Return the radius of the body at a station, m; 0 off its ends."""
    radius, length, nose = (
        0.5 * vehicle.body.diameter.value,
        vehicle.body.length.value,
        vehicle.nose.length.value,
    )
    if not 0.0 <= from_nose <= length:
        return 0.0
    if from_nose < nose:
        return radius * NOSE_RADIUS[vehicle.nose.profile](from_nose / nose)
    tail = vehicle.tail
    if tail is not None and from_nose > length - tail.length.value:
        share = (length - from_nose) / tail.length.value
        return 0.5 * tail.diameter.value + share * (radius - 0.5 * tail.diameter.value)
    return radius


def payload_room(payload: Payload, vehicle: Vehicle) -> Room:
    """Return the room of a payload on the vehicle that carries it."""
    carried = payload.carried
    length, width, thick = carried.length.value, carried.width.value, carried.thickness.value
    given = carried.front_from_nose
    front = carried.from_nose.value - 0.5 * length if given is None else given.value
    around = carried.around.value
    if carried.how == "wrapped":
        inner = 0.5 * vehicle.body.diameter.value + carried.gap.value
        half = min(0.5 * width / (inner + 0.5 * thick), math.pi)
    else:
        inner = max(carried.offset.value - 0.5 * thick, 0.0)
        half = math.atan2(0.5 * width, inner)
    return Room(front, front + length, inner, inner + thick, around, half)


def fin_rooms(fins: Fins, vehicle: Vehicle, first: float) -> Iterator[Room]:
    """Yield the room of each fin of a set whose first fin stands at the angle ``first``."""
    radius = 0.5 * vehicle.body.diameter.value
    front = fins.from_nose.value
    end = front + max(fins.root_chord.value, fins.sweep.value + fins.tip_chord.value)
    half = math.atan2(0.5 * fins.thickness.value, radius)
    for k in range(fins.count):
        around = first + TURN * k / fins.count
        yield Room(front, end, radius, radius + fins.span.value, around, half)


def booster_rooms(boosters: Boosters) -> Iterator[Room]:
    """Yield the room of each booster around its carrier, its fins left out."""
    attach, radius = boosters.attach, 0.5 * boosters.body.diameter.value
    front, off = attach.from_nose.value, attach.offset.value
    half = math.asin(min(radius / off, 1.0))
    for k in range(attach.count):
        around = attach.around.value + TURN * k / attach.count
        yield Room(front, front + boosters.body.length.value, off - radius, off + radius,
                   around, half)  # fmt: skip
