"""The vehicle's outlines as numbers: nose, body, vessels, water level, fins as seen from a side."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from loftwright.documents.vehicle import Fins, Vehicle, Vessel

__all__ = [
    "FinView",
    "Outline",
    "body_outline",
    "fin_views",
    "nose_radius",
    "vessel_outline",
    "water_level",
]

# Radius over distance from the nose tip, m, from front to back.
Outline = list[tuple[float, float]]

STEPS = 24


def nose_radius(profile: str, share: float, slenderness: float) -> float:
    """Return radius over base radius at ``share`` (0 tip, 1 base) of the nose's length.

    ``slenderness`` is length over base radius; an ogive shorter than its radius is drawn as an
    ellipsoid. Raises ``KeyError`` for an unknown profile.

    The tangent ogive is a circle's arc that meets the body without a kink, the ellipsoid half an
    ellipse, the parabola ``sqrt(share)`` (the profiles that the mass and area sums use).
    """
    if profile == "ogive" and slenderness > 1.0:
        arc = (1 + slenderness**2) / 2
        return math.sqrt(max(arc**2 - (slenderness * (1 - share)) ** 2, 0.0)) + 1 - arc
    shapes = {
        "cone": share,
        "ogive": math.sqrt(max(1 - (1 - share) ** 2, 0.0)),
        "ellipsoid": math.sqrt(max(1 - (1 - share) ** 2, 0.0)),
        "parabola": math.sqrt(share),
    }
    return shapes[profile]


def body_outline(vehicle: Vehicle) -> Outline:
    """Return the outside of the vehicle from nose tip to tail end, m."""
    radius = vehicle.body.diameter.value / 2
    length = vehicle.body.length.value
    nose = min(vehicle.nose.length.value, length)
    outline = []
    for k in range(STEPS + 1):
        share = (k / STEPS) ** 2  # close together at the tip, where the curve is tight
        outline.append(
            (share * nose, radius * nose_radius(vehicle.nose.profile, share, nose / radius))
        )
    if vehicle.tail:
        start = max(nose, length - vehicle.tail.length.value)
        outline += [(start, radius), (length, vehicle.tail.diameter.value / 2)]
    else:
        outline.append((length, radius))
    return outline


def _shoulder(vessel: Vessel, front: float, neck_radius: float) -> tuple[float, float]:
    """Return how deep the shoulder and how long the neck are drawn, m.

    Half an ellipsoid holds 2/3 of the cylinder around it: a shoulder, at most a little longer
    than the vessel is wide, and then a neck are made as long as the stated volume asks for.
    """
    radius, length = vessel.diameter.value / 2, vessel.length.value
    area = math.pi * radius**2
    missing = length - vessel.volume.value / area - front / 3
    depth = min(max(3 * missing, 0.4 * radius), 2.2 * radius, length - front)
    thinner = 1 - min(neck_radius / radius, 0.9) ** 2
    neck = (missing - depth / 3) / thinner
    return depth, min(max(neck, 0.0), length - front - depth)


def vessel_outline(vessel: Vessel, neck_radius: float) -> Outline:
    """Return the inside of a vessel: dome in front, wall, shoulder, neck; m from the nose tip."""
    radius, start = vessel.diameter.value / 2, vessel.from_nose.value
    front = min(0.55 * radius, 0.4 * vessel.length.value)
    depth, straight = _shoulder(vessel, front, neck_radius)
    end = start + vessel.length.value
    foot, neck = end - straight, min(neck_radius, radius)
    outline = []
    for k in range(STEPS + 1):
        angle = math.pi / 2 * k / STEPS
        outline.append((start + front * (1 - math.cos(angle)), radius * math.sin(angle)))
    for k in range(STEPS + 1):
        angle = math.pi / 2 * k / STEPS
        across = radius * math.cos(angle)
        if across <= neck:
            break
        outline.append((foot - depth * (1 - math.sin(angle)), across))
    # The neck stands straight from where the shoulder has narrowed to it.
    meet = foot - depth * (1 - math.sqrt(max(1 - (neck / radius) ** 2, 0.0)))
    return [*outline, (meet, neck), (end, neck)]


def _volume_aft(outline: Outline, level: float) -> float:
    """Return the volume of a body of revolution aft of ``level``, by cone frustums, m3."""
    total = 0.0
    for (x0, r0), (x1, r1) in pairwise(outline):
        if x1 <= level or x1 <= x0:
            continue
        top = max(x0, level)
        rim = r0 + (r1 - r0) * (top - x0) / (x1 - x0)
        total += math.pi / 3 * (x1 - top) * (rim * rim + rim * r1 + r1 * r1)
    return total


def water_level(outlines: list[Outline], stated: list[float], water: float) -> float | None:
    """Return the distance from the nose tip of the water's surface, vehicle upright, m.

    ``stated`` holds the vessels' volumes, to which the drawn ones are scaled; vessels that share
    a nozzle share a level. None when there is no water; the top of the highest vessel when there
    is more than they hold.
    """
    if water <= 0 or not outlines:
        return None
    low, high = min(o[0][0] for o in outlines), max(o[-1][0] for o in outlines)
    scales = [
        volume / max(_volume_aft(o, low), 1e-12) for o, volume in zip(outlines, stated, strict=True)
    ]
    for _ in range(60):
        middle = (low + high) / 2
        held = sum(s * _volume_aft(o, middle) for o, s in zip(outlines, scales, strict=True))
        low, high = (middle, high) if held > water else (low, middle)
    return (low + high) / 2


@dataclass(frozen=True, slots=True)
class FinView:
    """One fin as seen from the side: corners ``(from_nose, sideways)`` in m."""

    corners: list[tuple[float, float]]
    edge_on: bool
    front: bool


def fin_views(fins: Fins, radius: float) -> list[FinView]:
    """Return the fins of a set as seen from a side on which one stands edge-on towards us."""
    views = []
    for k in range(fins.count):
        angle = math.pi / 2 + 2 * math.pi * k / fins.count
        side, depth = math.cos(angle), math.sin(angle)
        edge_on = abs(side) < 0.2
        views.append(FinView(_corners(fins, radius, side, edge_on), edge_on, depth > 0))
    return views


def _corners(fins: Fins, radius: float, side: float, edge_on: bool) -> list[tuple[float, float]]:
    root = fins.from_nose.value
    lead = root + fins.sweep.value
    aft, tip_aft = root + fins.root_chord.value, lead + fins.tip_chord.value
    if edge_on:
        half = fins.thickness.value / 2
        last = max(aft, tip_aft)
        return [(root, -half), (root, half), (last, half), (last, -half)]
    near, far = radius * side, (radius + fins.span.value) * side
    return [(root, near), (lead, far), (tip_aft, far), (aft, near)]
