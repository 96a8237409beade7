"""What stands on the site and catches, as the flat row that the kernel reads."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.ground import CATCHING, local_corners
from loftwright.documents.site import Site
from loftwright.units import Quantity

__all__ = ["catching", "obstacles"]

Floats = NDArray[np.float64]


def catching(site: Site) -> tuple[int, ...]:
    """Return which shapes of the site catch: entry k is the place in ``site.shape`` of number k."""
    return tuple(index for index, shape in enumerate(site.shape) if shape.kind in CATCHING)


def obstacles(site: Site, values: Mapping[str, float] | None = None) -> Floats:
    """Return the row of ``kernel.obstacles``.

    ``values`` may hold other heights than those of the document, under the paths of
    ``documents.flatten``.
    """
    numbers = [float(len(catching(site)))]
    for index in catching(site):
        shape = site.shape[index]
        height = shape.height or Quantity(0.0)
        top = (values or {}).get(f"site.shape.{index}.height", height.value)
        corners = local_corners(shape, site.place)
        east, north = corners[::2], corners[1::2]
        numbers += [float(top), min(east), max(east), min(north), max(north)]
        numbers += [float(len(east)), *corners]
    return np.array(numbers)
