"""What single landings mean against the ground: in the field or not, in the trees or not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.field.geometry import to_line
from loftwright.field.landings import Landings, ends_in
from loftwright.field.shapes import GroundShape, ground_shapes
from loftwright.flight.obstacles import catching, obstacles
from loftwright.study.figures import bodies_down

__all__ = ["Ground", "Grounds", "on_the_ground"]

Floats = NDArray[np.float64]

# Figure and the kind of shape that it asks about.
_CAUGHT = {"tree_risk": "trees", "building_risk": "building"}


@dataclass(frozen=True, slots=True)
class Ground:
    """The shapes of a site: as the engine reads them, and as landings are held against them."""

    row: Floats
    shapes: tuple[GroundShape, ...]
    catching: tuple[int, ...]


class Grounds:
    """The grounds of many campaigns: those that share their shapes share one."""

    def __init__(self) -> None:
        self._last: tuple[object, object, Ground] | None = None

    def of(self, campaign: Campaign) -> Ground:
        """Return the ground of a campaign, the same as before where its shapes are the same."""
        site = campaign.site
        if self._last is not None and self._last[0] is site.shape and self._last[1] is site.place:
            return self._last[2]
        ground = Ground(obstacles(site), ground_shapes(site), catching(site))
        self._last = (site.shape, site.place, ground)
        return ground


def on_the_ground(columns: Mapping[str, Floats], ground: Ground) -> dict[str, Floats]:
    """Return for each body, and for all together, whether and how well it stays clear.

    ``inside_field`` and the risks are 1 or 0 of a flight; ``field_margin_m`` is how far inside the
    edge a landing lies, negative outside. Of all bodies the worst counts. A body that did not come
    down on its own has none.

    Notes
    -----
    Where field edges overlap, the margin of the one that holds the landing best is taken: no more
    than that of them together.
    """
    found: dict[str, Floats] = {}
    for body in bodies_down(columns):
        for key, column in _of_body(body, columns, ground).items():
            worst = np.fmin if key in ("inside_field", "field_margin_m") else np.fmax
            found[f"{body}_{key}"] = column
            found[key] = worst(found[key], column) if key in found else column
    return found


def _of_body(body: str, columns: Mapping[str, Floats], ground: Ground) -> dict[str, Floats]:
    points = np.stack([columns[f"touchdown_{body}_{way}_m"] for way in ("east", "north")], axis=1)
    down = np.asarray(np.isfinite(points).all(axis=1))
    caught = _shape_number(columns[f"touchdown_{body}_caught"][down], ground)
    landed = Landings(points[down], caught, energy=np.zeros(len(caught)))
    margin = _field_margin(landed.points, ground.shapes)
    found = {"inside_field": np.where(np.isfinite(margin), margin >= 0.0, np.nan),
             "field_margin_m": margin}  # fmt: skip
    for key, kind in _CAUGHT.items():
        held = [ends_in(number, shape, landed)
                for number, shape in enumerate(ground.shapes) if shape.kind == kind]  # fmt: skip
        found[key] = np.any(held, axis=0) if held else np.zeros(len(landed.points))
    return {key: _spread_out(column, down) for key, column in found.items()}


def _shape_number(caught: Floats, ground: Ground) -> Floats:
    """Turn the number among the shapes that catch into that of the site; NaN for none."""
    numbers = np.array([*ground.catching, np.nan])
    return np.asarray(numbers[np.where(caught >= 0.0, caught, -1).astype(int)])


def _spread_out(column: Floats, down: NDArray[np.bool_]) -> Floats:
    whole = np.full(len(down), np.nan)
    whole[down] = column
    return whole


def _field_margin(points: Floats, shapes: tuple[GroundShape, ...]) -> Floats:
    """Distance from the edge of the field, positive inside; NaN where no field is drawn."""
    margin = np.full(len(points), np.nan)
    for shape in shapes:
        if shape.kind == "field edge":
            edge = to_line(points, np.vstack([shape.corners, shape.corners[:1]]))
            margin = np.fmax(margin, np.where(shape.holds(points), edge, -edge))
    return margin
