"""Distances after a parting: what is left carried on from its last moment, and its fins."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin

import numpy as np
import pytest
from flight.campaigns import example, with_glider
from flight.engine_rows import figure, parameters, place, position, time_of, vector
from flight.plain_flight import fly_plainly
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import clearance, slots
from loftwright.flight.kernel.clearance import NEAR_TIME, _from_fins, _left_behind
from loftwright.flight.prepare import prepare
from loftwright.physics.rotation import rotate_to_ground

LANES = slots.LANES


def released(campaign, strength, **options):
    values, _, words = flatten(campaign)
    return engine.fly_all(
        prepare({**values, "payload.hold.strength": strength}, words),
        tolerance=1e-9,
        recorded=1,
        capacity=60_000,
        intervals=(1e-4, 1e-3),
        **options,
    )


def carried_on(raw, campaign, strength):
    """Places and attitudes of the vehicle as the payload's clearance takes them to be."""
    values, _, words = flatten(campaign)
    bodies = prepare({**values, "payload.hold.strength": strength}, words)
    return fly_plainly(bodies)["payload"].p


@pytest.mark.parametrize(
    ("campaign", "strength"),
    [(example("sedge-lift"), 1e6), (example("sedge-lift"), 8.0), (with_glider(), 1e6)],
    ids=["released", "torn off", "glider"],
)
def test_what_is_left_flies_on_as_clearance_takes_it_to(campaign, strength, record_property):
    """Velocity, acceleration and spin of the moment, against the vehicle's own track.

    The acceleration changes meanwhile; its largest rate of change over that time bounds what is
    left out: a place errs by no more than jerk t^3 / 6 and the change of acceleration as it parts.
    """
    raw = released(campaign, strength)
    track = raw.tapes[0]["vehicle"]
    p = carried_on(raw, campaign, strength)
    gone = p[slots.LEFT_AT]
    assert gone == pytest.approx(figure(raw, "RELEASED_TIME"), abs=1e-6)
    first = np.flatnonzero(time_of(track) <= gone + 1e-6)[-1]
    leg = track[first : np.searchsorted(time_of(track), gone + NEAR_TIME)]
    after = time_of(leg) - gone
    believed = np.array([_left_behind(t, p, 0) for t in after])
    apart = np.linalg.norm(believed[:, :3] - position(leg), axis=1)
    gained = leg[:, slots.RECORD_ACCELERATION : slots.RECORD_ACCELERATION + 3]
    noted = np.array([p[slots.LEFT_A_EAST], p[slots.LEFT_A_NORTH], p[slots.LEFT_A_UP]])
    # Twice integrated, the acceleration that is left out is the distance.
    off = np.linalg.norm(gained - noted, axis=1)
    largest = np.maximum.accumulate(off)
    assert (apart <= 0.5 * after**2 * largest + 1e-6).all()
    record_property("worst_mm", 1e3 * float(apart.max()))
    for t in (0.05, 0.1, 0.2, 0.3, 0.6):
        print(f"difference of place after {t} s: {1e3 * np.interp(t, after, apart):.2f} mm")
    turned = np.abs((believed[:, 3:] * vector(leg, "Q0", "Q1", "Q2", "Q3")).sum(axis=1))
    angle = 2.0 * np.arccos(np.minimum(turned, 1.0))
    print(f"worst difference of attitude: {angle.max():.4f} rad")
    spins = vector(leg, "ROLL_RATE", "PITCH_RATE", "YAW_RATE")
    change = np.maximum.accumulate(np.linalg.norm(spins - spins[0], axis=1))
    size = np.linalg.norm(spins[0]) * after
    assert (angle <= after * change + size**3 / 6.0 + 1e-5).all()


# ---------------------------------------------------------------- fins


def fin_rows(count, first=0.0, tip=0.2, fore=0.5, aft=0.7):
    rows = parameters(
        LEFT_RADIUS=0.05,
        LEFT_LENGTH=1.0,
        LEFT_FIN_FORE=fore,
        LEFT_FIN_AFT=aft,
        LEFT_FIN_TIP=tip,
        LEFT_FIN_Y=sin(first),
        LEFT_FIN_Z=-cos(first),
        LEFT_FIN_COUNT=count,
        LEFT_FIN_COSINE=cos(2.0 * pi / count),
        LEFT_FIN_SINE=sin(2.0 * pi / count),
    )
    return np.repeat(rows[0], LANES)


@settings(deadline=None, max_examples=60)
@given(
    count=st.integers(2, 8),
    first=st.floats(-pi, pi),
    aft=st.floats(0.2, 1.0),
    y=st.floats(-0.4, 0.4),
    z=st.floats(-0.4, 0.4),
)
def test_distance_from_fins_is_that_of_the_nearest_point_of_any(count, first, aft, y, z):
    """Fins as plates of many points, from the axis to the tips; the first turned from -z to y."""
    reach, along = np.meshgrid(np.linspace(0.0, 0.2, 401), np.linspace(0.5, 0.7, 201))
    nearest = 1e9
    for k in range(count):
        angle = first + 2.0 * pi * k / count
        fin_y, fin_z = reach * sin(angle), -reach * cos(angle)
        away = np.sqrt((along - aft) ** 2 + (fin_y - y) ** 2 + (fin_z - z) ** 2)
        nearest = min(nearest, away.min())
    found = _from_fins(aft, y, z, fin_rows(count, first), 0)
    assert found <= nearest + 1e-9
    # No point of a plate is farther than half a mesh from one of these.
    assert nearest <= found + 0.0008


@settings(deadline=None, max_examples=60)
@given(
    tilt=st.floats(-0.5, 0.5),
    turn=st.floats(-3.0, 3.0),
    way=st.tuples(st.floats(0.06, 0.4), st.floats(-3.0, 3.0), st.floats(-0.4, 0.4)),
    after=st.floats(0.05, 0.5),
)
def test_the_nearest_end_counts_wherever_the_vehicle_has_gone(tilt, turn, way, after):
    """Five points of the thing, in the axes of the vehicle as it has moved and turned, by NumPy."""
    rng = np.random.default_rng(int(1e6 * (tilt + 1.0)))
    spin, speed, gain = rng.normal(0.0, 1.0, (3, 3))
    rows = fin_rows(3)
    for name, values in {
        "LEFT_Q": (cos(tilt), sin(tilt), 0.0, 0.0),
        "LEFT_SPIN": spin,
    }.items():
        first = slots.LEFT_Q0 if name == "LEFT_Q" else slots.LEFT_ROLL
        rows[first : first + len(values) * LANES] = np.repeat(values, LANES)
    rows[slots.LEFT_V_EAST : slots.LEFT_V_EAST + 3 * LANES] = np.repeat(speed, LANES)
    rows[slots.LEFT_A_EAST : slots.LEFT_A_EAST + 3 * LANES] = np.repeat(gain, LANES)
    named = {"LEFT_BALANCE": 0.6, "REACH_FORE": 0.1, "REACH_AFT": 0.15, "REACH_UP": 0.01}
    named |= {"REACH_SIDE": 0.2, "REACH_FOLDED": 0.05, "UNFOLDING": 0.2}
    for name, value in named.items():
        rows[getattr(slots, name) : getattr(slots, name) + LANES] = value
    moved = after * speed + 0.5 * after**2 * gain
    half = 0.5 * after * spin
    q = np.array([cos(tilt), sin(tilt), 0.0, 0.0])
    q = q + product(q, np.array([0.0, *half]))
    q /= np.linalg.norm(q)
    out, around, ahead = way
    here = np.array([ahead, out * sin(around), out * cos(around)])
    y = np.zeros(slots.SIZE)
    y[slots.EAST : slots.EAST + 3 * LANES] = np.repeat(
        moved + np.array(rotate_to_ground(*q, *here)), LANES
    )
    own = product(q, np.array([cos(turn / 2), sin(turn / 2), 0.0, 0.0]))
    y[slots.Q0 : slots.Q0 + 4 * LANES] = np.repeat(own, LANES)
    clearance.note_clearance(after, y, rows, 0)
    reach = 0.05 + min(after / 0.2, 1.0) * 0.15
    # Turned about the vehicle's own x by `turn`: across comes (0, cos, sin).
    across = np.array([0.0, cos(turn), sin(turn)])
    points = here + np.array(
        [[0.1, 0, 0], [-0.15, 0, 0], [0, 0, 0], reach * across, -reach * across]
    )
    assume(all(abs(0.6 - x - end) > 1e-6 for x, _, _ in points for end in (0.0, 1.0)))
    fins = min(_from_fins(0.6 - x, py, pz, rows, 0) for x, py, pz in points) - 0.01
    assert rows[slots.LEAST_FINS] == pytest.approx(fins, abs=1e-9)
    beside = [np.hypot(py, pz) - 0.05 for x, py, pz in points if 0.0 < 0.6 - x < 1.0]
    if beside and after > clearance.GRAZE:
        assert rows[slots.LEAST_BODY] == pytest.approx(min(beside), abs=1e-9)


def product(one, other):
    """Product of two quaternions."""
    a, b = one[0], other[0]
    u, v = one[1:], other[1:]
    return np.array([a * b - u @ v, *(a * v + b * u + np.cross(u, v))])


# ---------------------------------------------------------------- in flight


def test_a_stronger_toss_clears_the_fins_by_more():
    values, _, words = flatten(example("sedge-lift"))
    values = {
        **values,
        "payload.hold.strength": 1e6,
        "payload.toss.speed": np.array([0.2, 1.0, 4.0]),
    }
    figures = engine.fly_all(prepare(values, words, flights=3)).bodies["payload"]
    for one, other in pairwise(figures[:, slots.FIN_CLEARANCE]):
        assert one < other


def test_far_behind_nothing_is_near_any_more():
    """Distances are looked at for a while only, so a glider that comes back counts for nothing."""
    rows = fin_rows(3)
    before = rows.copy()
    clearance.note_clearance(NEAR_TIME + 0.01, np.zeros(slots.SIZE), rows, 0)
    np.testing.assert_array_equal(rows, before)
    assert place("LEAST_FINS") * LANES == slots.LEAST_FINS
