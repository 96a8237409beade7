"""The corners of a site's shapes in metres east and north of the pad."""

from __future__ import annotations

from loftwright.documents.corners import Corner, Geographic
from loftwright.documents.site import Place, Shape
from loftwright.physics.geodesy import ground_offset

__all__ = ["CATCHING", "is_line", "local_corners"]

CATCHING = ("trees", "building")  # kinds that catch what flies into them


def is_line(shape: Shape) -> bool:
    """Tell whether the corners run along a line rather than around an area."""
    return shape.kind == "people line" or shape.width is not None


def local_corners(shape: Shape, place: Place) -> tuple[float, ...]:
    """Return east and north of each corner in turn, ``(e0, n0, e1, n1, ...)``, m."""
    return tuple(each for corner in shape.corners for each in _local(corner, place))


def _local(corner: Corner, place: Place) -> tuple[float, float]:
    if not isinstance(corner, Geographic):
        return corner.east, corner.north
    height = place.elevation.value
    pad = place.latitude.value, place.longitude.value, height
    east, north, _ = ground_offset(corner.latitude, corner.longitude, height, *pad)
    return east, north
