"""Laws of what is carried: limits, symmetries, and what must not change with scale."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from loftwright.physics.protuberance import (
    boundary_layer_thickness,
    mean_layer_pressure,
    protuberance_drag_area,
    standing_edge_slope,
)
from loftwright.physics.retention import (
    hold_use,
    margin_of_safety,
    shared_strength,
    tipping_pull,
)
from loftwright.physics.solids import arc_balance, arc_spread, block_inertia

load = st.floats(-100.0, 100.0)
strength = st.floats(0.1, 1e3)
size = st.floats(1e-3, 0.1)


@given(load, load, load, strength, strength, strength, st.floats(0.0, 1.0), st.floats(0.1, 10.0))
def test_a_hold_is_used_alike_at_any_scale(
    along: float, across: float, out: float, a: float, c: float, p: float, grip: float, k: float
) -> None:
    use = hold_use(along, across, out, grip, a, c, p)
    scaled = hold_use(k * along, k * across, k * out, grip, k * a, k * c, k * p)
    assert scaled == pytest.approx(use, rel=1e-6, abs=1e-9)


@given(load, load, st.floats(-100.0, 0.0), strength, strength, strength, st.floats(1.0, 3.0))
def test_a_larger_load_uses_more_of_a_hold_that_peels(
    along: float, across: float, out: float, a: float, c: float, p: float, more: float
) -> None:
    use = hold_use(along, across, out, 0.2, a, c, p)
    for larger in ((more, 1.0, 1.0), (1.0, more, 1.0), (1.0, 1.0, more)):
        moved = (f * k for f, k in zip((along, across, out), larger, strict=True))
        assert hold_use(*moved, 0.2, a, c, p) >= use - 1e-12


@given(st.floats(0.1, 100.0), strength)
def test_one_direction_alone_is_load_over_strength(force: float, bears: float) -> None:
    others = (7.0, 9.0)
    assert hold_use(force, 0.0, 0.0, 0.2, bears, *others) == pytest.approx(force / bears)
    assert hold_use(-force, 0.0, 0.0, 0.2, bears, *others) == pytest.approx(force / bears)
    assert hold_use(0.0, force, 0.0, 0.2, 7.0, bears, 9.0) == pytest.approx(force / bears)
    assert hold_use(0.0, 0.0, -force, 0.2, 7.0, 9.0, bears) == pytest.approx(force / bears)
    assert hold_use(0.0, 0.0, force, 0.2, 7.0, 9.0, bears) == pytest.approx(0.0, abs=1e-9)


@given(load, load, strength, strength, st.floats(0.0, 1.0), st.floats(0.0, 100.0))
def test_pressing_on_only_helps(
    along: float, across: float, a: float, c: float, grip: float, press: float
) -> None:
    free = hold_use(along, across, 0.0, grip, a, c, 5.0)
    assert hold_use(along, across, press, grip, a, c, 5.0) <= free + 1e-12


@given(st.floats(0.01, 10.0))
def test_margin_is_what_the_load_may_grow_by(use: float) -> None:
    assert use * (1.0 + margin_of_safety(use)) == pytest.approx(1.0)


def test_a_margin_of_nothing_has_no_meaning() -> None:
    with pytest.raises(ValueError, match="not above 0"):
        margin_of_safety(0.0)


@given(st.integers(1, 9), st.floats(0.0, 50.0), st.floats(0.0, 1.0), st.floats(0.0, 50.0))
def test_strengths_add(count: int, bears: float, friction: float, preload: float) -> None:
    one = shared_strength(1, bears, friction, preload)
    assert shared_strength(count, bears, friction, preload) == pytest.approx(count * one)


@given(load, size, size)
def test_tipping_balances_its_moments(force: float, height: float, base: float) -> None:
    assert tipping_pull(force, height, base) * base == pytest.approx(force * height)


@given(st.floats(0.0, 0.02), size, size)
def test_layer_pressure_is_the_mean_of_the_profile(low: float, span: float, layer: float) -> None:
    high = low + span
    expected, _ = quad(
        lambda y: min(y / layer, 1.0) ** (2.0 / 7.0), low, high, points=[min(layer, high)]
    )
    assert mean_layer_pressure(low, high, layer) == pytest.approx(expected / span, rel=1e-6)


@given(size, size)
def test_what_stands_higher_meets_more_of_the_flow(height: float, layer: float) -> None:
    low, high = (mean_layer_pressure(0.0, k * height, layer) for k in (1.0, 1.5))
    assert 0.0 < low < high < 1.0
    assert mean_layer_pressure(layer, 2.0 * layer, layer) == pytest.approx(1.0)


@given(st.floats(0.1, 5.0), st.floats(1e5, 1e7))
def test_a_layer_grows_with_the_way(distance: float, per_metre: float) -> None:
    one, two = (boundary_layer_thickness(x, per_metre * x) for x in (distance, 2.0 * distance))
    assert two / one == pytest.approx(2.0**0.8)


@given(size, size, st.floats(0.1, 10.0))
def test_areas_go_with_the_square_of_the_size(height: float, radius: float, k: float) -> None:
    slope = standing_edge_slope(height, radius)
    assert standing_edge_slope(k * height, k * radius) == pytest.approx(k * k * slope)
    area = protuberance_drag_area(0.6, 0.2, 0.1, height, 0.9, 0.005, 0.2 * height)
    scaled = protuberance_drag_area(0.6, 0.2, 0.1 * k, height * k, 0.9, 0.005, 0.2 * height * k * k)
    assert scaled == pytest.approx(k * k * area)


@given(st.floats(0.01, math.pi))
def test_an_arc_balances_as_its_points_do(half: float) -> None:
    points = [half * (2 * k + 1 - 999) / 999 for k in range(999)]
    balance = sum(map(math.cos, points)) / 999
    square = sum(math.cos(each) ** 2 for each in points) / 999
    assert arc_balance(half) == pytest.approx(balance, abs=1e-5)
    assert arc_spread(half) == pytest.approx(square, abs=1e-5)


def test_a_short_arc_is_a_point_off_the_axis() -> None:
    assert arc_balance(0.0) == pytest.approx(1.0, abs=1e-8)
    assert arc_spread(0.0) == pytest.approx(1.0, abs=1e-8)


@given(st.floats(0.01, 1.0), size, size)
def test_a_block_turns_alike_about_either_order_of_its_sides(m: float, a: float, b: float) -> None:
    assert block_inertia(m, a, b) == pytest.approx(block_inertia(m, b, a))
