"""What must hold between the fields of a site."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import hypot

from loftwright.documents.corners import Geographic
from loftwright.documents.finding import Finding, listed, such_as, told
from loftwright.documents.ground import CATCHING, is_line, local_corners
from loftwright.documents.site import ASSUMED_WIND_HEIGHT, Shape, Site
from loftwright.documents.spans import Path
from loftwright.physics.plane import first_crossing, holds, turn

__all__ = ["RULES"]

FARTHEST = 20e3  # m from the pad; nothing that flies here lands beyond
SAME = 1e-3  # m; closer corners are one corner
FLAT = 1e-6  # distance off a line over its length, below which a corner lies on it


def gust_exceeds_mean(site: Site) -> Iterator[Finding]:
    """See that a gust is stronger than the mean wind."""
    gust, mean = site.wind.gust, site.wind.speed
    if gust is not None and gust.value < mean.value * (1.0 - 1e-9):
        message = "the gust is weaker than the mean wind"
        mend = "give the strongest wind seen, or leave gust out"
        yield Finding("site-weak-gust", ("wind", "gust"), message, mend)


def wind_is_measured_above_ground(site: Site) -> Iterator[Finding]:
    """See that the wind was measured above the roughness, where a profile exists."""
    if site.wind.at_height.value <= site.wind.roughness.value:
        message = "the wind was measured below the roughness length of the ground"
        grass = such_as("0.03 m", "length")
        mend = f'short grass has a roughness length of about "{grass}"; correct either of the two'
        yield Finding("site-low-wind", ("wind", "at_height"), message, mend)


def wind_has_its_height(site: Site) -> Iterator[Finding]:
    """Warn when the height of the wind was left to be assumed."""
    # The default is one object: a height of the same size that was written is another.
    if site.wind.at_height is ASSUMED_WIND_HEIGHT and site.wind.speed.value != 0.0:
        hand, mast = (such_as(height, "length") for height in ("2 m", "10 m"))
        message = f"at_height is missing: the wind is taken as measured {hand} above ground"
        mend = f'add at_height = "{hand}", or "{mast}" for a weather station on a mast'
        path = ("wind", "speed")
        yield Finding("site-no-wind-height", path, message, mend, "warning", key=True)


def shape_has_its_fields(site: Site) -> Iterator[Finding]:
    """See that a shape has what its kind needs; warn of what its kind has no use for."""
    uses = {"height": CATCHING, "width": ("road", "water"), "people": ("people",)}
    for path, shape in listed("shape", site.shape):
        if shape.kind in CATCHING and shape.height is None:
            message = (
                f"{shape.kind} need their height"
                if shape.kind == "trees"
                else ("a building needs its height")
            )
            mend = f'add height = "{such_as("12 m ± 2 m", "length")}", its top above the pad'
            yield Finding("site-no-height", (*path, "kind"), message, mend)
        for field, kinds in uses.items():
            if getattr(shape, field) is not None and shape.kind not in kinds:
                message = f'{field} is not used with kind = "{shape.kind}"'
                mend = "take it out, or write kind = " + " or ".join(f'"{kind}"' for kind in kinds)
                yield Finding("doc-not-used", (*path, field), message, mend, "warning", key=True)


def shapes_have_names_of_their_own(site: Site) -> Iterator[Finding]:
    """See that no two shapes share a name: results are told by it."""
    names: dict[str, int] = {}
    for path, shape in listed("shape", site.shape):
        if shape.name in names:
            message = f"shape {names[shape.name] + 1} has this name already"
            yield Finding("site-same-name", (*path, "name"), message, "give each a name of its own")
        names.setdefault(shape.name, path[1])


def corners_make_a_shape(site: Site) -> Iterator[Finding]:
    """See that corners enclose an area, or follow a line, within reach and without crossing."""
    for path, shape in listed("shape", site.shape):
        found = _fault(shape, site, (*path, "corners"))
        if found is not None:
            yield found


def pad_stands_in_its_field(site: Site) -> Iterator[Finding]:
    """Warn when no field edge holds the pad, and refuse a pad inside something that catches."""
    edges = []
    for path, shape in listed("shape", site.shape):
        if is_line(shape) or _fault(shape, site, path) is not None:
            continue
        held = holds(0.0, 0.0, local_corners(shape, site.place)) > 0.0
        if shape.kind == "field edge":
            edges.append((path, held))
        elif held and shape.kind in CATCHING:
            message = f"the pad stands inside {shape.name}"
            mend = "correct the corners: east and north of the pad, west and south negative"
            yield Finding("site-pad-caught", (*path, "corners"), message, mend)
    if edges and not any(held for _, held in edges):
        message = "the field edge does not hold the pad"
        mend = "correct the corners: east and north of the pad, west and south negative"
        yield Finding("site-pad-outside", (*edges[0][0], "corners"), message, mend, "warning")


def _fault(shape: Shape, site: Site, path: Path) -> Finding | None:
    """Return the first thing that is wrong with the corners of a shape."""
    if (found := next(_count(shape, path), None)) is not None:
        return found
    corners = local_corners(shape, site.place)
    found = next(_reach(shape, corners, path), None) or next(_repeats(corners, path), None)
    return found or next(_crossing(shape, corners, path), None)


def _count(shape: Shape, path: Path) -> Iterator[Finding]:
    least = 2 if is_line(shape) else 3
    if len({isinstance(corner, Geographic) for corner in shape.corners}) > 1:
        message = "some corners are metres from the pad, others latitude and longitude"
        yield Finding("site-corner-mixed", path, message, "write all of them one way")
    elif len(shape.corners) < least:
        words = "two corners" if least == 2 else "three corners"
        message = f"{words} at least are needed; {len(shape.corners) or 'none'} stand here"
        yield Finding("site-few-corners", path, message, "add the corners that are missing")


def _reach(shape: Shape, corners: tuple[float, ...], path: Path) -> Iterator[Finding]:
    for number, (east, north) in enumerate(_pairs(corners)):
        if (far := hypot(east, north)) > FARTHEST:
            message = f"corner {number + 1} lies {told(far, 'length')} from the pad"
            mend = f"{told(FARTHEST, 'length', 2)} is the most; look at the unit"
            if isinstance(shape.corners[number], Geographic):
                mend = "write latitude first; west and south are negative; see [place] as well"
            yield Finding("site-far-corner", (*path, number), message, mend)


def _repeats(corners: tuple[float, ...], path: Path) -> Iterator[Finding]:
    pairs = list(enumerate(_pairs(corners)))
    for (j, one), (k, other) in combinations(pairs, 2):
        if hypot(one[0] - other[0], one[1] - other[1]) < SAME:
            message = f"corner {k + 1} is corner {j + 1} again"
            closes = j == 0 and k == len(pairs) - 1
            mend = "leave it out: a shape closes itself" if closes else "leave one of them out"
            yield Finding("site-corner-twice", (*path, k), message, mend)


def _crossing(shape: Shape, corners: tuple[float, ...], path: Path) -> Iterator[Finding]:
    closed = not is_line(shape)
    if closed and _on_one_line(corners):
        message, mend = "these corners enclose no area", "give corners that go round it"
        yield Finding("site-no-area", path, message, mend)
        return
    j, k, east, north = first_crossing(corners, float(closed))
    if j < 0.0:
        return
    count = len(corners) // 2
    one, other = (f"{int(n) + 1} to {(int(n) + 1) % count + 1}" for n in (j, k))
    message = (
        f"the edge from corner {one} meets that from {other}, {_spoken(east, north)} of the pad"
    )
    yield Finding("site-crossing", path, message, "give the corners in turn, as you walk round it")


def _pairs(corners: tuple[float, ...]) -> list[tuple[float, float]]:
    return list(zip(corners[::2], corners[1::2], strict=True))


def _on_one_line(corners: tuple[float, ...]) -> bool:
    """Tell whether all corners lie within a hair of the line from the first to the farthest."""
    (east, north), *others = _pairs(corners)
    far = max(others, key=lambda each: hypot(each[0] - east, each[1] - north))
    limit = FLAT * hypot(far[0] - east, far[1] - north) ** 2
    return all(abs(turn(*each, east, north, *far)) < limit for each in others)


def _spoken(east: float, north: float) -> str:
    across, along = ("east" if east >= 0 else "west"), ("north" if north >= 0 else "south")
    return f"{told(abs(east), 'length')} {across} and {told(abs(north), 'length')} {along}"


RULES = (
    gust_exceeds_mean,
    wind_is_measured_above_ground,
    wind_has_its_height,
    shape_has_its_fields,
    shapes_have_names_of_their_own,
    corners_make_a_shape,
    pad_stands_in_its_field,
)
