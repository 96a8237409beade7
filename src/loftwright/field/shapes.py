"""The shapes of a site as arrays, and which points they hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftwright.documents.ground import CATCHING, is_line, local_corners
from loftwright.documents.site import Site
from loftwright.field.geometry import Bools, Floats, beyond_line, inside, meet, to_line
from loftwright.physics.plane import signed_area

__all__ = ["GroundShape", "ground_shapes"]


@dataclass(frozen=True, slots=True)
class GroundShape:
    """A shape with corners ``(m, 2)`` in metres east and north of the pad.

    ``width`` is that of a road or of water along a line, else None; ``people`` how many stand in
    it.
    """

    name: str
    kind: str
    corners: Floats
    width: float | None = None
    height: float | None = None
    people: float | None = None

    @property
    def is_line(self) -> bool:
        """Tell whether the corners run along a line rather than around an area."""
        return self.kind == "people line" or self.width is not None

    @property
    def catches(self) -> bool:
        """Tell whether it catches what flies into it."""
        return self.kind in CATCHING

    @property
    def area(self) -> float:
        """Return the area that it covers, m2; of a line its length times its width."""
        if self.is_line:
            steps = np.diff(self.corners, axis=0)
            return float(np.hypot(steps[:, 0], steps[:, 1]).sum()) * (self.width or 0.0)
        return abs(signed_area(tuple(self.corners.ravel().tolist())))

    def holds(self, points: Floats) -> Bools:
        """Tell of each point ``(n, 2)`` whether it lies in the shape, or beyond a people line."""
        if self.kind == "people line":
            return beyond_line(points, self.corners)
        if self.width is not None:
            return np.asarray(to_line(points, self.corners) <= self.width / 2)
        return inside(points, self.corners)

    def reached_by(self, contour: Floats) -> bool:
        """Tell whether what lies within a closed contour ``(m, 2)`` reaches into the shape.

        A field edge is reached when the contour leaves the field.
        """
        held = self.holds(contour)
        if self.kind == "field edge":
            return not bool(held.all())
        if held.any() or self.kind == "people line":
            return bool(held.any())
        closed = self.corners if self.is_line else np.vstack([self.corners, self.corners[:1]])
        return bool(inside(self.corners, contour).any()) or meet(contour, closed)


def ground_shapes(site: Site) -> tuple[GroundShape, ...]:
    """Return the shapes of a site in the order of the document."""
    return tuple(
        GroundShape(
            name=shape.name,
            kind=shape.kind,
            corners=np.array(local_corners(shape, site.place)).reshape(-1, 2),
            width=shape.width.value if shape.width and is_line(shape) else None,
            height=shape.height.value if shape.height else None,
            people=shape.people.value if shape.people else None,
        )
        for shape in site.shape
    )
