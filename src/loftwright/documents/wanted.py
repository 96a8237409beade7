"""What counts as done well when a flight is rehearsed.

Nothing flies by these numbers; rehearsed flights are sorted by them. The defaults are judgement.
"""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.fields import Quantity, quantity

__all__ = ["WantedOpening", "WantedRelease"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedRelease:
    """What counts as a good release when it is rehearsed; the defaults are judgement."""

    most_speed: Quantity = quantity(
        "speed",
        "Most speed through the air at which it may be let go.",
        default=Quantity(20.0),
        above=0,
        example="20 m/s",
    )
    least_climb: Quantity = quantity(
        "speed",
        "Least climb speed of the vehicle then; a negative one allows for falling.",
        default=Quantity(-3.0),
        example="-3 m/s",
    )
    least_height: Quantity = quantity(
        "length",
        "Least height above the pad then.",
        default=Quantity(20.0),
        at_least=0,
        example="20 m",
    )
    most_lean: Quantity = quantity(
        "angle",
        "Most that the vehicle's axis may lean from straight up then.",
        default=Quantity(1.7453292519943295),  # 100 deg
        at_least=0,
        at_most=3.141592653589793,
        example="100 deg",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedOpening:
    """What counts as a good opening of the canopy when it is rehearsed; defaults are judgement."""

    most_opening_speed: Quantity = quantity(
        "speed",
        "Most speed through the air at which the canopy may open.",
        default=Quantity(20.0),
        above=0,
        example="20 m/s",
    )
    least_opening_height: Quantity = quantity(
        "length",
        "Least height above the pad at which it may open.",
        default=Quantity(15.0),
        at_least=0,
        example="15 m",
    )
    most_landing_speed: Quantity = quantity(
        "speed",
        "Most speed at which the vehicle may come down under it.",
        default=Quantity(12.0),
        above=0,
        example="12 m/s",
    )
