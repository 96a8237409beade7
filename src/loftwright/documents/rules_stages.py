"""What must hold between the fields of boosters and upper stage, and against the vehicle."""

from __future__ import annotations

import math
from collections.abc import Iterator

from loftwright.documents.finding import Finding, beyond, told, trigger
from loftwright.documents.occupied import booster_rooms, fin_rooms, overlap
from loftwright.documents.stage import Boosters, Upper
from loftwright.documents.vehicle import Vehicle

__all__ = ["BOOSTERS_ON_VEHICLE", "BOOSTER_RULES", "UPPER_ON_VEHICLE", "UPPER_RULES"]

SLACK = 1.02  # how far measured shapes may disagree before it is a slip


def boosters_part_by_something(boosters: Boosters) -> Iterator[Finding]:
    """See that what parts the boosters has the field that it needs."""
    attach = boosters.attach
    yield from trigger("attach", "part_when", attach.part_when, None, attach.time)


def upper_parts_and_fires_by_something(upper: Upper) -> Iterator[Finding]:
    """See that what parts and what fires the upper stage have the fields that they need."""
    stack = upper.stack
    yield from trigger("stack", "part_when", stack.part_when, stack.climb, stack.time)
    yield from trigger(
        "stack", "fires", stack.fires, stack.fires_climb, stack.fires_time, prefix="fires_"
    )


def boosters_stand_outside(boosters: Boosters, vehicle: Vehicle) -> Iterator[Finding]:
    """See that no booster reaches into the vehicle's body, or into its neighbour."""
    attach, radius = boosters.attach, 0.5 * boosters.body.diameter.value
    place = ("attach", "offset")
    least = 0.5 * vehicle.body.diameter.value + radius
    if beyond(least, attach.offset.value, SLACK):
        shown = told(least, "length")
        message = f"the boosters reach into the vehicle; the two radii sum to {shown}"
        yield Finding("stage-inside", place, message, "measure from axis to axis")
    half_way = attach.offset.value * math.sin(math.pi / attach.count)
    if beyond(radius, half_way, SLACK):
        shown = told(radius / math.sin(math.pi / attach.count), "length")
        message = f"{attach.count} boosters of this diameter do not fit around the vehicle"
        mend = f"an offset of {shown} or more, or fewer boosters"
        yield Finding("stage-overlap", place, message, mend)


def boosters_stand_beside(boosters: Boosters, vehicle: Vehicle) -> Iterator[Finding]:
    """See that the boosters stand beside the vehicle's body, along its length."""
    front = boosters.attach.from_nose.value
    end = front + boosters.body.length.value
    if end <= 0.0 or front >= vehicle.body.length.value:
        whole = told(vehicle.body.length.value, "length")
        message = f"the boosters do not stand beside the vehicle, which is {whole} long"
        mend = "measure from the vehicle's nose tip, aft, to the nose tip of a booster"
        yield Finding("stage-apart", ("attach", "from_nose"), message, mend)


def boosters_clear_the_fins(boosters: Boosters, vehicle: Vehicle) -> Iterator[Finding]:
    """See that no fin of the vehicle stands where a booster stands."""
    rooms = list(booster_rooms(boosters))
    for fins in vehicle.fins:
        between = boosters.attach.around.value + math.pi / fins.count
        first = between if fins.around is None else fins.around.value
        if fins.around is None and fins.count % boosters.attach.count:
            continue  # whether some turn of the fins clears them all cannot be told simply
        if any(overlap(room, fin) for room in rooms for fin in fin_rooms(fins, vehicle, first)):
            message = "a fin of the vehicle stands where a booster stands"
            mend = "turn the boosters with around, or move them with from_nose"
            yield Finding("stage-on-fins", ("attach", "around"), message, mend)
            return


def upper_stands_on_top(upper: Upper, vehicle: Vehicle) -> Iterator[Finding]:
    """See that the upper stage lies ahead of the vehicle, and that the two meet."""
    front, place = upper.stack.from_nose.value, ("stack", "from_nose")
    end = front + upper.body.length.value
    own = told(upper.body.length.value, "length")
    mend = f"from_nose is negative: about the upper stage's own length, {own}, ahead of the nose"
    if front >= 0.0:
        message = "the nose tip of the upper stage does not lie ahead of the vehicle's"
        yield Finding("stage-not-ahead", place, message, mend)
    elif end < -(SLACK - 1.0) * upper.body.length.value:
        gap = told(-end, "length")
        message = f"the upper stage ends {gap} ahead of the vehicle: the two do not meet"
        yield Finding("stage-apart", place, message, mend)
    elif beyond(end, vehicle.nose.length.value, SLACK):
        shown = told(end, "length")
        message = f"the upper stage reaches {shown} behind the vehicle's nose tip, into its body"
        mend = "its tail may take up the vehicle's nose, and no more; measure again"
        yield Finding("stage-overlap", place, message, mend)


BOOSTER_RULES = (boosters_part_by_something,)
UPPER_RULES = (upper_parts_and_fires_by_something,)
BOOSTERS_ON_VEHICLE = (boosters_stand_outside, boosters_stand_beside, boosters_clear_the_fins)
UPPER_ON_VEHICLE = (upper_stands_on_top,)
