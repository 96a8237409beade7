"""A second way to the normal force of body and fins, sharing no formula with ours.

Fins: a vortex lattice on all fins of a set at once, each horseshoe with its image inside the body
(circle theorem), in the flow that the bare body makes of a cross-wind. What the body takes over
follows from the images' spans. So plan form, the fins' influence on each other and that of the
body come out of one linear system; small incidence, no compressibility, an endless cylinder.

Body: strips of slender-body theory, the growth of the cross-section counted along the contour.

References
----------
J. Katz and A. Plotkin, Low-Speed Aerodynamics, 2nd ed. (2001), sections 12.3 and 8.2; L. M.
Milne-Thomson, Proc. Camb. Phil. Soc. 36 (1940) 246 (circle theorem); M. M. Munk, NACA Report 184
(1924) (all from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Fins(NamedTuple):
    """One set of fins on a cylinder, lengths in metres."""

    count: int
    root: float
    tip: float
    span: float
    sweep: float
    start: float  # root's leading edge aft of the nose tip
    radius: float  # of the body


class Force(NamedTuple):
    """Slope times reference area [m^2/rad], and where it acts [m aft of the nose tip]."""

    slope: float
    centre: float


class _Lattice(NamedTuple):
    ends: Floats  # (panels, 2, 3): where each bound vortex starts and ends
    points: Floats  # (panels, 3): where the flow must follow the fin
    normals: Floats  # (panels, 3)
    radii: Floats  # (panels, 2): of the ends


def _lattice(fins: Fins, chordwise: int, spanwise: int, turned: float) -> _Lattice:
    """Lay panels on all fins, strips narrow at root and tip."""
    edge = 0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, spanwise + 1))
    middle = 0.5 - 0.5 * np.cos(np.pi * (np.arange(spanwise) + 0.5) / spanwise)
    rows = np.arange(chordwise) / chordwise

    def along(share: Floats, place: float) -> Floats:
        chord = fins.root + (fins.tip - fins.root) * share
        front = fins.start + fins.sweep * share
        return front + (rows[:, np.newaxis] + place / chordwise) * chord

    bound, met = along(edge, 0.25), along(middle, 0.75)
    radius = fins.radius + fins.span * edge
    ends, points, normals, radii = [], [], [], []
    for angle in turned + 2.0 * np.pi * np.arange(fins.count) / fins.count:
        out = np.array([0.0, np.cos(angle), np.sin(angle)])
        for row in range(chordwise):
            for strip in range(spanwise):
                pair = [out * radius[k] + [bound[row, k], 0.0, 0.0] for k in (strip, strip + 1)]
                ends.append(pair)
                height = fins.radius + fins.span * middle[strip]
                points.append(out * height + [met[row, strip], 0.0, 0.0])
                normals.append([0.0, -np.sin(angle), np.cos(angle)])
                radii.append([radius[strip], radius[strip + 1]])
    return _Lattice(*(np.array(part) for part in (ends, points, normals, radii)))


def _segment(points: Floats, start: Floats, end: Floats) -> Floats:
    """Velocity of straight vortices of circulation one: (points, vortices, 3), Biot and Savart."""
    a = points[:, np.newaxis] - start
    b = points[:, np.newaxis] - end
    cross = np.cross(a, b)
    size_a, size_b = np.linalg.norm(a, axis=-1), np.linalg.norm(b, axis=-1)
    below = size_a * size_b * (size_a * size_b + (a * b).sum(axis=-1))
    return cross * ((size_a + size_b) / (4.0 * np.pi * below))[..., np.newaxis]


def _leg(points: Floats, start: Floats) -> Floats:
    """Velocity of vortices of circulation one from ``start`` to far aft."""
    a = points[:, np.newaxis] - start
    size = np.linalg.norm(a, axis=-1)
    aft = np.array([1.0, 0.0, 0.0])
    return np.cross(aft, a) / (4.0 * np.pi * size * (size - a[..., 0]))[..., np.newaxis]


def _horseshoes(points: Floats, ends: Floats) -> Floats:
    first, last = ends[:, 0], ends[:, 1]
    return _segment(points, first, last) + _leg(points, last) - _leg(points, first)


def _mirrored(ends: Floats, radius: float) -> Floats:
    """Images of points in a cylinder along x."""
    across = ends[..., 1:]
    image = across * (radius**2 / (across**2).sum(axis=-1, keepdims=True))
    return np.concatenate([ends[..., :1], image], axis=-1)


def fins_by_lattice(
    fins: Fins, chordwise: int = 6, spanwise: int = 16, turned: float = 0.4
) -> tuple[Force, Force]:
    """Return what the fins feel, and what they make the body feel.

    ``turned`` is the angle of the first fin to the cross-wind; three fins and more feel the same
    at every angle.
    """
    lattice = _lattice(fins, chordwise, spanwise, turned)
    flow = _horseshoes(lattice.points, lattice.ends)
    if fins.radius > 0.0:
        flow -= _horseshoes(lattice.points, _mirrored(lattice.ends, fins.radius))
    matrix = (flow * lattice.normals[:, np.newaxis]).sum(axis=-1)
    square = (lattice.points[:, 1:] ** 2).sum(axis=-1)
    # A cross-wind of one along y, around the cylinder: -sin(angle) (1 + R^2 / r^2) along normals.
    crosswind = lattice.normals[:, 1] * (1.0 + fins.radius**2 / square)
    circulation = np.linalg.solve(matrix, -crosswind)
    side = 2.0 * circulation * lattice.normals[:, 1]  # of a unit of span, speed one, over rho/2
    at = lattice.ends[..., 0].mean(axis=1)
    spans = lattice.radii[:, 1] - lattice.radii[:, 0]
    on_fins = _force(side * spans, at)
    if fins.radius == 0.0:
        return on_fins, Force(0.0, on_fins.centre)
    images = fins.radius**2 * (1.0 / lattice.radii[:, 0] - 1.0 / lattice.radii[:, 1])
    return on_fins, _force(side * images, at)


def _force(slopes: Floats, places: Floats) -> Force:
    total = float(slopes.sum())
    return Force(total, float((slopes * places).sum() / total))


def body_by_strips(
    radius_at: Callable[[Floats], Floats], start: float, end: float, strips: int = 4000
) -> Force:
    """Return a stretch of body, from the growth of its cross-section strip by strip."""
    stations = np.linspace(start, end, strips + 1)
    sections = np.pi * radius_at(stations) ** 2
    return _force(2.0 * np.diff(sections), 0.5 * (stations[1:] + stations[:-1]))


def together(*forces: Force) -> Force:
    """Sum forces, and find where the sum acts."""
    slopes, places = np.array(forces).T
    return _force(slopes, places)
