"""Side views and skins against integrals done by hand, by closed forms and numerically."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.outline import (
    NOSE_SIDE_VIEW,
    Silhouette,
    cylinder,
    fin_area,
    frustum,
    joined,
    mean_chord,
    nose,
)

size = st.floats(0.01, 2.0)

RADIUS: dict[str, Callable[[float], float]] = {
    "cone": lambda x: x,
    "parabola": math.sqrt,
    "ellipsoid": lambda x: math.sqrt(2 * x - x * x),
    "ogive": lambda x: 2 * x - x * x,
}


@pytest.mark.parametrize("profile", sorted(NOSE_SIDE_VIEW))
def test_nose_side_view_is_the_integral_of_its_radius(profile: str) -> None:
    n = 20_000
    middles = [(i + 0.5) / n for i in range(n)]
    radii = [RADIUS[profile](x) for x in middles]
    share, middle = NOSE_SIDE_VIEW[profile]
    assert share == pytest.approx(sum(radii) / n, rel=1e-5)
    centre = sum(x * r for x, r in zip(middles, radii, strict=True)) / sum(radii)
    assert middle == pytest.approx(centre, rel=1e-5)


@pytest.mark.parametrize("profile", sorted(NOSE_SIDE_VIEW))
def test_nose_skin_within_four_per_cent_from_one_diameter_on(profile: str) -> None:
    length, radius, n = 0.11, 0.055, 20_000
    step = 1 / n
    skin = 0.0
    for i in range(n):
        r0, r1 = RADIUS[profile](i * step), RADIUS[profile]((i + 1) * step)
        slant = math.hypot(length * step, radius * (r1 - r0))
        skin += math.pi * radius * (r0 + r1) * slant
    assert nose(profile, length, 2 * radius).wetted_area == pytest.approx(skin, rel=0.04)


@given(size, size)
def test_cone_is_exact(length: float, diameter: float) -> None:
    # A cone's skin is pi R times its slant height.
    skin = math.pi * diameter / 2 * math.hypot(length, diameter / 2)
    assert nose("cone", length, diameter).wetted_area == pytest.approx(skin, rel=1e-12)


def test_half_sphere_is_eleven_per_cent_too_much() -> None:
    assert nose("ellipsoid", 0.5, 1.0).wetted_area / (math.pi / 2) == pytest.approx(1.11, abs=0.005)


@given(size, size, size)
def test_frustum_of_equal_ends_is_a_cylinder(start: float, length: float, diameter: float) -> None:
    assert frustum(start, length, diameter, diameter) == pytest.approx(
        cylinder(start, length, diameter), rel=1e-12
    )


@given(size, size)
def test_frustum_with_a_point_in_front_is_a_cone(length: float, diameter: float) -> None:
    assert frustum(0.0, length, 0.0, diameter) == pytest.approx(
        nose("cone", length, diameter), rel=1e-12
    )


@given(size, size, size, size, st.floats(0.05, 0.95))
def test_cutting_a_frustum_changes_nothing(
    start: float, length: float, front: float, aft: float, cut: float
) -> None:
    between = front + (aft - front) * cut
    pieces = [
        frustum(start, length * cut, front, between),
        frustum(start + length * cut, length * (1 - cut), between, aft),
    ]
    assert joined(pieces) == pytest.approx(frustum(start, length, front, aft), rel=1e-9)


def test_joined_weights_by_side_area() -> None:
    assert joined([Silhouette(1.0, 0.0, 2.0), Silhouette(3.0, 4.0, 5.0)]) == (4.0, 3.0, 7.0)


def test_fin_area_and_mean_chord() -> None:
    assert fin_area(0.2, 0.1, 0.12) == pytest.approx(0.018)
    # rectangle: its chord; triangle: two thirds of the root
    assert mean_chord(0.1, 0.1) == pytest.approx(0.1)
    assert mean_chord(0.1, 0.0) == pytest.approx(0.2 / 3)
