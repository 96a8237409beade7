"""The ground under the landing scatter: fields, trees, water, roads and people, drawn to scale."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loftwright.field.shapes import GroundShape
from loftwright.report import svg
from loftwright.report.quantities import digits, unit_of
from loftwright.report.scales import nice_ticks
from loftwright.report.svg import Box

__all__ = ["At", "draw_shapes", "key_of", "name_shapes", "scale_bar", "small_boxes"]

Floats = NDArray[np.float64]
At = Callable[[float, float], tuple[float, float]]

LEAST_ROAD = 5.0  # px between the outer sides of a double line
TICK = 7.0  # px, of the marks on the people's side of their line
TICK_STEP = 26.0

# What lies under something else is drawn first.
_ORDER = ("water", "trees", "building", "road", "people", "field edge", "people line")

_KEYS = {
    "field edge": "thin ink line: the edge of the field",
    "trees": "hatched: trees",
    "building": "filled: buildings",
    "water": "rippled: water",
    "road": "double line: a road",
    "people": "dotted edge: people",
    "people line": "ticked line: people stand on the side of the ticks",
}


def key_of(shapes: Sequence[GroundShape]) -> str:
    """Return in a sentence how each kind that is there is drawn."""
    kinds = {shape.kind for shape in shapes}
    words = "; ".join(key for kind, key in _KEYS.items() if kind in kinds)
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def draw_shapes(shapes: Sequence[GroundShape], at: At, scale: float, kind: str) -> str:
    """Return the shapes as SVG; ``at`` places east and north, ``scale`` is px a metre.

    ``kind`` keeps the patterns of the drawings on one page apart.
    """
    kind = kind.replace(" ", "-")
    ordered = sorted(shapes, key=lambda shape: _ORDER.index(shape.kind))
    drawn = [_draw(shape, at, scale, kind) for shape in ordered]
    return _patterns(kind) + "".join(drawn) if drawn else ""


def _patterns(kind: str) -> str:
    return (
        f'<defs><pattern id="trees-{kind}" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0,0v7" stroke="var(--quiet)" stroke-width="1.6"/>'
        f'</pattern><pattern id="water-{kind}" width="16" height="9" '
        'patternUnits="userSpaceOnUse"><path d="M1,2.5h7M9,7h6" stroke="var(--vehicle)" '
        'stroke-opacity="0.55"/></pattern></defs>'
    )


def _draw(shape: GroundShape, at: At, scale: float, kind: str) -> str:
    if shape.kind == "people line":
        return _people_line(shape, at)
    if shape.is_line:
        return _band(shape, at, scale)
    data = svg.polyline((at(e, n) for e, n in shape.corners.tolist()), close=True)
    return "".join(
        f'<path d="{data}" stroke-linejoin="round" {look}/>' for look in _looks(shape.kind, kind)
    )


def _looks(shape: str, kind: str) -> tuple[str, ...]:
    """Return how an area is filled and edged, one coat above the other."""
    return {
        "field edge": ('fill="none" stroke="var(--ink)" stroke-width="1.3"',),
        "trees": (f'fill="url(#trees-{kind})" stroke="var(--quiet)"',),
        "building": ('fill="var(--ink)" fill-opacity="0.32" stroke="var(--ink)"',),
        "water": (
            'fill="var(--vehicle)" fill-opacity="0.14" stroke="none"',
            f'fill="url(#water-{kind})" stroke="none"',
        ),
        "road": ('fill="var(--paper)" stroke="var(--quiet)" stroke-width="1.3"',),
        "people": (
            'fill="var(--warning)" fill-opacity="0.16" stroke="var(--warning)" '
            'stroke-width="2" stroke-dasharray="0.1 4" stroke-linecap="round"',
        ),
    }[shape]


def _band(shape: GroundShape, at: At, scale: float) -> str:
    """Draw a road as a double line, water as a band, each along its middle."""
    data = svg.polyline(at(e, n) for e, n in shape.corners.tolist())
    width = max((shape.width or 0.0) * scale, LEAST_ROAD)
    common = f'<path d="{data}" fill="none" stroke-linejoin="round"'
    if shape.kind == "water":
        return (
            f'{common} stroke="var(--vehicle)" stroke-opacity="0.3" '
            f'stroke-width="{svg.num(width)}"/>'
        )
    return (
        f'{common} stroke="var(--quiet)" stroke-width="{svg.num(width)}"/>'
        f'{common} stroke="var(--paper)" stroke-width="{svg.num(width - 2.6)}"/>'
    )


def _people_line(shape: GroundShape, at: At) -> str:
    """Draw the line with ticks on the side of the people, away from the pad."""
    places = np.array([at(e, n) for e, n in shape.corners.tolist()])
    far = [_far_side(shape, k) for k in range(len(places) - 1)]
    data = svg.polyline((x, y) for x, y in places.tolist())
    ticks = []
    for k, side in enumerate(far):
        one, other = places[k], places[k + 1]
        length = float(np.hypot(*(other - one)))
        # North is up and y runs down: the left of the way on the ground is its right here.
        along = (other - one) / max(length, 1e-9)
        away = np.array([along[1], -along[0]]) * side * TICK
        for reach in np.arange(TICK_STEP / 2, length, TICK_STEP).tolist():
            (x, y), (dx, dy) = (one + along * reach).tolist(), away.tolist()
            ticks.append(f"M{svg.num(x)},{svg.num(y)}l{svg.num(dx)},{svg.num(dy)}")
    look = 'fill="none" stroke="var(--ink)" stroke-linejoin="round"'
    return (
        f'<path d="{data}" {look} stroke-width="2.4"/>'
        f'<path d="{"".join(ticks)}" {look} stroke-width="1.4"/>'
    )


def _far_side(shape: GroundShape, k: int) -> float:
    """Return 1 where the people stand to the left of edge k as it runs, -1 where to the right."""
    one, other = shape.corners[k], shape.corners[k + 1]
    along = other - one
    left = np.array([-along[1], along[0]]) * 1e-3
    return 1.0 if shape.holds(((one + other) / 2 + left)[None])[0] else -1.0


# ---------------------------------------------------------------- words


def name_shapes(
    shapes: Sequence[GroundShape], at: At, width: float, size: float, taken: list[Box]
) -> str:
    """Write each shape's name at the first place with room for it; ``taken`` grows."""
    # The field has the most room and the least need of one place: it is named last.
    ordered = sorted(shapes, key=lambda shape: shape.kind == "field edge")
    return "".join(_named(shape, at, width, size, taken) for shape in ordered)


def small_boxes(shapes: Sequence[GroundShape], at: At, size: float) -> list[Box]:
    """Return the room of shapes that a word could hide."""
    boxes = []
    for shape in shapes:
        places = np.array([at(e, n) for e, n in shape.corners.tolist()])
        (left, top), (right, bottom) = places.min(axis=0).tolist(), places.max(axis=0).tolist()
        if not shape.is_line and right - left <= svg.text_width(shape.name, size):
            boxes.append(Box(left, top, right, bottom))
    return boxes


def _named(shape: GroundShape, at: At, width: float, size: float, taken: list[Box]) -> str:
    role = "warning" if shape.kind == "people" else "ink"
    for x, y, anchor in _spots(shape, at, width, size):
        box = svg.text_box(x, y, shape.name, size, anchor=anchor)
        inside = box.left > 3 and box.right < width - 3 and box.top > 3 and box.bottom < width - 3
        if inside and not any(box.overlaps(other, 2) for other in taken):
            taken.append(box)
            return svg.text(x, y, shape.name, size=size, role=role, anchor=anchor, kind="halo")
    return ""


def _spots(
    shape: GroundShape, at: At, width: float, size: float
) -> Iterator[tuple[float, float, str]]:
    """Yield places for a name, best first."""
    places = np.array([at(e, n) for e, n in shape.corners.tolist()])
    if not shape.is_line and shape.kind != "field edge":
        (left, top), (right, bottom) = places.min(axis=0), places.max(axis=0)
        x, y = (float(each) for each in places.mean(axis=0))
        if right - left > svg.text_width(shape.name, size):  # a word must not hide what it names
            yield x, y + 4, "middle"
        yield float(right) + 6, y + 4, "start"
        yield float(left) - 6, y + 4, "end"
        yield x, float(bottom) + 15, "middle"
        yield x, float(top) - 7, "middle"
    closed = places if shape.is_line else np.vstack([places, places[:1]])
    middle = places.mean(axis=0)
    for share in (0.5, 0.3, 0.7, 0.15, 0.85):
        for one, other in pairwise(closed):
            x, y = (float(each) for each in one + (other - one) * share)
            if not (0 <= x <= width and 0 <= y <= width):
                continue
            below = y < float(middle[1]) if not shape.is_line else y < width / 2
            yield x, y + (18 if below else -9), "middle"
            yield x, y + (-9 if below else 18), "middle"


def scale_bar(scale: float, system: str, width: float, size: float, taken: list[Box]) -> str:
    """Draw a bar of a round length, named in the person's unit, in a lower corner."""
    unit = unit_of("distance", system)
    # About a quarter of the map, as a round number.
    ticks = [tick for tick in nice_ticks(0.0, unit.of(width / scale * 0.3), 3) if tick > 0]
    longest = ticks[-1]
    words = f"{digits(longest, 1)} {unit.symbol}"
    reach = longest * unit.size * scale
    y = width - 14.0
    for x in (14.0, width - 14.0 - reach):
        text = svg.text_box(x + reach / 2, y - 7, words, size, anchor="middle")
        box = Box(min(x, text.left), text.top, max(x + reach, text.right), y + 5)
        if not any(box.overlaps(other, 2) for other in taken):
            break
    taken.append(box)
    bar = (
        svg.line(x, y, x + reach, y, role="ink", width=2)
        + svg.line(x, y - 5, x, y + 5, role="ink", width=2)
        + svg.line(x + reach, y - 5, x + reach, y + 5, role="ink", width=2)
    )
    return bar + svg.text(x + reach / 2, y - 7, words, size=size, anchor="middle", kind="halo")
