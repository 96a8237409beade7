"""Where things stand in the cutaway: each stage, each payload, seen from one side."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from loftwright.documents.campaign import Campaign
from loftwright.documents.payload import Payload
from loftwright.documents.vehicle import Vehicle
from loftwright.report.profile import fin_views

__all__ = ["Placed", "Side", "View", "exit_of", "overall", "payload_side", "payloads", "stages"]

FACE_ON = 0.9  # cosine above which a thing beside the body is seen edge-on


@dataclass(frozen=True, slots=True)
class View:
    """A body on the page: ``x0`` its axis, ``top`` its nose, px; ``scale`` px per m."""

    x0: float
    top: float
    scale: float

    def at(self, aft: float, side: float) -> tuple[float, float]:
        """Return the place on the page, from metres aft of the nose and to the side."""
        return self.x0 + side * self.scale, self.top + aft * self.scale

    def moved(self, aft: float, side: float) -> View:
        """Return the view of a body whose nose stands so far aft and to the side."""
        x0, top = self.at(aft, side)
        return replace(self, x0=x0, top=top)


@dataclass(frozen=True, slots=True)
class Placed:
    """A stage, with its nose ``aft`` of the vehicle's and its axis ``side`` of the vehicle's, m."""

    root: str
    vehicle: Vehicle
    aft: float
    side: float


@dataclass(frozen=True, slots=True)
class Side:
    """A payload as seen: from ``fore`` to ``aft`` of its carrier's nose, ``near`` to ``far``, m.

    ``edge_on`` tells that it is seen from its side; ``where`` says in a word where it sits when it
    is not. ``walls`` are sideways places at which a wrapped one stands off the body.
    """

    fore: float
    aft: float
    near: float
    far: float
    edge_on: bool
    where: str = ""
    walls: tuple[float, ...] = ()


def stages(campaign: Campaign) -> list[Placed]:
    """Return what stands on the pad, what is farthest behind first.

    What stands before the vehicle is cut away with the half that faces us.
    """
    found = []
    boosters = campaign.boosters
    if boosters is not None:
        attach = boosters.attach
        for k in range(attach.count):
            turn = 2 * math.pi * k / attach.count
            # Clockwise as seen from behind is away from us, with the first one at the right.
            if math.sin(turn) > -0.2:
                side = attach.offset.value * math.cos(turn)
                found.append(Placed("boosters", boosters, attach.from_nose.value, side))
    found.append(Placed("vehicle", campaign.vehicle, 0.0, 0.0))
    if campaign.upper is not None:
        found.append(Placed("upper", campaign.upper, campaign.upper.stack.from_nose.value, 0.0))
    return found


def payloads(campaign: Campaign) -> Iterator[tuple[str, Payload, Placed, Side]]:
    """Yield each payload with its root, what carries it, and how it is seen."""
    placed = {each.root: each for each in stages(campaign)}
    for root, payload in campaign.payloads.items():
        carrier = placed.get(payload.on, placed["vehicle"])
        turn = payload.carried.around.value - _towards(campaign)
        yield root, payload, carrier, payload_side(payload, carrier.vehicle, turn)


def _towards(campaign: Campaign) -> float:
    """Which side of the vehicle is at the right: that of the first booster, or first payload."""
    if campaign.boosters is not None:
        return campaign.boosters.attach.around.value
    first = next(iter(campaign.payloads.values()), None)
    return first.carried.around.value if first is not None else 0.0


def payload_side(payload: Payload, carrier: Vehicle, turn: float) -> Side:
    """Return how a payload is seen that sits ``turn`` from the right, clockwise from behind."""
    carried, radius = payload.carried, carrier.body.diameter.value / 2
    half = carried.length.value / 2
    front = carried.front_from_nose
    fore = front.value if front is not None else carried.from_nose.value - half
    aft = fore + 2 * half
    where = "" if abs(math.cos(turn)) > 0.3 else "behind" if math.sin(turn) > 0 else "in front"
    if carried.how == "wrapped":
        near, far, walls = _arc(payload, radius, turn)
        return Side(fore, aft, near, far, False, where, walls)
    inner, outer = _reach(payload, radius)
    if math.cos(turn) > FACE_ON:
        return Side(fore, aft, inner, outer, True)
    if math.cos(turn) < -FACE_ON:
        return Side(fore, aft, -inner, -outer, True)
    middle = (inner + outer) / 2 * math.cos(turn)
    wide = (outer - inner) / 2 * abs(math.cos(turn))
    wide += carried.width.value / 2 * abs(math.sin(turn))
    return Side(fore, aft, middle - wide, middle + wide, False, where)


def _reach(payload: Payload, radius: float) -> tuple[float, float]:
    """Inner and outer side of what sits beside the axis, m from it."""
    carried = payload.carried
    thick, offset = carried.thickness.value, carried.offset.value
    if carried.how == "inside" or offset <= 0:
        return offset - thick / 2, offset + thick / 2
    inner = max(offset - thick / 2, min(radius + carried.gap.value, offset), 0.0)
    return inner, inner + thick


def _arc(payload: Payload, radius: float, turn: float) -> tuple[float, float, tuple[float, ...]]:
    """Nearest and farthest of an arc around the body, and where its wall is seen edge-on, m."""
    carried = payload.carried
    inner = radius + carried.gap.value
    outer = inner + carried.thickness.value
    half = carried.width.value / (inner + outer)
    ends = [math.cos(turn - half), math.cos(turn + half)]
    near = min(each * (inner if each > 0 else outer) for each in ends)
    far = max(each * (outer if each > 0 else inner) for each in ends)
    walls = []
    if _within(turn, half):
        far, walls = outer, [inner]
    if _within(turn - math.pi, half):
        near, walls = -outer, [*walls, -inner]
    return near, far, tuple(walls)


def _within(turn: float, half: float) -> bool:
    off = abs((turn + math.pi) % (2 * math.pi) - math.pi)
    return off <= half


# ---------------------------------------------------------------- extents


def exit_of(vehicle: Vehicle) -> float:
    """Return how far aft of its nose a stage's nozzle ends, m."""
    if vehicle.nozzle.from_nose:
        return vehicle.nozzle.from_nose.value
    ends = (v.from_nose.value + v.length.value for v in vehicle.vessel)
    return max(ends, default=vehicle.body.length.value)


def overall(vehicle: Vehicle) -> tuple[float, float, float]:
    """Return a stage's length, and how far it reaches to the left and right of its axis, m."""
    radius = vehicle.body.diameter.value / 2
    ends, sides = [vehicle.body.length.value, exit_of(vehicle)], [-radius, radius]
    for fins in vehicle.fins:
        for fin in fin_views(fins, radius):
            ends += [aft for aft, _ in fin.corners]
            sides += [side for _, side in fin.corners]
    return max(ends), -min(sides), max(sides)
