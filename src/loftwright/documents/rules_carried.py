"""What must hold between the things that are carried, and what carries them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftwright.documents.finding import Finding, beyond, listed, told
from loftwright.documents.occupied import (
    booster_rooms,
    fin_rooms,
    overlap,
    payload_room,
    radius_at,
)
from loftwright.documents.payload import Payload
from loftwright.documents.stage import Boosters
from loftwright.documents.vehicle import Vehicle

__all__ = ["AMONG_PAYLOADS", "BESIDE_BOOSTERS", "ON_CARRIER"]

SLACK = 1.02  # how far measured shapes may disagree before it is a slip


def lies_along_its_carrier(payload: Payload, vehicle: Vehicle) -> Iterator[Finding]:
    """See that the payload lies beside the body from end to end."""
    room, length = payload_room(payload, vehicle), vehicle.body.length.value
    whole = told(length, "length")
    mend = "measure from the nose tip of what carries it, aft"
    place = ("carried", "from_nose")
    if beyond(payload.carried.from_nose.value, length) or room.end <= 0.0:
        message = f"the payload sits behind the tail end of the vehicle, {whole}"
        yield Finding("payload-outside", place, message, mend)
    elif room.front < -(SLACK - 1.0) * length:
        ahead = told(-room.front, "length")
        message = f"the payload's front end stands out {ahead} ahead of the nose tip"
        yield Finding("payload-sticks-out", place, message, mend, "warning")
    elif beyond(room.end, length, SLACK):
        behind = told(room.end - length, "length")
        message = f"the payload's rear end stands out {behind} behind the tail end, {whole}"
        yield Finding("payload-sticks-out", place, message, mend, "warning")


def lies_outside_the_body(payload: Payload, vehicle: Vehicle) -> Iterator[Finding]:
    """See that what is carried on the side is on the side, and what is inside is inside."""
    carried = payload.carried
    if carried.how == "wrapped":
        return
    off, place = carried.offset.value, ("carried", "offset")
    radius = radius_at(vehicle, carried.from_nose.value)
    shown = told(radius, "length")
    if carried.how == "inside":
        if beyond(off, radius, SLACK):
            message = f"the balance point lies outside the body, whose radius is {shown} there"
            mend = 'measure from the axis, or say how it is carried: how = "folded"'
            yield Finding("payload-not-inside", place, message, mend)
    elif off == 0.0:
        message = f'the payload sits on the axis, and how = "{carried.how}" says on the side'
        mend = f'give offset, e.g. {told(radius, "length")}, or write how = "inside"'
        yield Finding("payload-on-axis", place, message, mend, "warning")
    elif beyond(radius, off, SLACK):
        message = f"the balance point lies inside the body, whose radius is {shown} there"
        mend = 'measure offset from the axis, not from the skin, or write how = "inside"'
        yield Finding("payload-inside-body", place, message, mend)


def wraps_once_at_most(payload: Payload, vehicle: Vehicle) -> Iterator[Finding]:
    """See that a wrapped payload is not wider than the way around the body."""
    carried = payload.carried
    if carried.how != "wrapped":
        return
    radius = 0.5 * vehicle.body.diameter.value + carried.gap.value + 0.5 * carried.thickness.value
    if beyond(carried.width.value, 2.0 * math.pi * radius, SLACK):
        shown = told(2.0 * math.pi * radius, "length")
        message = f"this is more than once around the body, {shown}"
        mend = "give the length of the arc; layers on top of each other count as thickness"
        yield Finding("payload-wrap-too-wide", ("carried", "width"), message, mend)


def clears_the_fins(payload: Payload, vehicle: Vehicle) -> Iterator[Finding]:
    """See that no fin stands where the payload lies."""
    if payload.carried.how == "inside":
        return
    room = payload_room(payload, vehicle)
    for _, fins in listed("fins", vehicle.fins):
        if fins.around is None:
            # Unknown where the fins stand: it must only fit between two of them.
            middle = room.around + math.pi / fins.count
            hit = any(overlap(room, fin) for fin in fin_rooms(fins, vehicle, middle))
            message = "the payload lies beside the fins and does not fit between any two of them"
        else:
            hit = any(overlap(room, fin) for fin in fin_rooms(fins, vehicle, fins.around.value))
            message = "a fin stands where the payload lies"
        if hit:
            mend = "move it forward with from_nose, or around; see [[fins]] of the vehicle"
            yield Finding("payload-on-fins", ("carried", "around"), message, mend)
            return


def payloads_clear_each_other(
    payload: Payload, vehicle: Vehicle, others: dict[str, Payload]
) -> Iterator[Finding]:
    """See that two payloads on one stage do not lie in the same place."""
    room = payload_room(payload, vehicle)
    for root, other in others.items():
        if other.on == payload.on and overlap(room, payload_room(other, vehicle)):
            message = f"it lies where {other.name}, the {root}, lies"
            mend = "move one of the two with from_nose or around"
            yield Finding("payload-on-payload", ("carried", "from_nose"), message, mend)


def clears_the_boosters(
    payload: Payload, boosters: Boosters, vehicle: Vehicle
) -> Iterator[Finding]:
    """See that no booster stands where the payload lies."""
    room = payload_room(payload, vehicle)
    if payload.on == "vehicle" and any(overlap(room, one) for one in booster_rooms(boosters)):
        message = "a booster stands where the payload lies"
        mend = "move it with from_nose or around; see [attach] of the boosters"
        yield Finding("payload-on-booster", ("carried", "around"), message, mend)


ON_CARRIER = (
    lies_along_its_carrier,
    lies_outside_the_body,
    wraps_once_at_most,
    clears_the_fins,
)
AMONG_PAYLOADS = (payloads_clear_each_other,)
BESIDE_BOOSTERS = (clears_the_boosters,)
