"""Side view and skin of the vehicle's pieces: areas and where their middles lie.

Nose profiles, with ``R`` the base radius and ``x`` from the tip (0) to the base (1):

=========  ==================  ===========  ===============
profile    radius over ``R``   side view    its middle
=========  ==================  ===========  ===============
cone       ``x``               1/2          2/3
parabola   ``sqrt(x)``         2/3          3/5
ellipsoid  ``sqrt(2x - x^2)``  pi/4         1 - 4/(3 pi)
ogive      ``2x - x^2``        2/3          5/8
=========  ==================  ===========  ===============

Side view is in units of diameter times length, its middle in lengths from the tip; both are
integrals of the radius (the ogive is the slender limit of a tangent ogive). Arithmetic only, so
arrays may stand where floats do.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Silhouette", "cylinder", "fin_area", "frustum", "joined", "mean_chord", "nose"]

PI = 3.141592653589793

NOSE_SIDE_VIEW = {
    "cone": (1 / 2, 2 / 3),
    "parabola": (2 / 3, 3 / 5),
    "ellipsoid": (PI / 4, 1 - 4 / (3 * PI)),
    "ogive": (2 / 3, 5 / 8),
}


class Silhouette(NamedTuple):
    """A body piece seen from the side, and its skin."""

    side_area: float  # m^2
    centre: float  # m aft of the nose tip, middle of the side area
    wetted_area: float  # m^2


def nose(profile: str, length: float, diameter: float) -> Silhouette:
    """Outline a nose of one of the profiles above.

    The skin is taken as the side view turned around the axis and stretched by the mean slope,
    ``pi A_side sqrt(1 + (R/L)^2)``: exact for the cone, within 4 % for the others from one
    diameter of length on, 11 % too much for a half sphere.
    """
    share, middle = NOSE_SIDE_VIEW[profile]
    side = share * diameter * length
    stretch = (1 + (diameter / (2 * length)) ** 2) ** 0.5
    return Silhouette(side, middle * length, PI * side * stretch)


def cylinder(start: float, length: float, diameter: float) -> Silhouette:
    """Outline a straight tube that begins ``start`` aft of the nose tip."""
    side = diameter * length
    return Silhouette(side, start + length / 2, PI * side)


def frustum(start: float, length: float, front: float, aft: float) -> Silhouette:
    """Outline a conical piece between two diameters; the skin is without its end discs."""
    side = (front + aft) / 2 * length
    middle = start + length / 3 * (front + 2 * aft) / (front + aft)
    slant = (length**2 + ((front - aft) / 2) ** 2) ** 0.5
    return Silhouette(side, middle, PI * (front + aft) / 2 * slant)


def joined(pieces: list[Silhouette]) -> Silhouette:
    """Join the pieces of one body."""
    side = sum(piece.side_area for piece in pieces)
    moment = sum(piece.side_area * piece.centre for piece in pieces)
    return Silhouette(side, moment / side, sum(piece.wetted_area for piece in pieces))


def fin_area(root_chord: float, tip_chord: float, span: float) -> float:
    """Return the area of one side of one fin, m^2."""
    return (root_chord + tip_chord) / 2 * span


def mean_chord(root_chord: float, tip_chord: float) -> float:
    """Return the mean aerodynamic chord of a straight-edged fin, m.

    ``2/3 (c_r + c_t - c_r c_t / (c_r + c_t))``, the area's mean of the chord squared over chord.
    """
    chords = root_chord + tip_chord
    return 2 / 3 * (chords - root_chord * tip_chord / chords)
