"""Probability contours of a scatter: the smallest region that holds a share of the points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["DensityGrid", "contour_lines", "density_grid", "highest_density_contours"]

Floats = NDArray[np.float64]
Segment = tuple[tuple[float, float], tuple[float, float]]

GRID = 96
# The kernel of few points is wide: on half as many nodes it is as smooth as that of thousands.
FEW, COARSE_GRID = 64, 48
MARGIN = 3.5  # kernel widths around the outermost points


@dataclass(frozen=True, slots=True)
class DensityGrid:
    """A density on a grid, ``values[i, j]`` at ``(x[i], y[j])``."""

    x: Floats
    y: Floats
    values: Floats

    def at(self, points: Floats) -> Floats:
        """Return the density at ``points`` ``(n, 2)``, bilinear between grid nodes."""
        u = (points[:, 0] - self.x[0]) / (self.x[1] - self.x[0])
        v = (points[:, 1] - self.y[0]) / (self.y[1] - self.y[0])
        i = np.clip(u.astype(int), 0, self.x.size - 2)
        j = np.clip(v.astype(int), 0, self.y.size - 2)
        a, b = u - i, v - j
        z = self.values
        low = z[i, j] * (1 - a) + z[i + 1, j] * a
        high = z[i, j + 1] * (1 - a) + z[i + 1, j + 1] * a
        return np.asarray(low * (1 - b) + high * b)


def density_grid(points: Floats, width: float) -> DensityGrid:
    """Return a Gaussian kernel density of ``points`` ``(n, 2)``; ``width`` is the kernel's sd.

    References: B. W. Silverman, "Density Estimation for Statistics and Data Analysis", 1986,
    section 4.2.
    """
    low = points.min(axis=0) - MARGIN * width
    high = points.max(axis=0) + MARGIN * width
    nodes = COARSE_GRID if len(points) <= FEW else GRID
    x, y = (np.linspace(low[k], high[k], nodes) for k in (0, 1))
    # The kernel is a product, so the sum over points is one matrix product.
    across = np.exp(-0.5 * ((x[:, None] - points[None, :, 0]) / width) ** 2)
    along = np.exp(-0.5 * ((y[:, None] - points[None, :, 1]) / width) ** 2)
    return DensityGrid(x, y, across @ along.T / len(points))


def highest_density_contours(
    points: Floats, shares: tuple[float, ...]
) -> dict[float, list[Floats]]:
    """Return closed contours ``(m, 2)`` for each share: the smallest region with that share.

    Rows with NaN are left out. Fewer than 20 points, or points on a line, give no contours.

    References: R. J. Hyndman, "Computing and graphing highest density regions", The American
    Statistician 50(2), 1996: the level is the quantile of the density at the points themselves.
    """
    points = points[np.isfinite(points).all(axis=1)]
    if len(points) < 20:
        return {share: [] for share in shares}
    centre, spread = points.mean(axis=0), np.cov(points.T)
    if np.linalg.det(spread) <= 1e-9 * np.trace(spread) ** 2:
        return {share: [] for share in shares}
    # In coordinates where the scatter is as wide as it is long, one kernel width suits both.
    shape = np.linalg.cholesky(spread)
    plain = np.linalg.solve(shape, (points - centre).T).T
    grid = density_grid(plain, len(points) ** (-1 / 6))
    densities = grid.at(plain)
    contours = {}
    for share in shares:
        level = float(np.quantile(densities, 1 - share))
        contours[share] = [line @ shape.T + centre for line in contour_lines(grid, level)]
    return contours


# Marching squares: corners are bits 1 (i, j), 2 (i+1, j), 4 (i+1, j+1), 8 (i, j+1); edges are
# 0 bottom, 1 right, 2 top, 3 left. Each case lists the edge pairs that the contour joins, so
# that the higher side lies to its left.
_CASES: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((0, 3),), 2: ((1, 0),), 3: ((1, 3),), 4: ((2, 1),), 5: ((0, 1), (2, 3)), 6: ((2, 0),),
    7: ((2, 3),), 8: ((3, 2),), 9: ((0, 2),), 10: ((3, 0), (1, 2)), 11: ((1, 2),), 12: ((3, 1),),
    13: ((0, 1),), 14: ((3, 0),),
}  # fmt: skip


def contour_lines(grid: DensityGrid, level: float) -> list[Floats]:
    """Return the closed lines where the density equals ``level``, by marching squares.

    References: W. Lorensen and H. Cline, "Marching cubes", Computer Graphics 21(4), 1987, in two
    dimensions.
    """
    z = grid.values
    high = (z >= level).astype(int)
    codes = high[:-1, :-1] + 2 * high[1:, :-1] + 4 * high[1:, 1:] + 8 * high[:-1, 1:]
    follow: dict[tuple[int, int, int], tuple[int, int, int]] = {}
    for i, j in zip(*(k.tolist() for k in np.nonzero((codes > 0) & (codes < 15))), strict=True):
        for start, end in _CASES[int(codes[i, j])]:
            follow[_edge(i, j, start)] = _edge(i, j, end)
    lines = []
    while follow:
        first, here = follow.popitem()
        chain = [first, here]
        while here in follow:
            here = follow.pop(here)
            chain.append(here)
        lines.append(np.array([_crossing(grid, edge, level) for edge in chain]))
    return lines


def _edge(i: int, j: int, side: int) -> tuple[int, int, int]:
    """Name an edge by its lower node and its direction (0 along x, 1 along y)."""
    return ((i, j, 0), (i + 1, j, 1), (i, j + 1, 0), (i, j, 1))[side]


def _crossing(grid: DensityGrid, edge: tuple[int, int, int], level: float) -> tuple[float, float]:
    i, j, along = edge
    k, m = (i, j + 1) if along else (i + 1, j)
    one, other = float(grid.values[i, j]), float(grid.values[k, m])
    share = (level - one) / (other - one)
    x = grid.x[i] + share * (grid.x[k] - grid.x[i])
    y = grid.y[j] + share * (grid.y[m] - grid.y[j])
    return float(x), float(y)
