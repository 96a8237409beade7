"""The landing scatter: where each body comes down, seen from above, north up."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.field.contours import highest_density_contours
from loftwright.field.shapes import GroundShape
from loftwright.flight.results import Ensemble, Flight
from loftwright.report import svg
from loftwright.report.bodies import dash_of, in_order, role_of
from loftwright.report.ground import draw_shapes, name_shapes, scale_bar, small_boxes
from loftwright.report.outlines import outlines
from loftwright.report.quantities import amount, unit_of
from loftwright.report.scales import nice_ticks, tick_texts
from loftwright.report.svg import Box

__all__ = ["WIDTHS", "Landing", "draw_scatter", "landings"]

Floats = NDArray[np.float64]

WIDTHS: dict[str, float] = {"wide": 540.0, "narrow": 340.0}
SHARES = (0.5, 0.9)
FIELD_REACH = 2.0  # of the landings' reach, beyond them: no more of the field is shown
SHOWN = 1200  # marks a body; more only turn into a blot
DRAWN = 20_000  # points a body that a drawing looks at; more would move no line of it


@dataclass(frozen=True, slots=True)
class Landing:
    """One body's touchdown: nominal ``(2,)`` and ensemble ``(n, 2)``, east and north, m.

    ``found`` (2,) is where it really lay, of a flight that was flown.
    """

    body: str
    nominal: Floats | None
    points: Floats
    name: str = ""
    found: Floats | None = None

    @property
    def label(self) -> str:
        """What it is called on the plan."""
        return self.name or self.body


@dataclass(frozen=True, slots=True)
class _Map:
    """East and north on the page, the same scale both ways."""

    east: float
    north: float
    scale: float
    middle: float

    def at(self, east: float, north: float) -> tuple[float, float]:
        return (
            self.middle + (east - self.east) * self.scale,
            self.middle - (north - self.north) * self.scale,
        )


def landings(
    flight: Flight, ensemble: Ensemble | None, names: Mapping[str, str] | None = None
) -> list[Landing]:
    """Return the finite touchdown points of each body; ``names`` say what bodies are called."""
    out = []
    for body in in_order(set(flight.touchdown) | _in_columns(ensemble)):
        end = flight.touchdown.get(body, {})
        nominal = np.array([end.get("east_m", np.nan), end.get("north_m", np.nan)])
        points = np.zeros((0, 2))
        if ensemble is not None and f"touchdown_{body}_east_m" in ensemble.columns:
            east = ensemble.columns[f"touchdown_{body}_east_m"]
            north = ensemble.columns[f"touchdown_{body}_north_m"]
            points = np.stack((east, north), axis=1)
            points = points[np.isfinite(points).all(axis=1)]
        known = nominal if np.isfinite(nominal).all() else None
        out.append(Landing(body, known, points, (names or {}).get(body, "")))
    return out


def _in_columns(ensemble: Ensemble | None) -> set[str]:
    """Bodies that come down in at least one flight of an ensemble."""
    columns = ensemble.columns if ensemble is not None else {}
    return {
        name.removeprefix("touchdown_").removesuffix("_east_m")
        for name in columns
        if name.startswith("touchdown_")
        and name.endswith("_east_m")
        and np.isfinite(columns[name]).any()
    }


def draw_scatter(
    bodies: list[Landing],
    wind: Mapping[str, float],
    system: str,
    width: float,
    kind: str = "",
    ground: Sequence[GroundShape] = (),
    beside: Sequence[Landing] = (),
    baseline: Sequence[Landing] = (),
) -> str:
    """Return the scatter as inline SVG, on the shapes of the ``ground`` where there are any.

    ``wind`` holds ``speed`` (m/s) and ``coming_from`` (rad, clockwise from north). What else is to
    fit into the frame, as of another scatter next to this, is ``beside``; of a ``baseline`` only
    outlines are drawn.
    """
    size = 12.0
    description = _description(bodies, ground, system)
    bodies = [_thinned(body) for body in bodies]
    place = _frame([*bodies, *map(_thinned, (*beside, *baseline))], width, ground)
    taken = small_boxes(ground, place.at, size)
    arrow = _wind(wind, system, _corner(bodies, place, width), size, taken)
    pad = _pad(place, size, taken)
    names = "".join(_name(body, place, width, size, taken) for body in bodies)
    if ground:
        under = draw_shapes(ground, place.at, place.scale, kind)
        words = scale_bar(place.scale, system, width, size, taken)
        words += name_shapes(ground, place.at, width, size, taken)
    else:
        taken += [_crowd(body, place) for body in bodies if len(body.points)]
        under, words = _rings(place, width, system, size, taken)
    parts = [under]
    for body in bodies:
        parts.append(_marks(body, place, width))
    for body in bodies:
        parts.append(_contours(body, place))
    parts.append(outlines([body.points for body in baseline], place.at))
    parts += [words, pad, names, arrow]
    parts += [_found(body, place, width, size, taken) for body in bodies]
    return svg.document(
        width,
        width,
        "".join(parts),
        title="Where it comes down",
        description=description,
        kind=f"scatter {kind}".strip(),
    )


def _thinned(body: Landing) -> Landing:
    """Take a fixed part of very many points, the same in every drawing of them."""
    if len(body.points) <= DRAWN:
        return body
    picked = np.random.default_rng(DRAWN).choice(len(body.points), DRAWN, replace=False)
    return replace(body, points=body.points[np.sort(picked)])


def _description(bodies: list[Landing], ground: Sequence[GroundShape], system: str) -> str:
    said = []
    for body in bodies:
        if len(body.points):
            reach = np.quantile(np.hypot(*body.points.T), (0.5, 0.9))
            half, most = (amount(float(r), "distance", system, 2) for r in reach)
            said.append(f"{body.label}: half within {half} of the pad, 9 in 10 within {most}")
        elif body.nominal is not None:
            far = amount(float(np.hypot(*body.nominal)), "distance", system, 2)
            said.append(f"{body.label}: {far} from the pad")
        if body.found is not None:
            far = amount(float(np.hypot(*body.found)), "distance", system, 2)
            said.append(f"{body.label} found {far} from the pad")
    if ground:
        said.append("on the ground: " + ", ".join(f"{s.name} ({s.kind})" for s in ground))
    return "Seen from above, north up. " + "; ".join(said) + "."


def _known(bodies: list[Landing]) -> list[Floats]:
    """Every place that is drawn, (n, 2) each."""
    single = [each for b in bodies for each in (b.nominal, b.found) if each is not None]
    return [b.points for b in bodies] + [each[None] for each in single]


def _frame(bodies: list[Landing], width: float, ground: Sequence[GroundShape] = ()) -> _Map:
    points = np.concatenate([np.zeros((1, 2)), *_known(bodies)])
    # The very last strays may fall outside; nine hundred and ninety-eight in a thousand do not.
    low, high = np.quantile(points, (0.001, 0.999), axis=0) if len(points) > 50 else (
        points.min(axis=0), points.max(axis=0),
    )  # fmt: skip
    for place in (np.zeros(2), *(b.found for b in bodies if b.found is not None)):
        low, high = np.minimum(low, place), np.maximum(high, place)
    edges = [shape.corners for shape in ground if shape.kind == "field edge"]
    if edges:
        # All of the field, unless it is so large that the landings would be a speck in it.
        corners, room = np.concatenate(edges), FIELD_REACH * max(float((high - low).max()), 4.0)
        low = np.minimum(low, np.maximum(corners.min(axis=0), low - room))
        high = np.maximum(high, np.minimum(corners.max(axis=0), high + room))
    reach = max(float((high - low).max()), 4.0) * 1.18
    middle = (low + high) / 2
    return _Map(float(middle[0]), float(middle[1]), width / reach, width / 2)


def _rings(
    place: _Map, width: float, system: str, size: float, taken: list[Box]
) -> tuple[str, str]:
    """Return the rings, to lie under everything, and their distances in words, to lie above."""
    unit = unit_of("distance", system)
    corners = [(0.0, 0.0), (width, 0.0), (0.0, width), (width, width)]
    x0, y0 = place.at(0.0, 0.0)
    reach = max(math.hypot(x - x0, y - y0) for x, y in corners) / place.scale
    ticks = [t for t in nice_ticks(0.0, unit.of(reach), 6) if t > 0]
    rings, words = [], []
    for tick, label in zip(ticks, tick_texts(ticks), strict=True):
        radius = tick * unit.size * place.scale
        rings.append(
            f'<circle cx="{svg.num(x0)}" cy="{svg.num(y0)}" r="{svg.num(radius)}" fill="none" '
            'stroke="var(--rule)"/>'
        )
        words.append(_ring_label(x0, y0, radius, f"{label} {unit.symbol}", width, size, taken))
    return "".join(rings), "".join(words)


def _ring_label(
    x0: float, y0: float, radius: float, words: str, width: float, size: float, taken: list[Box]
) -> str:
    """Write a ring's distance at the first bearing where there is room for it."""
    for degrees in (270, 90, 180, 0, 225, 315, 135, 45, 250, 290, 200, 160, 110, 70, 20, 340):
        x = x0 + radius * math.cos(math.radians(degrees))
        y = y0 + radius * math.sin(math.radians(degrees)) + 4
        box = svg.text_box(x, y, words, size, anchor="middle")
        inside = box.left > 2 and box.right < width - 2 and box.top > 2 and box.bottom < width - 2
        if inside and not any(box.overlaps(other, 3) for other in taken):
            taken.append(box)
            return svg.text(x, y, words, size=size, role="quiet", anchor="middle", kind="halo")
    return ""


def _crowd(body: Landing, place: _Map) -> Box:
    """The room that most of a body's points take, where no small words are read with ease."""
    low, high = np.quantile(body.points, (0.1, 0.9), axis=0)
    left, bottom = place.at(float(low[0]), float(low[1]))
    right, top = place.at(float(high[0]), float(high[1]))
    return Box(left, top, right, bottom)


def _pad(place: _Map, size: float, taken: list[Box]) -> str:
    x, y = place.at(0.0, 0.0)
    mark = svg.line(x - 8, y, x + 8, y, role="ink", width=2) + svg.line(
        x, y - 8, x, y + 8, role="ink", width=2
    )
    for at_x, at_y, anchor in ((x - 11, y + 18, "end"), (x + 11, y + 18, "start")):
        box = svg.text_box(at_x, at_y, "pad", size, anchor=anchor)
        if box.left > 0 and not any(box.overlaps(other, 2) for other in taken):
            break
    taken.append(box)
    return mark + svg.text(at_x, at_y, "pad", size=size, anchor=anchor, kind="halo")


def _marks(body: Landing, place: _Map, width: float) -> str:
    role = role_of(body.body)
    step = max(1, -(-len(body.points) // SHOWN))
    spots = {
        (round(x), round(y))
        for x, y in (place.at(e, n) for e, n in body.points[::step].tolist())
        if 0 <= x <= width and 0 <= y <= width
    }
    data: list[str] = []
    last = (0, 0)
    for x, y in sorted(spots):
        # A square cap on a step of nothing is a small square; a payload's is a dash.
        data.append(f"m{x - last[0]},{y - last[1]}h0" if data else f"M{x},{y}h0")
        last = (x, y)
    if not data:
        return ""
    return (
        f'<path d="{"".join(data)}" fill="none" stroke="var(--{role})" stroke-width="2" '
        'stroke-linecap="square" stroke-opacity="0.4"/>'
    )


def _contours(body: Landing, place: _Map) -> str:
    role = role_of(body.body)
    parts = []
    for share, lines in highest_density_contours(body.points, SHARES).items():
        for contour in lines:
            data = svg.polyline((place.at(e, n) for e, n in contour.tolist()), close=True)
            steps = dash_of(body.body)
            dash = f' stroke-dasharray="{steps}"' if steps else ""
            weight = 2.0 if share == SHARES[0] else 1.2
            parts.append(
                f'<path d="{data}" fill="var(--{role})" fill-opacity="0.08" '
                f'stroke="var(--{role})" stroke-width="{weight}" stroke-linejoin="round"{dash}/>'
            )
    if body.nominal is not None and not len(body.points):
        parts.append(_cross(*place.at(*body.nominal.tolist()), role))
    return "".join(parts)


def _found(body: Landing, place: _Map, width: float, size: float, taken: list[Box]) -> str:
    """Draw where a body really lay, in ink, with its name beside it."""
    if body.found is None:
        return ""
    x, y = place.at(*body.found.tolist())
    words = f"{body.label} found"
    near = [
        (x + dx, y + dy, side) for dy in (4, -9, 17) for dx, side in ((10, "start"), (-10, "end"))
    ]
    near += [(x, y - 14, "middle"), (x, y + 22, "middle"), (x, y - 28, "middle")]
    spots = [(at, svg.text_box(*at[:2], words, size, anchor=at[2])) for at in near]
    inside = [spot for spot in spots if spot[1].left > 2 and spot[1].right < width - 2]
    # Among the touchdowns of a forecast there may be no free place; it must be named all the same.
    (at_x, at_y, anchor), box = min(
        inside or spots, key=lambda each: sum(_shared(each[1], other) for other in taken)
    )
    taken.append(box)
    said = svg.text(at_x, at_y, words, size=size, anchor=anchor, kind="halo")
    return _cross(x, y, "ink") + said


def _shared(one: Box, other: Box) -> float:
    """Area that two boxes share, px²."""
    across = min(one.right, other.right) - max(one.left, other.left)
    down = min(one.bottom, other.bottom) - max(one.top, other.top)
    return max(across, 0.0) * max(down, 0.0)


def _cross(x: float, y: float, role: str) -> str:
    return svg.line(x - 6, y - 6, x + 6, y + 6, role=role, width=2.5) + svg.line(
        x - 6, y + 6, x + 6, y - 6, role=role, width=2.5
    )


def _name(body: Landing, place: _Map, width: float, size: float, taken: list[Box]) -> str:
    """Write the body's name just outside its points."""
    role = role_of(body.body)
    if len(body.points):
        low, high = np.quantile(body.points, (0.01, 0.99), axis=0)
    elif body.nominal is not None:
        low = high = body.nominal
    else:
        return ""
    middle = (low + high) / 2
    left, right = place.at(float(low[0]), 0)[0], place.at(float(high[0]), 0)[0]
    top, bottom = place.at(0, float(high[1]))[1], place.at(0, float(low[1]))[1]
    x, y = place.at(float(middle[0]), float(middle[1]))
    spots = [
        (x, top - 10, "middle"), (x, bottom + 20, "middle"),
        (right + 10, y + 4, "start"), (left - 10, y + 4, "end"),
        (right + 6, top - 6, "start"), (left - 6, bottom + 16, "end"),
    ]  # fmt: skip
    for at_x, at_y, anchor in spots:
        box = svg.text_box(at_x, at_y, body.label, size + 1, anchor=anchor, bold=True)
        inside = box.left > 2 and box.right < width - 2 and box.top > 2 and box.bottom < width - 2
        if inside and not any(box.overlaps(other, 3) for other in taken):
            taken.append(box)
            return svg.text(
                at_x,
                at_y,
                body.label,
                size=size + 1,
                role=role,
                anchor=anchor,
                bold=True,
                kind="halo",
            )
    return ""


def _corner(bodies: list[Landing], place: _Map, width: float) -> Box:
    """Return the corner of the map with the fewest touchdowns in it."""
    across, down = 96.0, 96.0
    lefts, tops = (width - across, 0.0), (0.0, width - down)
    corners = [Box(x, y, x + across, y + down) for y in tops for x in lefts]
    spots = [place.at(0.0, 0.0)]
    known = np.concatenate([np.zeros((0, 2)), *_known(bodies)])
    spots += [place.at(e, n) for e, n in known.tolist()]

    def crowd(box: Box) -> int:
        return sum(box.left < x < box.right and box.top < y < box.bottom for x, y in spots)

    return min(corners, key=crowd)


def _wind(
    wind: Mapping[str, float], system: str, corner: Box, size: float, taken: list[Box]
) -> str:
    """Draw where the air goes, in a corner, with its speed in words."""
    x, y, reach = (corner.left + corner.right) / 2, corner.top + 40.0, 22.0
    words = f"wind {amount(wind['speed'], 'wind', system, 2)}"
    east, north = -math.sin(wind["coming_from"]), -math.cos(wind["coming_from"])
    tip, foot = (x + east * reach, y - north * reach), (x - east * reach, y + north * reach)
    taken.append(corner)
    arrow = svg.line(*foot, *tip, role="ink", width=2)
    for turn in (2.6, -2.6):
        cos, sin = math.cos(turn), math.sin(turn)
        barb = (tip[0] + 10 * (east * cos - north * sin), tip[1] - 10 * (east * sin + north * cos))
        arrow += svg.line(*tip, *barb, role="ink", width=2)
    return arrow + svg.text(x, corner.top + 84, words, size=size, anchor="middle", kind="halo")
