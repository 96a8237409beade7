"""One stage of the cutaway, cut open: shell, vessels with their water, canopy, fins, tube."""

from __future__ import annotations

from itertools import pairwise

from loftwright.documents.vehicle import Vehicle
from loftwright.report import svg
from loftwright.report.cutaway_view import View, exit_of
from loftwright.report.profile import (
    FinView,
    Outline,
    body_outline,
    fin_views,
    vessel_outline,
    water_level,
)

__all__ = ["compartment", "draw_stage", "vessels_of"]


def vessels_of(vehicle: Vehicle) -> tuple[list[Outline], float | None]:
    """Return the outlines of a stage's vessels, and its water's level aft of its nose."""
    vessels = [vessel_outline(vessel, _neck(vehicle)) for vessel in vehicle.vessel]
    volumes = [vessel.volume.value for vessel in vehicle.vessel]
    return vessels, water_level(vessels, volumes, vehicle.fill.water_volume.value)


def _neck(vehicle: Vehicle) -> float:
    tube = vehicle.launch_tube.outer_diameter.value if vehicle.launch_tube else 0.0
    return max(vehicle.nozzle.throat_diameter.value, tube) / 2


def draw_stage(vehicle: Vehicle, view: View, ground: float) -> str:
    """Return a stage as SVG; a launch tube stands on the ``ground``, px."""
    vessels, level = vessels_of(vehicle)
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
    return "".join(parts)


def _both_sides(outline: Outline, view: View) -> str:
    right = [view.at(x, r) for x, r in outline]
    left = [view.at(x, -r) for x, r in reversed(outline)]
    return svg.polyline(right + left, close=True)


def _shape(outline: Outline, view: View, *, fill: str, width: float = 1.5) -> str:
    return (
        f'<path d="{_both_sides(outline, view)}" fill="{fill}" stroke="var(--ink)" '
        f'stroke-width="{svg.num(width)}" stroke-linejoin="round"/>'
    )


def _water(outline: Outline, level: float, view: View) -> str:
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


def _tube(vehicle: Vehicle, view: View, ground: float) -> str:
    if vehicle.launch_tube is None:
        return ""
    half = vehicle.launch_tube.outer_diameter.value / 2
    end = exit_of(vehicle)
    x0, top = view.at(end - vehicle.launch_tube.length.value, -half)
    x1, _ = view.at(end, half)
    return (
        f'<path d="M{svg.num(x0)},{svg.num(ground)}V{svg.num(top)}H{svg.num(x1)}'
        f'V{svg.num(ground)}" fill="var(--paper)" stroke="var(--quiet)" stroke-width="1.2"/>'
    )


def compartment(vehicle: Vehicle, vessels: list[Outline]) -> tuple[float, float]:
    """Where the canopy is packed: between nose and vessel, or in the nose when they touch."""
    nose = vehicle.nose.length.value
    first = min((o[0][0] for o in vessels), default=vehicle.body.length.value)
    if first - nose >= 0.03:
        return nose, min(first, nose + 0.15)
    return 0.5 * nose, min(first, nose)


def _canopy(vehicle: Vehicle, view: View, vessels: list[Outline]) -> str:
    fore, aft = compartment(vehicle, vessels)
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


def _fin(fin: FinView, view: View) -> str:
    points = [view.at(aft, side) for aft, side in fin.corners]
    data = svg.polyline(points, close=True)
    return (
        f'<path d="{data}" fill="var(--shell)" stroke="var(--ink)" stroke-width="1.5" '
        'stroke-linejoin="round"/>'
    )


def _fin_cut_away(fin: FinView, view: View) -> str:
    """Dash the edge of the fin that stands towards us, gone with the half that is cut away."""
    top, bottom = view.at(fin.corners[0][0], 0.0)[1], view.at(fin.corners[2][0], 0.0)[1]
    return svg.line(view.x0, top, view.x0, bottom, role="ink", width=1.5, dash="5 4")
