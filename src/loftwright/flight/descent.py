"""How hard the air brakes what comes down without flying: from documents to one drag area."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from loftwright.physics.atmosphere import GRAVITY
from loftwright.physics.canopy import canopy_drag_area
from loftwright.physics.descent import drag_area_of_rate, tumbling_drag_area

__all__ = ["descent_drag_area"]

SEA_LEVEL_DENSITY = 1.225  # kg/m3, U.S. Standard Atmosphere 1976, which a measured rate refers to


def descent_drag_area(
    values: Mapping[str, Any], words: Mapping[str, Any], root: str = "payload"
) -> Any:
    """Drag coefficient times area of a pod coming down [m2]; what was measured goes first.

    Parameters
    ----------
    values, words : mapping
        As ``documents.flatten`` gives them; a value may be an array, one element a flight.
    root : str
        Path of the payload's document.
    """
    table = f"{root}.descent"
    if f"{table}.drag_area" in values:
        return values[f"{table}.drag_area"]
    if f"{table}.rate" in values:
        weight = values[f"{root}.mass"] * GRAVITY
        return drag_area_of_rate(weight, values[f"{table}.rate"], SEA_LEVEL_DENSITY)
    coefficient = values[f"{table}.drag_coefficient"]
    how = words[f"{table}.how"]
    if how == "tumbling":
        return tumbling_drag_area(values[f"{table}.surface"], coefficient)
    if how == "plain":
        return values[f"{table}.area"] * coefficient
    return canopy_drag_area(values[f"{table}.diameter"], coefficient)
