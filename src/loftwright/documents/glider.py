"""Tables of ``payload.toml`` that describe a glider as it is built: wing, tail, fuselage, balance.

Lengths run aft from the glider's own nose; heights run up from the line of the fuselage.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

from loftwright.documents.fields import Quantity, quantity

__all__ = ["Balance", "Fin", "Fuselage", "Tailplane", "Wing"]

CRAFT = radians(0.3)  # how straight hands set a small surface (judgement)
LARGEST_ANGLE = radians(20.0)
LARGEST_DIHEDRAL = radians(45.0)


def _place(what: str, example: str) -> Quantity:
    doc = f"Leading edge of the {what}, aft of the glider's nose."
    made: Quantity = quantity("length", doc, at_least=0, example=example)
    return made


def _height(what: str) -> Quantity:
    doc = f"Height of the {what} above the line of the fuselage."
    made: Quantity = quantity("length", doc, default=Quantity(0.0), example="0 mm")
    return made


def _angle(doc: str, example: str, spread: float = CRAFT) -> Quantity:
    made: Quantity = quantity(
        "angle",
        doc,
        default=Quantity(0.0, spread),
        at_least=-LARGEST_ANGLE,
        at_most=LARGEST_ANGLE,
        example=example,
    )
    return made


def _dihedral(what: str, example: str) -> Quantity:
    made: Quantity = quantity(
        "angle",
        f"Rise of each half of the {what} over level; droop is negative.",
        default=Quantity(0.0),
        at_least=-LARGEST_DIHEDRAL,
        at_most=LARGEST_DIHEDRAL,
        example=example,
    )
    return made


def _sweep(what: str) -> Quantity:
    doc = f"How far the {what}'s leading edge stands aft of the root's."
    made: Quantity = quantity("length", doc, default=Quantity(0.0), example="10 mm")
    return made


def _mass(what: str, example: str) -> Quantity | None:
    doc = f"Mass of the {what} alone; reckoned as light foam when left out."
    made: Quantity | None = quantity("mass", doc, default=None, above=0, example=example)
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Wing:
    """The wing, unfolded: a thin plate or arc, straight-tapered."""

    from_nose: Quantity = _place("root", "85 mm")
    span: Quantity = quantity("length", "Span, tip to tip.", above=0, at_most=3.0, example="400 mm")
    root_chord: Quantity = quantity("length", "Chord in the middle.", above=0, example="90 mm")
    tip_chord: Quantity = quantity("length", "Chord at the tips.", at_least=0, example="70 mm")
    sweep: Quantity = _sweep("tip")
    dihedral: Quantity = _dihedral("wing", "6 deg")
    incidence: Quantity = _angle(
        "Angle of the root's chord to the fuselage, leading edge up.", "2 deg ± 0.3 deg"
    )
    washout: Quantity = _angle(
        "How much less incidence the tips have than the root.", "0 deg ± 0.3 deg"
    )
    thickness: Quantity = quantity("length", "Thickness.", above=0, example="3 mm")
    camber: Quantity = quantity(
        "number",
        "Height of the section's arc over its chord, as built.",
        default=Quantity(0.0),
        at_least=0,
        at_most=0.12,
        example="0.02 ± 0.005",
    )
    curl: Quantity = quantity(
        "number",
        "Camber left over from having been wrapped, besides: height of the arc over the chord.",
        default=Quantity(0.0, 0.004),
        at_least=-0.1,
        at_most=0.1,
        example="0 ± 0.004",
    )
    warp: Quantity = _angle(
        "Twist between left and right left over from wrapping: how much more incidence the left "
        "tip has than the middle, and the right tip less.",
        "0 deg ± 0.3 deg",
    )
    height: Quantity = _height("root")
    mass: Quantity | None = _mass("wing", "5 g")
    folded_share: Quantity = quantity(
        "number",
        "Share of the wing's area that is out at the moment of release.",
        default=Quantity(1.0),
        at_least=0.05,
        at_most=1.0,
        example="0.3 ± 0.1",
    )
    unfold_time: Quantity = quantity(
        "time",
        "From release until the wing is out.",
        default=Quantity(0.0),
        at_least=0,
        example="0.15 s ± 0.05 s",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Tailplane:
    """The tailplane; a plank or a dart has none."""

    from_nose: Quantity = _place("root", "285 mm")
    span: Quantity = quantity("length", "Span, tip to tip.", above=0, example="150 mm")
    root_chord: Quantity = quantity("length", "Chord in the middle.", above=0, example="50 mm")
    tip_chord: Quantity = quantity("length", "Chord at the tips.", at_least=0, example="40 mm")
    sweep: Quantity = _sweep("tip")
    dihedral: Quantity = _dihedral("tailplane", "0 deg")
    incidence: Quantity = _angle(
        "Angle of its chord to the fuselage, leading edge up.", "0 deg ± 0.3 deg"
    )
    thickness: Quantity = quantity("length", "Thickness.", above=0, example="3 mm")
    height: Quantity = _height("root")
    mass: Quantity | None = _mass("tailplane", "1 g")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fin:
    """The upright fin on the middle line."""

    from_nose: Quantity = _place("root", "285 mm")
    span: Quantity = quantity("length", "Height, root to tip.", above=0, example="60 mm")
    root_chord: Quantity = quantity("length", "Chord at the root.", above=0, example="50 mm")
    tip_chord: Quantity = quantity("length", "Chord at the tip.", at_least=0, example="40 mm")
    sweep: Quantity = _sweep("tip")
    cant: Quantity = _angle(
        "Angle of its chord to the fuselage, leading edge to the left.", "0 deg ± 0.3 deg"
    )
    thickness: Quantity = quantity("length", "Thickness.", above=0, example="3 mm")
    height: Quantity = _height("root")
    mass: Quantity | None = _mass("fin", "0.5 g")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuselage:
    """The fuselage, or the stick that stands for one."""

    length: Quantity = quantity("length", "Length.", above=0, example="340 mm")
    width: Quantity = quantity("length", "Largest width.", above=0, example="10 mm")
    depth: Quantity = quantity("length", "Largest depth.", above=0, example="15 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Where the glider balances, and how it resists turning."""

    from_nose: Quantity = quantity(
        "length",
        "Balance point, aft of the glider's nose.",
        at_least=0,
        example="113 mm ± 1 mm",
    )
    height: Quantity = quantity(
        "length",
        "Balance point, above the line of the fuselage.",
        default=Quantity(0.0),
        example="0 mm",
    )
    inertia_roll: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia about the line of flight; built up from the parts when left "
        "out.",
        default=None,
        above=0,
        example="900 g cm^2",
    )
    inertia_pitch: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia about the line of the span.",
        default=None,
        above=0,
        example="1200 g cm^2",
    )
    inertia_yaw: Quantity | None = quantity(
        "inertia",
        "Measured moment of inertia about the upright line.",
        default=None,
        above=0,
        example="2000 g cm^2",
    )
