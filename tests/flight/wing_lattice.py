"""A vortex lattice over a flat wing: lift slope, aerodynamic centre and roll damping.

Written from the textbook (J. Katz and A. Plotkin, Low-Speed Aerodynamics, 2nd ed., section 12.1):
a horseshoe vortex on the quarter line of every panel, no flow through the panel at three quarters.
It shares nothing with the strips that it is held against.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FAR = 1e3  # half spans, where the legs of a horseshoe end


class Lattice(NamedTuple):
    """Results per radian, on area and span; the centre aft of the root's leading edge."""

    lift_slope: float
    centre: float  # m
    roll_damping: float  # of the rolling moment coefficient with p b / 2 V, negative


def _segment(points: Floats, start: Floats, end: Floats) -> Floats:
    """Velocity at points (n, 1, 3) by unit straight vortices (1, m, 3)."""
    one, two = points - start, points - end
    cross = np.cross(one, two)
    square = np.einsum("ijk,ijk->ij", cross, cross)
    lengths = np.linalg.norm(one, axis=2), np.linalg.norm(two, axis=2)
    along = one / lengths[0][..., None] - two / lengths[1][..., None]
    size = np.einsum("ijk,ijk->ij", np.broadcast_to(end - start, one.shape), along)
    safe = np.where(square > 1e-18, square, np.inf)
    return cross * (size / safe / (4.0 * np.pi))[..., None]


def lattice(
    span: float, root: float, tip: float, sweep: float, chordwise: int = 8, spanwise: int = 40
) -> Lattice:
    """Solve a straight-tapered wing; lengths in m, ``sweep`` the tip's leading edge aft."""
    half = 0.5 * span
    edges = half * -np.cos(np.linspace(0.0, np.pi, spanwise + 1))

    def place(y: Floats, share: Floats) -> Floats:
        out = np.abs(y) / half
        x = sweep * out + share * (root + (tip - root) * out)
        return np.stack([x, y, np.zeros_like(x)], axis=-1)

    shares = np.arange(chordwise) / chordwise
    left, right = edges[:-1], edges[1:]
    middle = 0.5 * (left + right)
    grid_left, grid_share = np.meshgrid(left, shares)
    grid_right, _ = np.meshgrid(right, shares)
    grid_middle, _ = np.meshgrid(middle, shares)
    step = 1.0 / chordwise
    start = place(grid_left, grid_share + 0.25 * step).reshape(1, -1, 3)
    end = place(grid_right, grid_share + 0.25 * step).reshape(1, -1, 3)
    meets = place(grid_middle, grid_share + 0.75 * step).reshape(-1, 1, 3)
    away = np.array([FAR * half, 0.0, 0.0])
    induced = (
        _segment(meets, start + away, start)
        + _segment(meets, start, end)
        + _segment(meets, end, end + away)
    )[..., 2]
    lifting = 0.5 * (start + end).reshape(-1, 3)
    widths = (end - start).reshape(-1, 3)[:, 1]
    # Unit speed: incidence of one radian, and a roll of p b / 2 V = 1 (left wing, y > 0, up).
    heave = np.linalg.solve(induced, -np.ones(len(widths)))
    rolling = np.linalg.solve(induced, meets[:, 0, 1] / half)
    area = 0.5 * (root + tip) * span
    lift = 2.0 * heave * widths / area
    roll = 2.0 * rolling * widths / area
    return Lattice(
        float(lift.sum()),
        float((lift * lifting[:, 0]).sum() / lift.sum()),
        float((roll * lifting[:, 1]).sum() / span),
    )
