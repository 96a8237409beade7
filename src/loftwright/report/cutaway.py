"""The cutaway: the vehicle as it stands on the pad, to scale from its documents, cut open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.payload import Payload
from loftwright.documents.vehicle import Vehicle
from loftwright.report import svg
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
from loftwright.report.profile import (
    FinView,
    Outline,
    body_outline,
    fin_views,
    vessel_outline,
    water_level,
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
class _View:
    """Where the vehicle stands on the page: ``x0`` its axis, ``scale`` px per m.

    Above and below it words have ``spare`` px more.
    """

    x0: float
    top: float
    scale: float
    spare: float

    def at(self, aft: float, side: float) -> tuple[float, float]:
        return self.x0 + side * self.scale, self.top + aft * self.scale


def draw_cutaway(campaign: Campaign, check: Mapping[str, Any], frame: Frame, kind: str = "") -> str:
    """Return the cutaway as inline SVG; ``check`` holds the figures of the check, or nothing."""
    vehicle, system = campaign.vehicle, campaign.head.units
    ticks, levers = plumb_marks(check, system), lever_marks(check, system)
    vessels = [vessel_outline(v, _neck(vehicle)) for v in vehicle.vessel]
    level = water_level(
        vessels, [v.volume.value for v in vehicle.vessel], vehicle.fill.water_volume.value
    )
    insides = _insides(campaign, vessels, level)
    named = [*ticks, *levers, *_payload_marks(campaign)]
    left, right = _half_widths(vehicle, campaign.payload)
    length = _overall(vehicle)
    beside_line = plumb_room(named, len(levers), frame.type)
    room = frame.width - frame.words - GAP - beside_line - MARGIN
    scale = min((frame.height - 70) / length, room / (left + right))
    spare = _spare(len(insides), len(named), length * scale, frame.type)
    view = _View(frame.words + left * scale + MARGIN, TOP + spare, scale, spare)
    down = Scale(0.0, length, view.top, view.top + length * scale)
    plumb_x = frame.words + MARGIN + room + GAP
    payload_words, beside = _payload_words(campaign, view, frame, plumb_x)
    plumb, _ = draw_plumb(
        ticks, levers, down, plumb_x, frame.type, system, beside=beside, spare=spare
    )
    body = (
        svg.line(frame.words * 0.4, down.end + 34, plumb_x - 18, down.end + 34, role="quiet")
        + _drawing(campaign, view, vessels, level, down.end + 34)
        + _inside_words(insides, view, down.end, frame)
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
    fill = campaign.vehicle.fill
    water = stated(fill.water_volume.value, "volume", system)
    pressure = stated(fill.gauge_pressure.value, "gauge_pressure", system)
    return "; ".join([f"Water {water} under air at {pressure} gauge", *said]) + "."


def _half_widths(vehicle: Vehicle, payload: Payload | None) -> tuple[float, float]:
    radius = vehicle.body.diameter.value / 2
    sides = [(-radius, radius)]
    for fins in vehicle.fins:
        for fin in fin_views(fins, radius):
            across = [side for _, side in fin.corners]
            sides.append((min(across), max(across)))
    if payload:
        carried = payload.carried
        sides.append((0.0, carried.offset.value + carried.thickness.value / 2))
    return -min(s[0] for s in sides), max(s[1] for s in sides)


def _overall(vehicle: Vehicle) -> float:
    ends = [vehicle.body.length.value, _exit(vehicle)]
    ends += [aft for fins in vehicle.fins for aft, _ in fin_views(fins, 0.0)[0].corners]
    return max(ends)


def _exit(vehicle: Vehicle) -> float:
    if vehicle.nozzle.from_nose:
        return vehicle.nozzle.from_nose.value
    ends = (v.from_nose.value + v.length.value for v in vehicle.vessel)
    return max(ends, default=vehicle.body.length.value)


def _neck(vehicle: Vehicle) -> float:
    tube = vehicle.launch_tube.outer_diameter.value if vehicle.launch_tube else 0.0
    return max(vehicle.nozzle.throat_diameter.value, tube) / 2


def _drawing(
    campaign: Campaign, view: _View, vessels: list[Outline], level: float | None, ground: float
) -> str:
    vehicle = campaign.vehicle
    radius = vehicle.body.diameter.value / 2
    fins = [fin for each in vehicle.fins for fin in fin_views(each, radius)]
    parts = [_fin(fin, view) for fin in fins if not fin.edge_on]
    parts.append(_shape(body_outline(vehicle), view, fill="var(--shell)"))
    if vehicle.canopy:
        parts.append(_canopy(vehicle, view, vessels))
    for outline in vessels:
        parts.append(_shape(outline, view, fill="var(--paper)", width=1.0))
        if level is not None:
            parts.append(_water(outline, level, view))
    parts.append(_tube(vehicle, view, ground))
    parts += [_fin_cut_away(fin, view) for fin in fins if fin.edge_on and fin.front]
    if campaign.payload:
        parts.append(_payload(campaign.payload, radius, view))
    return "".join(parts)


def _both_sides(outline: Outline, view: _View) -> str:
    right = [view.at(x, r) for x, r in outline]
    left = [view.at(x, -r) for x, r in reversed(outline)]
    return svg.polyline(right + left, close=True)


def _shape(outline: Outline, view: _View, *, fill: str, width: float = 1.5) -> str:
    return (
        f'<path d="{_both_sides(outline, view)}" fill="{fill}" stroke="var(--ink)" '
        f'stroke-width="{svg.num(width)}" stroke-linejoin="round"/>'
    )


def _water(outline: Outline, level: float, view: _View) -> str:
    wet = _below(outline, level)
    if len(wet) < 2:
        return ""
    surface = svg.line(
        *view.at(wet[0][0], -wet[0][1]), *view.at(*wet[0]), role="vehicle", width=1.4
    )
    data = _both_sides(wet, view)
    return f'<path d="{data}" fill="var(--vehicle)" fill-opacity="0.24"/>{surface}'


def _below(outline: Outline, level: float) -> Outline:
    """Cut an outline at ``level`` and keep what is aft of it."""
    for (x0, r0), (x1, r1) in pairwise(outline):
        if x0 <= level < x1:
            cut = (level, r0 + (r1 - r0) * (level - x0) / (x1 - x0))
            return [cut, *(p for p in outline if p[0] > level)]
    return [p for p in outline if p[0] >= level]


def _tube(vehicle: Vehicle, view: _View, ground: float) -> str:
    if vehicle.launch_tube is None:
        return ""
    half = vehicle.launch_tube.outer_diameter.value / 2
    end = _exit(vehicle)
    x0, top = view.at(end - vehicle.launch_tube.length.value, -half)
    x1, _ = view.at(end, half)
    return (
        f'<path d="M{svg.num(x0)},{svg.num(ground)}V{svg.num(top)}H{svg.num(x1)}'
        f'V{svg.num(ground)}" fill="var(--paper)" stroke="var(--quiet)" stroke-width="1.2"/>'
    )


def _compartment(vehicle: Vehicle, vessels: list[Outline]) -> tuple[float, float]:
    """Where the canopy is packed: between nose and vessel, or in the nose when they touch."""
    nose = vehicle.nose.length.value
    first = min((o[0][0] for o in vessels), default=vehicle.body.length.value)
    if first - nose >= 0.03:
        return nose, min(first, nose + 0.15)
    return 0.5 * nose, min(first, nose)


def _canopy(vehicle: Vehicle, view: _View, vessels: list[Outline]) -> str:
    fore, aft = _compartment(vehicle, vessels)
    if aft <= fore:
        return ""
    half = 0.7 * min(_radius_at(body_outline(vehicle), fore), vehicle.body.diameter.value / 2)
    folds = 5
    points = []
    for k in range(folds + 1):
        x = fore + (aft - fore) * (0.18 + 0.64 * k / folds)
        points.append(view.at(x, half if k % 2 else -half))
    wall = ""
    if fore >= vehicle.nose.length.value:
        radius = vehicle.body.diameter.value / 2
        wall = svg.line(*view.at(fore, -radius), *view.at(fore, radius), role="ink")
    return (
        f'{wall}<path d="{svg.polyline(points)}" fill="none" stroke="var(--quiet)" '
        f'stroke-width="1.3" stroke-linejoin="round"/>'
    )


def _radius_at(outline: Outline, at: float) -> float:
    for (x0, r0), (x1, r1) in pairwise(outline):
        if x0 <= at <= x1 and x1 > x0:
            return r0 + (r1 - r0) * (at - x0) / (x1 - x0)
    return outline[-1][1]


def _fin(fin: FinView, view: _View) -> str:
    points = [view.at(aft, side) for aft, side in fin.corners]
    data = svg.polyline(points, close=True)
    return (
        f'<path d="{data}" fill="var(--shell)" stroke="var(--ink)" stroke-width="1.5" '
        'stroke-linejoin="round"/>'
    )


def _fin_cut_away(fin: FinView, view: _View) -> str:
    """Dash the edge of the fin that stands towards us, gone with the half that is cut away."""
    top, bottom = view.at(fin.corners[0][0], 0.0)[1], view.at(fin.corners[2][0], 0.0)[1]
    return svg.line(view.x0, top, view.x0, bottom, role="ink", width=1.5, dash="5 4")


def _payload_edges(payload: Payload, radius: float) -> tuple[float, float, float, float]:
    carried = payload.carried
    middle, half = carried.from_nose.value, carried.length.value / 2
    thick = carried.thickness.value
    inner = max(carried.offset.value - thick / 2, 0.0)
    if carried.offset.value > 0:
        inner = max(inner, min(radius, carried.offset.value))
        return middle - half, middle + half, inner, inner + thick
    return middle - half, middle + half, -thick / 2, thick / 2


def _payload(payload: Payload, radius: float, view: _View) -> str:
    fore, aft, inner, outer = _payload_edges(payload, radius)
    bevel = min(0.35 * (aft - fore), 1.5 * (outer - inner))
    corners = [(fore, inner), (fore + bevel, outer), (aft - 0.5 * bevel, outer), (aft, inner)]
    data = svg.polyline([view.at(*corner) for corner in corners], close=True)
    return (
        f'<path d="{data}" fill="var(--payload)" fill-opacity="0.2" stroke="var(--payload)" '
        'stroke-width="1.6" stroke-linejoin="round" stroke-dasharray="6 3"/>'
    )


def _payload_marks(campaign: Campaign) -> list[Mark]:
    """Name the payload as the column of the plumb line would."""
    payload = campaign.payload
    if payload is None:
        return []
    fore, aft, _, _ = _payload_edges(payload, campaign.vehicle.body.diameter.value / 2)
    near = fore + 0.2 * (aft - fore)
    mass = stated(payload.mass.value, "small_mass", campaign.head.units)
    return [Mark("payload", mass, near, near, "payload")]


def _payload_words(
    campaign: Campaign, view: _View, frame: Frame, plumb_x: float
) -> tuple[str, list[tuple[Mark, float]]]:
    """Name the payload beside it, or in the column of the plumb line where that is too narrow."""
    payload = campaign.payload
    if payload is None:
        return "", []
    (mark,) = _payload_marks(campaign)
    fore, _, _, outer = _payload_edges(payload, campaign.vehicle.body.diameter.value / 2)
    x, y = view.at(fore, outer)
    widths = (svg.text_width(w, frame.type) for w in (mark.words, mark.detail))
    if x + 5 + max(widths) > plumb_x - 12:
        return "", [(mark, x)]
    y = max(y - 6, view.top + 10)
    name = svg.text(x + 5, y, mark.words, size=frame.type, role=mark.role)
    detail = svg.text(x + 5, y + frame.type + 1, mark.detail, size=frame.type - 1, role="quiet")
    return name + detail, []


def _inside_words(
    items: list[tuple[str, str, float, float]], view: _View, end: float, frame: Frame
) -> str:
    """Name what is inside, in a column at the left with a line into the vehicle."""
    wanted = [view.at(aft, 0.0)[1] for _, _, aft, _ in items]
    size = frame.type
    low, high = view.top - view.spare + size, end + view.spare
    parts = []
    for (words, detail, aft, side), y in zip(
        items, push_apart(wanted, _inside_step(size), low, high), strict=True
    ):
        width = max(svg.text_width(words, size), svg.text_width(detail, size - 1))
        x, target = view.at(aft, -side)
        role = "vehicle" if words == "water" else "ink"
        parts.append(svg.line(min(width, frame.words) + 5, y - 4, x, target, role="quiet"))
        parts.append(svg.text(0, y, words, size=size, role=role))
        parts.append(svg.text(0, y + size + 1, detail, size=size - 1, role="quiet"))
    return "".join(parts)


def _insides(
    campaign: Campaign, vessels: list[Outline], level: float | None
) -> list[tuple[str, str, float, float]]:
    vehicle, system = campaign.vehicle, campaign.head.units
    radius = vehicle.body.diameter.value / 2
    items = []
    if vehicle.canopy:
        fore, aft = _compartment(vehicle, vessels)
        across = stated(vehicle.canopy.diameter.value, "length", system)
        items.append(("canopy", across, (fore + aft) / 2, 0.55 * radius))
    if vessels:
        end = max(o[-1][0] for o in vessels)
        surface = end if level is None else level
        first = min(vessels, key=lambda o: o[0][0])
        top, low = first[0][0], min(surface, first[-1][0])
        pressure = stated(vehicle.fill.gauge_pressure.value, "gauge_pressure", system)
        items.append(("air", pressure, top + 0.5 * (low - top), 0.5 * radius))
        if level is not None:
            water = stated(vehicle.fill.water_volume.value, "volume", system)
            items.append(("water", water, level + 0.2 * (end - level), 0.6 * radius))
    if vehicle.launch_tube:
        across = stated(vehicle.launch_tube.outer_diameter.value, "small_length", system)
        half = vehicle.launch_tube.outer_diameter.value / 2
        items.append(("tube", across, _exit(vehicle), half))
    return items
