"""Properties of slender bodies, fins, drag and rotation; arrays in place of floats."""

from __future__ import annotations

from math import atan2, hypot, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from loftwright.physics import fins, form, interference, roll, slender, vessel
from loftwright.physics.bluff import cylinder_drag, sphere_drag, stokes_drag
from loftwright.physics.crossflow import body_normal_force, crossflow_proportion
from loftwright.physics.drag import base_drag_coefficient, drag_area, skin_friction
from loftwright.physics.inertia import tensor_solve, tensor_times
from loftwright.physics.rotation import (
    euler_rates,
    euler_rates_principal,
    quaternion_from_elevation_azimuth,
    quaternion_rates,
    rotate_to_body,
    rotate_to_ground,
    tensor_rates,
)

lengths = st.floats(0.01, 1.0)
parts = st.floats(-1.0, 1.0)
rates = st.floats(-50.0, 50.0)
vectors = st.tuples(*[st.floats(-100.0, 100.0)] * 3)


@st.composite
def quaternions(draw):
    raw = [draw(parts) for _ in range(4)]
    size = sqrt(sum(part * part for part in raw))
    return tuple(part / size for part in raw) if size > 0.1 else (1.0, 0.0, 0.0, 0.0)


def theirs(q):
    return Rotation.from_quat([q[1], q[2], q[3], q[0]])


# ---------------------------------------------------------------- rotation


@given(quaternions(), vectors)
def test_rotation_keeps_length_and_comes_back(q, v):
    turned = rotate_to_ground(*q, *v)
    assert hypot(*turned) == pytest.approx(hypot(*v), abs=1e-9)
    assert rotate_to_body(*q, *turned) == pytest.approx(v, abs=1e-9)


@given(quaternions(), vectors)
def test_rotation_is_that_of_another_library(q, v):
    # Oracle: scipy.spatial.transform.Rotation.
    assert rotate_to_ground(*q, *v) == pytest.approx(tuple(theirs(q).apply(v)), abs=1e-9)


@given(quaternions(), quaternions(), vectors)
def test_rotations_compose(first, second, v):
    both = (theirs(second) * theirs(first)).as_quat()
    q = (both[3], both[0], both[1], both[2])
    in_steps = rotate_to_ground(*second, *rotate_to_ground(*first, *v))
    assert rotate_to_ground(*q, *v) == pytest.approx(in_steps, abs=1e-9)


@given(quaternions(), rates, rates, rates, vectors)
def test_attitude_turns_body_vectors_by_the_spin(q, p, qq, r, v):
    # d(R v)/dt = R (w x v) for a unit quaternion.
    rate = quaternion_rates(*q, p, qq, r)
    step = 1e-6
    ahead = [a + step * b for a, b in zip(q, rate, strict=True)]
    behind = [a - step * b for a, b in zip(q, rate, strict=True)]
    forward, backward = rotate_to_ground(*ahead, *v), rotate_to_ground(*behind, *v)
    change = [(a - b) / (2 * step) for a, b in zip(forward, backward, strict=True)]
    expected = rotate_to_ground(*q, *np.cross((p, qq, r), v))
    assert change == pytest.approx(expected, abs=1e-2)


@given(quaternions(), rates, rates, rates, st.floats(0.9, 1.1))
def test_length_of_the_quaternion_is_drawn_back_to_one(q, p, qq, r, size):
    q = tuple(size * part for part in q)
    growth = sum(a * b for a, b in zip(q, quaternion_rates(*q, p, qq, r), strict=True))
    assert growth == pytest.approx((1.0 - size**2) * size**2, abs=1e-9)


@given(rates, rates, rates)
def test_both_forms_of_eulers_equations_agree(p, q, r):
    short = euler_rates(p, q, r, 0.001, 0.02, 0.1, -0.2, 0.3)
    full = euler_rates_principal(p, q, r, 0.001, 0.02, 0.02, 0.1, -0.2, 0.3)
    assert short == pytest.approx(full)


@given(quaternions(), rates, rates, rates)
def test_turned_axes_change_no_motion(q, p, qq, r):
    """The general form about turned axes says what the principal form says about its own."""
    inertias, moment = (0.3, 0.5, 0.7), (0.1, -0.2, 0.3)
    turn = np.column_stack([rotate_to_ground(*q, *axis) for axis in np.eye(3)])
    matrix = turn @ np.diag(inertias) @ turn.T
    entries = [matrix[i, j] for i, j in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))]
    general = tensor_rates(*(turn @ (p, qq, r)), *entries, *(turn @ moment))
    principal = euler_rates_principal(p, qq, r, *inertias, *moment)
    assert general == pytest.approx(turn @ principal, rel=1e-9, abs=1e-9)
    assert tensor_times(*entries, *tensor_solve(*entries, *moment)) == pytest.approx(moment)


@given(rates, rates, rates)
def test_free_bodies_keep_energy_and_momentum(p, q, r):
    inertias = (0.3, 0.5, 0.7)
    change = euler_rates_principal(p, q, r, *inertias, 0.0, 0.0, 0.0)
    spin = list(zip(inertias, (p, q, r), change, strict=True))
    assert sum(i * w * dw for i, w, dw in spin) == pytest.approx(0.0, abs=1e-9)
    assert sum(i * i * w * dw for i, w, dw in spin) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(-1.5, 1.5), st.floats(-3.0, 6.0))
def test_nose_points_where_it_is_told(elevation, azimuth):
    q = quaternion_from_elevation_azimuth(elevation, azimuth)
    east, north, up = rotate_to_ground(*q, 1.0, 0.0, 0.0)
    assert up == pytest.approx(sin(elevation), abs=1e-12)
    assert sin(atan2(east, north) - azimuth) == pytest.approx(0.0, abs=1e-9)
    assert rotate_to_ground(*q, 0.0, 1.0, 0.0)[2] == pytest.approx(0.0, abs=1e-12)
    assert rotate_to_ground(*q, 0.0, 0.0, 1.0)[2] >= 0.0


# ---------------------------------------------------------------- slender bodies


@given(lengths, lengths, lengths)
def test_shoulders_and_tails_sum_to_their_ends(front, middle, aft):
    whole = slender.conical_change_slope(front, aft, 0.1)
    steps = slender.conical_change_slope(front, middle, 0.1)
    steps += slender.conical_change_slope(middle, aft, 0.1)
    assert whole == pytest.approx(steps, abs=1e-9)


@given(lengths, lengths, lengths)
def test_centre_of_a_cone_frustum_obeys_the_volume_rule(front, aft, length):
    # Slender-body theory: C X = 2 (A_2 L - V) / A_ref, for areas A_1 and A_2.
    slope = slender.conical_change_slope(front, aft, 1.0)
    centre = slender.conical_change_centre(front, aft, length)
    volume = length / 3.0 * (front**2 + front * aft + aft**2)
    assert slope * centre == pytest.approx(2.0 * (aft**2 * length - volume), abs=1e-12)


@given(lengths)
def test_a_cone_is_a_shoulder_from_nothing(length):
    assert slender.cone_centre(length) == pytest.approx(slender.conical_change_centre(0, 1, length))
    assert slender.nose_slope(0.1, 0.1) == slender.conical_change_slope(0.0, 0.1, 0.1)
    assert slender.nose_slope(0.5 * length, length) == pytest.approx(0.5)
    for law in (slender.ogive_centre, slender.ellipsoid_centre, slender.parabola_centre):
        assert 0.3 * length < law(length) < slender.cone_centre(length)


fin_shapes = st.tuples(lengths, lengths, lengths, lengths)


@given(fin_shapes, st.integers(3, 8), st.floats(0.0, 0.8))
def test_two_forms_for_fins_agree(shape, count, mach):
    # N fins act as N / 2 fins at incidence in their own plane.
    single = fins.single_fin_slope(*shape, pi / 4 * 0.1**2, mach)
    assert fins.fin_set_slope(count, *shape, 0.1, mach) == pytest.approx(single * count / 2)


@given(fin_shapes)
def test_centre_of_fins_lies_on_the_quarter_line(shape):
    root, tip, _, sweep = shape
    ends = sorted((0.25 * root, sweep + 0.25 * tip))
    centre = fins.fin_set_centre(root, tip, sweep)
    assert ends[0] - 1e-12 <= centre <= ends[1] + 1e-12


@given(st.floats(1e-6, 0.95))
def test_fins_and_body_help_each_other(ratio):
    on_fins = interference.fin_carry_over(ratio)
    assert 1.0 - 1e-6 <= on_fins <= 2.0
    assert interference.body_carry_over(ratio) >= -1e-6
    assert interference.fin_body_interference(ratio) == pytest.approx((1 + ratio) ** 2)


def test_arc_tangent_by_arithmetic():
    angles = np.linspace(-0.785, 0.785, 101)
    assert interference._arctangent(np.tan(angles)) == pytest.approx(angles, abs=1e-15)


@given(fin_shapes, lengths)
def test_roll_moments_are_the_moments_of_the_chord(shape, radius):
    root, tip, span, _ = shape
    # Three-point Gauss quadrature integrates the cubic c(y) y^2 without error.
    nodes, weights = np.polynomial.legendre.leggauss(3)
    out = span * (nodes + 1) / 2
    chord, arm = root + (tip - root) * out / span, radius + out
    first, second = (weights * chord * arm**power @ np.full(3, span / 2) for power in (1, 2))
    assert roll.roll_forcing(4, 2.0, root, tip, span, radius) == pytest.approx(8 * first)
    assert roll.roll_damping(4, 2.0, root, tip, span, radius) == pytest.approx(8 * second)


ARRAY_LAWS = [
    (slender.nose_slope, (0.1, 0.12)),
    (slender.cone_centre, (0.3,)),
    (slender.ogive_centre, (0.3,)),
    (slender.ellipsoid_centre, (0.3,)),
    (slender.parabola_centre, (0.3,)),
    (slender.conical_change_slope, (0.1, 0.05, 0.1)),
    (slender.conical_change_centre, (0.1, 0.05, 0.1)),
    (fins.mid_chord_length, (0.2, 0.1, 0.12, 0.1)),
    (fins.fin_set_slope, (3.0, 0.2, 0.1, 0.12, 0.1, 0.108, 0.1)),
    (fins.single_fin_slope, (0.2, 0.1, 0.12, 0.1, 0.009, 0.1)),
    (fins.fin_set_centre, (0.2, 0.1, 0.1)),
    (interference.simple_interference, (0.12, 0.054)),
    (interference.fin_carry_over, (0.3,)),
    (interference.body_carry_over, (0.3,)),
    (interference.fin_body_interference, (0.3,)),
    (form.body_form_factor, (8.0,)),
    (form.fuselage_form_factor, (8.0,)),
    (form.fin_form_factor, (0.05,)),
    (roll.fin_lift_slope, (6.0, 3.0, 0.009, 0.018)),
    (roll.roll_forcing, (3.0, 2.0, 0.2, 0.1, 0.12, 0.054)),
    (roll.roll_damping, (3.0, 2.0, 0.2, 0.1, 0.12, 0.054)),
    (crossflow_proportion, (8.0,)),
    (vessel.hoop_stress, (5e5, 0.054, 3e-4)),
    (vessel.von_mises_stress, (9e7, 4.5e7)),
    (vessel.hoop_stress_thick, (5e5, 0.054, 3e-4)),
]


@pytest.mark.parametrize(
    ("law", "arguments"), ARRAY_LAWS, ids=lambda thing: getattr(thing, "__name__", "")
)
def test_laws_of_shape_take_arrays(law, arguments):
    scale = np.array([0.9, 1.0, 1.1])
    together = law(*(scale * value for value in arguments))
    alone = [law(*(float(s) * value for value in arguments)) for s in scale]
    assert together == pytest.approx(np.array(alone), rel=1e-14)


# ---------------------------------------------------------------- drag


@given(st.floats(1e3, 1e9), st.floats(0.0, 1e-3))
def test_friction_is_never_below_laminar_nor_above_rough(reynolds, roughness):
    friction = skin_friction(reynolds, roughness)
    assert friction >= 1.328 / sqrt(reynolds) * (1 - 1e-12)
    assert friction <= max(0.042, 0.032 * roughness**0.2)
    assert friction >= skin_friction(reynolds, 0.0)


@given(st.floats(1e3, 1e9), st.floats(0.0, 1e-3))
def test_friction_is_continuous(reynolds, roughness):
    here, there = skin_friction(reynolds, roughness), skin_friction(reynolds * 1.0001, roughness)
    assert there == pytest.approx(here, rel=1e-3)


@pytest.mark.parametrize("speed", [0.0, 1e-9, 0.1])
def test_drag_area_is_finite_at_rest(speed):
    area = drag_area(speed, 1.5e-5, 0.85, 0.29, 0.09, 0.065, 0.001, 0.03, 0.0095, 2e-5, 1.0)
    assert 0.0 < area < 0.05


@given(st.floats(1.0, 100.0), st.floats(0.0, 0.1), st.floats(0.0, 1.0))
def test_drag_area_grows_with_its_parts(speed, base, share):
    fixed = (speed, 1.5e-5, 0.85, 0.29, 0.09, 0.065)
    closed = drag_area(*fixed, 0.0, base, 0.0095, 2e-5, 0.0)
    assert drag_area(*fixed, 0.001, base, 0.0095, 2e-5, 0.0) == pytest.approx(closed + 0.001)
    opened = drag_area(*fixed, 0.0, base, 0.0095, 2e-5, 1.0)
    partly = drag_area(*fixed, 0.0, base, 0.0095, 2e-5, share)
    assert partly == pytest.approx(closed + share * (opened - closed))


def test_drag_area_is_the_sum_of_its_parts():
    area, diameter, rate = pi / 4 * 0.11**2, 0.11, 20.0 / 1.5e-5
    body = skin_friction(rate * 0.85, 2e-5 / 0.85) * 0.29
    leaves = skin_friction(rate * 0.09, 2e-5 / 0.09) * 0.065
    base = base_drag_coefficient(body / area, 0.03 / diameter) * area
    assert drag_area(
        20.0, 1.5e-5, 0.85, 0.29, 0.09, 0.065, 0.001, 0.03, area, 2e-5, 0.7
    ) == pytest.approx(body + leaves + 0.001 + 0.7 * base, rel=1e-12)


@given(st.floats(0.01, 1.0), st.floats(0.0, 1.0))
def test_base_drag_falls_with_the_boundary_layer_and_the_base(forebody, ratio):
    assert base_drag_coefficient(forebody, ratio) <= base_drag_coefficient(forebody, 1.0)
    assert base_drag_coefficient(2 * forebody, 1.0) < base_drag_coefficient(forebody, 1.0)


@given(st.floats(0.0, 0.5))
def test_body_force_turns_with_the_incidence(angle):
    up, down = body_normal_force(angle, 0.68, 1.2, 14.0), body_normal_force(-angle, 0.68, 1.2, 14.0)
    assert up >= 0.0
    assert up + down == pytest.approx(2 * 0.68 * 1.2 * 14.0 * sin(angle) ** 2)


@pytest.mark.parametrize(
    ("law", "reynolds"),
    [
        (stokes_drag, 2.0),
        (sphere_drag, 1e6),  # the correlation knows no drag crisis
        (sphere_drag, 0.0),
        (cylinder_drag, 5e5),
        (cylinder_drag, float("nan")),
    ],
)
def test_correlations_refuse_what_lies_outside_their_range(law, reynolds):
    with pytest.raises(ValueError, match="Reynolds"):
        law(reynolds)
