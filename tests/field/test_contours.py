"""A contour of a share holds that share of the points."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.field.contours import contour_lines, density_grid, highest_density_contours


def inside(points: np.ndarray, loops: list[np.ndarray]) -> np.ndarray:
    """Even-odd rule: a ray from a point crosses the loops an odd number of times."""
    odd = np.zeros(len(points), dtype=bool)
    for loop in loops:
        for (x0, y0), (x1, y1) in pairwise(loop):
            if y0 == y1:
                continue
            crosses = (y0 > points[:, 1]) != (y1 > points[:, 1])
            at = x0 + (points[:, 1] - y0) / (y1 - y0) * (x1 - x0)
            odd ^= crosses & (points[:, 0] < at)
    return odd


SCATTERS = ("round", "long", "two heaps", "ring")


def scatter(kind: str, count: int, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    points = rng.standard_normal((count, 2))
    if kind == "long":
        points = points @ np.array([[40.0, 30.0], [0.0, 2.0]]) + 300
    if kind == "two heaps":
        points[: count // 3] += [9.0, 4.0]
    if kind == "ring":
        angle = rng.uniform(0, 2 * np.pi, count)
        points = 0.6 * points + 8 * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return points


@pytest.mark.parametrize("kind", SCATTERS)
@pytest.mark.parametrize("share", [0.5, 0.9])
def test_a_contour_holds_its_share(kind: str, share: float) -> None:
    points = scatter(kind, 2000, 5)
    loops = highest_density_contours(points, (share,))[share]
    assert inside(points, loops).mean() == pytest.approx(share, abs=0.03)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32), st.floats(0.3, 0.95), st.integers(300, 1500))
def test_any_share_of_any_cloud_is_held(seed: int, share: float, count: int) -> None:
    points = scatter("long", count, seed)
    loops = highest_density_contours(points, (share,))[share]
    assert inside(points, loops).mean() == pytest.approx(share, abs=0.03)


def test_the_inner_contour_lies_inside_the_outer() -> None:
    points = scatter("two heaps", 2000, 1)
    contours = highest_density_contours(points, (0.5, 0.9))
    assert all(inside(loop, contours[0.9]).all() for loop in contours[0.5])


def test_loops_are_closed() -> None:
    grid = density_grid(scatter("ring", 800, 2), 0.5)
    loops = contour_lines(grid, 0.3 * grid.values.max())
    assert loops
    assert all((loop[0] == loop[-1]).all() for loop in loops)


def test_two_heaps_give_two_loops() -> None:
    points = scatter("round", 1000, 4)
    points[:500] += 20.0
    assert len(highest_density_contours(points, (0.5,))[0.5]) == 2


def test_density_integrates_to_one() -> None:
    grid = density_grid(scatter("round", 500, 3), 0.4)
    cell = (grid.x[1] - grid.x[0]) * (grid.y[1] - grid.y[0])
    total = grid.values.sum() * cell / (2 * np.pi * 0.4**2)
    assert total == pytest.approx(1.0, abs=0.01)


def test_rows_with_nan_do_not_matter() -> None:
    points = scatter("round", 400, 6)
    holed = np.concatenate((points, np.full((50, 2), np.nan)))
    with_nan = highest_density_contours(holed, (0.5,))[0.5]
    without = highest_density_contours(points, (0.5,))[0.5]
    assert np.array_equal(with_nan[0], without[0])


@pytest.mark.parametrize(
    "points",
    [
        np.zeros((0, 2)),
        np.zeros((500, 2)),
        np.stack((np.arange(100.0), 2 * np.arange(100.0)), axis=1),
        np.full((100, 2), np.nan),
        np.random.default_rng(0).standard_normal((19, 2)),
    ],
    ids=["none", "one place", "a line", "nan", "too few"],
)
def test_scatters_without_an_area_give_no_contours(points: np.ndarray) -> None:
    assert highest_density_contours(points, (0.5, 0.9)) == {0.5: [], 0.9: []}
