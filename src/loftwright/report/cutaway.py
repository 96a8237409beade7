"""The cutaway: the vehicle as it stands on the pad, to scale from its documents, cut open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.vehicle import Vehicle
from loftwright.report import svg
from loftwright.report.bodies import short_names
from loftwright.report.cutaway_stage import compartment, draw_stage, vessels_of
from loftwright.report.cutaway_view import (
    Placed,
    Side,
    View,
    exit_of,
    overall,
    payloads,
    stages,
)
from loftwright.report.labels import push_apart
from loftwright.report.plumb import (
    BELOW,
    Mark,
    draw_plumb,
    lever_marks,
    plumb_marks,
    plumb_room,
    words_step,
)
from loftwright.report.quantities import stated
from loftwright.report.scales import Scale

__all__ = ["WIDTHS", "Frame", "draw_cutaway"]

TOP = 16.0  # px above the nose
MARGIN = 4.0  # px between the words at the left and the vehicle, and at the right edge
GAP = 14.0  # px between the vehicle and the plumb line


@dataclass(frozen=True, slots=True)
class Frame:
    """Sizes in px for one page width; ``words`` is the room left of the vehicle.

    ``height`` bounds a lean vehicle; a short one is given as much as its words need.
    """

    width: float
    height: float
    words: float
    type: float


WIDTHS: dict[str, Frame] = {
    "wide": Frame(540, 560, 120, 13),
    "narrow": Frame(340, 460, 62, 12),
}


@dataclass(frozen=True, slots=True)
class _Word:
    """Words at the left, with the place on the page that they name."""

    words: str
    detail: str
    x: float
    y: float
    role: str = "ink"


def draw_cutaway(campaign: Campaign, check: Mapping[str, Any], frame: Frame, kind: str = "") -> str:
    """Return the cutaway as inline SVG; ``check`` holds the figures of the check, or nothing."""
    vehicle, system = campaign.vehicle, campaign.head.units
    ticks, levers = plumb_marks(check, system), lever_marks(check, system)
    placed = stages(campaign)
    low, high, left, right = _extent(campaign, placed)
    named = [*ticks, *levers, *(mark for mark, _, _ in _payload_marks(campaign))]
    beside_line = plumb_room(named, len(levers), frame.type)
    room = frame.width - frame.words - GAP - beside_line - MARGIN
    length = high - low
    scale = min((frame.height - 70) / length, room / (left + right))
    inside = sum(_words_of(each) for each in placed)
    spare = _spare(inside, len(named), length * scale, frame.type)
    top = TOP + spare
    view = View(frame.words + left * scale + MARGIN, top - low * scale, scale)
    down = Scale(low, high, top, top + length * scale)
    plumb_x = frame.words + MARGIN + room + GAP
    payload_words, beside = _payload_words(campaign, view, frame, plumb_x, down)
    plumb, _ = draw_plumb(
        ticks, levers, down, plumb_x, frame.type, system, beside=beside, spare=spare
    )
    ground = down.end + 34
    body = (
        svg.line(frame.words * 0.4, ground, plumb_x - 18, ground, role="quiet")
        + _drawing(campaign, view, ground)
        + _inside_words(
            list(_insides(campaign, placed, view)), (top - spare, down.end + spare), frame
        )
        + payload_words
        + plumb
    )
    return svg.document(
        frame.width,
        down.end + spare + 44,
        body,
        title=f"{vehicle.name} on the pad, cut open",
        description=_description(campaign, check),
        kind=f"cutaway {kind}".strip(),
    )


def _extent(campaign: Campaign, placed: list[Placed]) -> tuple[float, float, float, float]:
    """Foremost and rearmost of all that stands there, and its reach to the left and right, m."""
    lows, highs, lefts, rights = [0.0], [0.0], [0.0], [0.0]
    for each in placed:
        length, left, right = overall(each.vehicle)
        lows.append(each.aft)
        highs.append(each.aft + length)
        lefts.append(left - each.side)
        rights.append(right + each.side)
    for _, _, carrier, side in payloads(campaign):
        lefts.append(-min(side.near, side.far) - carrier.side)
        rights.append(max(side.near, side.far) + carrier.side)
    return min(lows), max(highs), max(lefts), max(rights)


def _spare(inside: int, beside: int, tall: float, size: float) -> float:
    """Room in px above and below a vehicle ``tall`` px, which so many words beside it need."""
    left = size + max(inside - 1, 0) * _inside_step(size) - tall
    right = max(beside - 1, 0) * words_step(size) - tall - BELOW
    return max(left, right, 0.0) / 2


def _inside_step(size: float) -> float:
    return 2 * size + 8


def _description(campaign: Campaign, check: Mapping[str, Any]) -> str:
    system = campaign.head.units
    said = [f"{mark.words}, {mark.detail}" for mark in plumb_marks(check, system)]
    said += [f"lever {mark.words}, {mark.detail}" for mark in lever_marks(check, system)]
    fills = []
    for root in ("vehicle", "boosters", "upper"):
        stage = getattr(campaign, root)
        if stage is not None:
            water = stated(stage.fill.water_volume.value, "volume", system)
            pressure = stated(stage.fill.gauge_pressure.value, "gauge_pressure", system)
            whose = f"{stage.name}: water" if root != "vehicle" else "Water"
            fills.append(f"{whose} {water} under air at {pressure} gauge")
    return "; ".join([*fills, *said]) + "."


def _drawing(campaign: Campaign, view: View, ground: float) -> str:
    parts = [
        draw_stage(each.vehicle, view.moved(each.aft, each.side), ground)
        for each in stages(campaign)
    ]
    parts += [
        _payload(side, view.moved(carrier.aft, carrier.side))
        for _, _, carrier, side in payloads(campaign)
    ]
    return "".join(parts)


# ---------------------------------------------------------------- payloads


def _payload(side: Side, view: View) -> str:
    fore, aft, near, far = side.fore, side.aft, side.near, side.far
    bevel = min(0.35 * (aft - fore), 1.5 * abs(far - near)) if side.edge_on else 0.0
    corners = [(fore, near), (fore + bevel, far), (aft - 0.5 * bevel, far), (aft, near)]
    data = svg.polyline([view.at(*corner) for corner in corners], close=True)
    walls = "".join(
        svg.line(*view.at(fore, wall), *view.at(aft, wall), role="payload") for wall in side.walls
    )
    return (
        f'<path d="{data}" fill="var(--payload)" fill-opacity="0.2" stroke="var(--payload)" '
        f'stroke-width="1.6" stroke-linejoin="round" stroke-dasharray="6 3"/>{walls}'
    )


def _payload_marks(campaign: Campaign) -> Iterator[tuple[Mark, Placed, Side]]:
    """Name the payloads as the column of the plumb line would."""
    names = short_names(campaign)
    for root, payload, carrier, side in payloads(campaign):
        near = carrier.aft + side.fore + 0.2 * (side.aft - side.fore)
        mass = stated(payload.mass.value, "small_mass", campaign.head.units)
        detail = f"{mass}, {side.where}" if side.where else mass
        yield Mark(names.get(root, root), detail, near, near, "payload"), carrier, side


def _payload_words(
    campaign: Campaign, view: View, frame: Frame, plumb_x: float, down: Scale
) -> tuple[str, list[tuple[Mark, float]]]:
    """Name a lone payload beside it where there is room, else in the column of the plumb line."""
    marks = list(_payload_marks(campaign))
    beside = []
    for mark, carrier, side in marks:
        own = view.moved(carrier.aft, carrier.side)
        x, y = own.at(side.fore, max(side.near, side.far))
        widths = (svg.text_width(w, frame.type) for w in (mark.words, mark.detail))
        lone = len(marks) == 1 and len(stages(campaign)) == 1
        if lone and x + 5 + max(widths) <= plumb_x - 12:
            y = max(y - 6, down.start + 10)
            name = svg.text(x + 5, y, mark.words, size=frame.type, role=mark.role)
            return name + svg.text(
                x + 5, y + frame.type + 1, mark.detail, size=frame.type - 1, role="quiet"
            ), []
        beside.append((mark, x))
    return "", beside


# ---------------------------------------------------------------- words at the left


def _inside_words(items: list[_Word], within: tuple[float, float], frame: Frame) -> str:
    """Name what is inside, in a column at the left with a line into the vehicle."""
    size = frame.type
    places = push_apart([item.y for item in items], _inside_step(size), within[0] + size, within[1])
    parts = []
    for item, y in zip(items, places, strict=True):
        words = svg.shortened(item.words, frame.words, size)
        width = max(svg.text_width(words, size), svg.text_width(item.detail, size - 1))
        left = min(width, frame.words) + 5
        parts.append(svg.line(left, y - 4, item.x, item.y, role="quiet"))
        parts.append(svg.text(0, y, words, size=size, role=item.role))
        parts.append(svg.text(0, y + size + 1, item.detail, size=size - 1, role="quiet"))
    return "".join(parts)


def _words_of(placed: Placed) -> int:
    """How many words stand for a stage at the most."""
    return 4 if placed.root == "vehicle" else 2


def _insides(campaign: Campaign, placed: list[Placed], view: View) -> Iterator[_Word]:
    told = set()
    # Of several boosters the one at the left is named.
    for each in sorted(placed, key=lambda stage: stage.side):
        if each.root not in told:
            told.add(each.root)
            own = view.moved(each.aft, each.side)
            if each.root == "vehicle":
                yield from _vehicle_words(campaign, own)
            else:
                yield from _stage_words(campaign, each, own)


def _vehicle_words(campaign: Campaign, view: View) -> Iterator[_Word]:
    vehicle, system = campaign.vehicle, campaign.head.units
    vessels, _ = vessels_of(vehicle)
    if vehicle.canopy:
        fore, aft = compartment(vehicle, vessels)
        across = stated(vehicle.canopy.diameter.value, "length", system)
        at = view.at((fore + aft) / 2, -0.55 * vehicle.body.diameter.value / 2)
        yield _Word("canopy", across, *at)
    yield from _fill_words(vehicle, view, system, "air")
    if vehicle.launch_tube:
        half = vehicle.launch_tube.outer_diameter.value / 2
        across = stated(2 * half, "small_length", system)
        yield _Word("tube", across, *view.at(exit_of(vehicle), -half))


def _stage_words(campaign: Campaign, placed: Placed, view: View) -> Iterator[_Word]:
    name = placed.vehicle.name
    if campaign.boosters is not None and placed.root == "boosters":
        name = f"{campaign.boosters.attach.count} {name}"
    yield from _fill_words(placed.vehicle, view, campaign.head.units, name)


def _fill_words(vehicle: Vehicle, view: View, system: str, name: str) -> Iterator[_Word]:
    """Name the compressed air and the water of a stage."""
    vessels, level = vessels_of(vehicle)
    if not vessels:
        return
    radius = vehicle.body.diameter.value / 2
    end = max(outline[-1][0] for outline in vessels)
    first = min(vessels, key=lambda outline: outline[0][0])
    top, low = first[0][0], min(end if level is None else level, first[-1][0])
    pressure = stated(vehicle.fill.gauge_pressure.value, "gauge_pressure", system)
    yield _Word(name, pressure, *view.at(top + 0.5 * (low - top), -0.5 * radius))
    if level is not None:
        water = stated(vehicle.fill.water_volume.value, "volume", system)
        at = view.at(level + 0.2 * (end - level), -0.6 * radius)
        yield _Word("water", water, *at, "vehicle")
