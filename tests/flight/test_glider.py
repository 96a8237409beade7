"""Described gliders: shapes into forces, and what flies of it."""

from __future__ import annotations

from math import atan2, cos, pi, radians, sin

import numpy as np
import pytest
from flight.gliders import FOAM, fly, foam, loads, plank, start, table_of, values_of, without
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.compiling.clone import compiled
from loftwright.flight import steady as balances
from loftwright.flight.glider import extents, glider_rows, has_wing
from loftwright.flight.kernel import gliding, slots, wing_slots
from loftwright.flight.kernel.slots import LANES
from loftwright.flight.kernel.wing_slots import STRIPS, WING_STRIPS
from loftwright.flight.steady import steady_glide
from loftwright.physics.section import laminar_friction_drag, plate_section

ANY_ANGLE = st.floats(-pi, pi)
ANY_SPEED = st.floats(0.0, 30.0)
ANY_RATE = st.floats(-20.0, 20.0)
MIRRORED_FORCE = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0])


def polar(values, incidence: float, speed: float) -> tuple[float, float]:
    """Lift and drag coefficients on the wing's area."""
    table = table_of(values)
    x, _, z, *_ = loads(table, (speed * cos(incidence), 0.0, -speed * sin(incidence)))
    span, root, tip = (
        values[f"payload.wing.{name}"] for name in ("span", "root_chord", "tip_chord")
    )
    push = 0.5 * 1.225 * speed**2 * 0.5 * (root + tip) * span
    lift = z * cos(incidence) + x * sin(incidence)
    return lift / push, (z * sin(incidence) - x * cos(incidence)) / push


# ---------------------------------------------------------------- forces


def test_a_straight_glider_flies_straight() -> None:
    table = table_of(foam())
    for incidence in np.linspace(-pi, pi, 25):
        velocity = (5 * cos(incidence), 0.0, -5 * sin(incidence))
        force = loads(table, velocity, (0.0, 2.0, 0.0))
        np.testing.assert_allclose(force[[1, 3, 5]], 0.0, atol=1e-12)


@settings(max_examples=60, deadline=None)
@given(
    u=ANY_SPEED, v=ANY_SPEED, w=ANY_SPEED, p=ANY_RATE, q=ANY_RATE, r=ANY_RATE,
    warp=st.floats(-0.1, 0.1), cant=st.floats(-0.1, 0.1),
)  # fmt: skip
def test_a_mirrored_glider_feels_mirrored_forces(u, v, w, p, q, r, warp, cant) -> None:
    bent = table_of(foam(wing__warp=warp, fin__cant=cant))
    other = table_of(foam(wing__warp=-warp, fin__cant=-cant))
    here = loads(bent, (u, v, w), (p, q, r))
    there = loads(other, (u, -v, w), (-p, q, -r))
    np.testing.assert_allclose(here, MIRRORED_FORCE * there, rtol=1e-9, atol=1e-9)


@settings(max_examples=100, deadline=None)
@given(speed=ANY_SPEED, angle=ANY_ANGLE, slip=st.floats(-pi / 2, pi / 2))
def test_the_air_never_pushes_a_glider_along(speed, angle, slip) -> None:
    """Without turning, force times velocity takes energy away at any attitude.

    The tailplane is left out: it meets air that the wing set in motion.
    """
    velocity = (
        speed * cos(angle) * cos(slip), speed * sin(slip), -speed * sin(angle) * cos(slip)
    )  # fmt: skip
    force = loads(table_of(without(foam(), "tailplane")), velocity)
    assert np.all(np.isfinite(force))
    assert force[:3] @ velocity <= 1e-12


@given(sine=st.floats(-1.0, 1.0), slope=st.floats(0.5, 6.2))
def test_a_flat_plate_feels_a_force_square_to_itself(sine, slope) -> None:
    cosine = (1.0 - sine * sine) ** 0.5
    normal, forward, moment, _ = plate_section(sine, cosine, slope, 0.0, 1.2)
    assert forward == 0.0
    assert normal * sine >= 0.0
    # It acts between the edge that meets the air and the middle.
    assert 0.0 <= moment * normal <= 0.25 * normal**2 + 1e-12
    back = plate_section(sine, -cosine, slope, 0.0, 1.2)
    assert back == pytest.approx((normal, 0.0, -moment, back[3]))


@given(angle=st.floats(-0.12, 0.12), reynolds=st.floats(2e4, 7e4))
def test_no_glider_has_less_drag_than_laminar_friction(angle, reynolds) -> None:
    values = plank(0.48, 0.08, 0.08)
    speed = reynolds * 1.789e-5 / 1.225 / 0.08
    assert polar(values, angle, speed)[1] >= 0.999 * laminar_friction_drag(reynolds)


# ---------------------------------------------------------------- orderings of thin plates


def best_glide(values, speed: float) -> float:
    return max(
        lift / drag for lift, drag in (polar(values, a, speed) for a in np.radians(range(-4, 13)))
    )


@pytest.mark.parametrize("reynolds", [2e4, 4e4, 7e4])
def test_cambered_plates_beat_flat_ones(reynolds) -> None:
    """E. V. Laitone, Exp. Fluids 23 (1997); A. Pelletier and T. J. Mueller (2000)."""
    speed = reynolds * 1.789e-5 / 1.225 / 0.08
    flat, arc = plank(0.48, 0.08, 0.08), plank(0.48, 0.08, 0.08, wing__camber=0.05)
    for angle in np.radians(range(16)):
        assert polar(arc, angle, speed)[0] > polar(flat, angle, speed)[0]
    assert best_glide(arc, speed) > best_glide(flat, speed)


def test_thinner_flat_plates_glide_better_and_lift_the_same() -> None:
    """J. Winslow et al., J. Aircraft (2018), doi 10.2514/1.C034415."""
    ratios = [
        best_glide(plank(0.48, 0.08, 0.08, wing__thickness=0.08 * share), 8.0)
        for share in (0.01, 0.03, 0.05)
    ]
    assert ratios == sorted(ratios, reverse=True)
    slow, fast = (polar(plank(0.48, 0.08, 0.08), 0.08, speed)[0] for speed in (3.0, 15.0))
    assert slow == pytest.approx(fast, rel=0.01)


def knee(values) -> int:
    """Degrees at which lift stops growing with incidence, to less than a third of its slope."""
    lifts = [polar(values, radians(a), 5.0)[0] for a in range(60)]
    return next(a for a in range(1, 59) if lifts[a + 1] - lifts[a] < 0.3 * lifts[1])


def test_a_flat_plate_stalls_where_plates_do() -> None:
    """Aspect ratio 6, Re 2e4 to 1e5: near ten degrees, at 0.6 to 0.8 (range, from memory)."""
    values = plank(0.48, 0.08, 0.08)
    assert 8 <= knee(values) <= 12
    assert 0.55 < polar(values, radians(knee(values)), 5.0)[0] < 0.8
    assert (
        0.9
        < max(
            polar(plank(0.48, 0.08, 0.08, wing__camber=0.05), radians(a), 5.0)[0] for a in range(15)
        )
        < 1.2
    )


def test_slender_wings_stall_later() -> None:
    assert knee(plank(0.15, 0.15, 0.15)) > knee(plank(0.75, 0.15, 0.15)) + 5


# ---------------------------------------------------------------- flights


def speeds(run) -> np.ndarray:
    return np.linalg.norm(run.y[3:6], axis=0)


def banks(run) -> np.ndarray:
    """Bank: rise of the left wing over the level, degrees."""
    q0, q1, q2, q3 = run.y[6:10]
    left_up = 2 * (q2 * q3 + q0 * q1)
    return np.degrees(np.arcsin(np.clip(left_up, -1, 1)))


def test_a_hand_throw_glides_as_foam_gliders_do() -> None:
    run = fly(foam(), start((6.0, 0.0, 0.0), 0.0, height=30.0), 20.0)
    late = run.t > 8.0
    assert np.all((speeds(run)[late] > 3.0) & (speeds(run)[late] < 8.0))
    east, up = run.y[0][late], run.y[2][late]
    assert 3.0 < (east[-1] - east[0]) / (up[0] - up[-1]) < 8.0
    np.testing.assert_allclose(run.y[1], 0.0, atol=1e-9)


@pytest.mark.parametrize(
    ("velocity", "elevation"),
    [
        ((0.0, 0.0, -0.5), -pi / 2 + 1e-3),  # nose down
        ((0.0, 0.0, 3.0), pi / 2 - 0.05),  # on its tail, still climbing
        ((0.0, 0.0, -6.0), pi / 2 - 0.05),  # backwards
        ((0.0, 0.0, 0.0), 0.0),  # flat
        ((0.0, 5.0, 0.0), 0.0),  # sideways
        ((0.1, 0.0, 0.0), pi),  # on its back
    ],
)
def test_it_recovers_from_any_start(velocity, elevation) -> None:
    run = fly(foam(), start(velocity, elevation, height=80.0), 30.0)
    assert np.all(np.isfinite(run.y))
    assert speeds(run).max() < 20.0
    late = run.t > 20.0
    assert np.all(np.abs(banks(run)[late]) < 25.0)
    assert np.all((speeds(run)[late] > 2.0) & (speeds(run)[late] < 9.0))
    lost = run.y[2][late][0] - run.y[2][late][-1]
    assert 3.0 < lost < 16.0  # over ten seconds


def test_warp_rolls_it_towards_the_side_with_less_incidence_into_a_spiral() -> None:
    warped = fly(foam(wing__warp=radians(1.0)), start((5.1, 0, -0.7), -0.1), 10.0)
    straight = fly(foam(), start((5.1, 0, -0.7), -0.1), 10.0)
    assert np.all(warped.y[10][5:] > 0.2)  # to the right
    assert warped.y[1, -1] < -1.0  # flying east, right is south
    assert warped.y[2, -1] < straight.y[2, -1] - 5.0
    assert banks(warped).max() > 20.0


def test_strong_warp_makes_barrel_rolls() -> None:
    run = fly(foam(wing__warp=radians(6.0)), start((5.1, 0, -0.7), -0.1), 8.0)
    turns = np.trapezoid(run.y[10], run.t) / (2 * pi)
    assert turns > 3.0


@settings(max_examples=5, deadline=None)
@given(warp=st.floats(0.002, 0.05), cant=st.floats(-0.05, 0.05), slip=st.floats(-2.0, 2.0))
def test_mirrored_gliders_fly_mirrored(warp, cant, slip) -> None:
    one = fly(foam(wing__warp=warp, fin__cant=cant), start((5.0, slip, 0.0), 0.0), 2.0, 21)
    other = fly(foam(wing__warp=-warp, fin__cant=-cant), start((5.0, -slip, 0.0), 0.0), 2.0, 21)
    np.testing.assert_allclose(one.y[0], other.y[0], atol=1e-5)
    np.testing.assert_allclose(one.y[1], -other.y[1], atol=1e-5)
    np.testing.assert_allclose(one.y[2], other.y[2], atol=1e-5)


def test_a_curled_wing_flies_slower_or_stalls_and_a_wing_that_unfolds_falls_first() -> None:
    curled, flat = (steady_glide(table_of(foam(wing__curl=c)))[0] for c in (0.02, 0.0))
    assert curled is not None
    assert flat is not None
    assert curled.speed != pytest.approx(flat.speed, rel=0.02)
    folded = fly(
        foam(wing__folded_share=0.2, wing__unfold_time=0.5), start((6, 0, 0), 0.0), 1.0, 51
    )
    opened = fly(foam(), start((6, 0, 0), 0.0), 1.0, 51)
    assert folded.y[2, -1] < opened.y[2, -1] - 0.2


def test_the_wing_opens_smoothly_to_its_whole_area() -> None:
    table = table_of(foam(wing__folded_share=0.3, wing__unfold_time=0.2))
    table[slots.LEFT_AT] = 0.0
    y = [0.0] * slots.SIZE
    y[slots.Q0] = 1.0
    table[slots.FLOW_EAST] = 5.0
    shares = []
    for t in (-1.0, 0.0, 0.1, 0.2, 5.0):
        gliding.begin_glide(t, y, table, 0)
        shares.append(table[wing_slots.WING_OPEN])
    assert shares == pytest.approx([0.3, 0.3, 0.65, 1.0, 1.0])


# ---------------------------------------------------------------- rows


def test_rows_name_slots_and_are_finite_numbers() -> None:
    for values in (foam(), without(foam(), "tailplane", "fin", "fuselage")):
        for name, value in glider_rows(values).items():
            slot = name.partition(".")[0]
            assert hasattr(wing_slots, slot) or hasattr(slots, slot), name
            assert np.isfinite(value)


def test_arrays_give_what_numbers_give() -> None:
    generator = np.random.default_rng(5)
    drawn = {
        path: value * (1.0 + 0.02 * generator.standard_normal(4)) + 1e-3 * (value == 0.0)
        for path, value in foam(glide__glide_ratio=4.5, glide__lift_coefficient=0.6).items()
        if path not in {"payload.wing.folded_share"}
    } | {"payload.wing.folded_share": 1.0}
    many = glider_rows(drawn)
    for flight in range(4):
        alone = {
            path: float(value[flight]) if np.ndim(value) else value for path, value in drawn.items()
        }
        for name, value in glider_rows(alone).items():
            got = np.broadcast_to(many[name], 4)[flight]
            assert got == pytest.approx(value, rel=1e-6, abs=1e-12), name


def test_paths_follow_their_root() -> None:
    here, there = values_of(FOAM), values_of(FOAM, "payload2")
    assert glider_rows(here) == glider_rows(there, "payload2")
    assert extents(here) == extents(there, "payload2")
    assert has_wing(there, "payload2")
    assert not has_wing(there)


def test_extents_reach_the_last_edges() -> None:
    reach = extents(foam())
    assert reach.half_span == pytest.approx(0.2)
    assert reach.nose == pytest.approx(0.113)
    assert reach.tail == pytest.approx(0.340 - 0.113)
    assert reach.above == pytest.approx(0.06)
    assert reach.below == pytest.approx(0.0075)


@pytest.mark.parametrize("ratio", [3.0, 4.5, 9.0])
def test_a_measured_glide_ratio_is_flown(ratio) -> None:
    steady, _ = steady_glide(table_of(foam(glide__glide_ratio=ratio)))
    assert steady is not None
    assert steady.glide_ratio == pytest.approx(ratio, rel=1e-3)


@pytest.mark.parametrize("sink", [0.6, 0.9, 1.4])
def test_a_measured_sink_rate_is_flown(sink) -> None:
    steady, _ = steady_glide(table_of(foam(glide__sink=sink)))
    assert steady is not None
    slope = atan2(1.0, steady.glide_ratio)
    assert steady.speed * sin(slope) == pytest.approx(sink, rel=1e-3)


def test_strips_side_by_side_add_up_as_one_after_the_other() -> None:
    masses, speeds = np.linspace(0.02, 0.04, 5), np.linspace(5.0, 9.0, 5)
    values = foam()
    table = balances.glider_table(glider_rows(values, "payload"), masses, 1.2)
    incidences = [balances.LOWEST + k * 0.03 for k in range(14)]
    found = balances._side_by_side([*table]).forces([*table], incidences, speeds)
    law = balances._on_arrays()

    def one_after_the_other(y, p, lane):
        for strip in range(WING_STRIPS):
            law["strip_load"](strip, y, p, lane)
        law["wing_wake"](p, lane)
        for strip in range(WING_STRIPS, STRIPS):
            law["strip_load"](strip, y, p, lane)
        law["end_glide"](y, p, lane)

    laws = {**law, "glider_loads": one_after_the_other, "sine": np.sin, "cosine": np.cos}
    for incidence, forces in zip(incidences, found, strict=True):
        known = balances._forces(laws, [*table], np.full(5, incidence), speeds)
        for one, other in zip(forces, known, strict=True):
            np.testing.assert_array_equal(one, other)


@pytest.mark.parametrize("count", [1, 3, 1100])
def test_what_a_measured_glide_says_of_one_does_not_depend_on_others(count) -> None:
    masses = np.linspace(0.02, 0.04, count)
    values = {**foam(glide__glide_ratio=4.5), "payload.mass": masses}
    together = glider_rows(values, "payload")["DRAG_FACTOR"]
    for k in {0, count // 2, count - 1}:
        alone = glider_rows({**values, "payload.mass": masses[k : k + 1]}, "payload")
        assert alone["DRAG_FACTOR"][0] == together[k]


gliding_begin, gliding_strip = gliding.begin_glide, gliding.strip_load
gliding_wake, gliding_end = gliding.wing_wake, gliding.end_glide


def every_piece(t, y, p):
    for lane in range(LANES):
        gliding_begin(t, y, p, lane)
    for strip in range(WING_STRIPS):
        for lane in range(LANES):
            gliding_strip(strip, y, p, lane)
    for lane in range(LANES):
        gliding_wake(p, lane)
    for strip in range(WING_STRIPS, STRIPS):
        for lane in range(LANES):
            gliding_strip(strip, y, p, lane)
    for lane in range(LANES):
        gliding_end(y, p, lane)


def test_compiled_pieces_do_what_plain_ones_do() -> None:
    generator = np.random.default_rng(1)
    one = table_of(foam(wing__warp=0.02))
    p = np.repeat(np.array(one[::LANES]), LANES)
    y = generator.standard_normal(slots.SIZE)
    flow = (slots.FLOW_EAST, slots.FLOW_NORTH, slots.FLOW_UP)
    for first in flow:
        p[first : first + LANES] = 5.0 * generator.standard_normal(LANES)
    fast, slow = p.copy(), p.copy()
    compiled(every_piece)(0.3, y, fast)
    every_piece(0.3, y, slow)
    np.testing.assert_allclose(fast, slow, rtol=1e-9, atol=1e-12)
