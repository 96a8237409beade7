"""Two rigid bodies where there was one: what a parting keeps, whatever the bodies and the spin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from flight.engine_rows import Floats, get_slot, parameters, place, states, thing
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.departure import depart
from loftwright.flight.kernel.fly import _step_aside
from loftwright.flight.kernel.loading import lane_load
from loftwright.physics.rotation import rotate_to_body, rotate_to_ground

LANES = slots.LANES


@dataclass
class Moving:
    """A rigid body in motion: mass, place and velocity, and its turning in ground axes."""

    mass: float
    place: Floats
    velocity: Floats
    turning: Floats  # own angular momentum, about its balance
    spin: Floats  # rad/s

    @property
    def momentum(self) -> Floats:
        return self.mass * self.velocity

    def angular(self, about: Floats) -> Floats:
        return np.asarray(self.turning + np.cross(self.place - about, self.momentum))

    @property
    def energy(self) -> float:
        return float(0.5 * self.momentum @ self.velocity + 0.5 * self.turning @ self.spin)


def turned(attitude, inertia, spin):
    """Angular momentum in ground axes of a tensor and a spin in body axes."""
    return np.array(rotate_to_ground(*attitude, *(inertia @ spin)))


def lane(table, first, count):
    return np.array(table[first : first + count * LANES : LANES])


def of_vehicle(phase, items, y, p):
    """The vehicle as it is loaded now."""
    lane_load(phase, items, y, p, 0)
    xx, yy, zz, xy, xz, yz = lane(p, slots.INERTIA_XX, 6)
    inertia = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
    attitude, spin = lane(y, slots.Q0, 4), lane(y, slots.ROLL_RATE, 3)
    return Moving(
        p[slots.MASS],
        lane(y, slots.EAST, 3),
        lane(y, slots.V_EAST, 3),
        turned(attitude, inertia, spin),
        np.array(rotate_to_ground(*attitude, *spin)),
    )


def of_item(item, departure, y, p):
    """What has left; its tensor stands in the vehicle's axes, its spin in its own."""
    block = p[slots.COMMON_COUNT * LANES + item * slots.ITEM :: LANES]
    mass = block[0]
    xx, yy, zz, yz = block[4:8]
    inertia = np.array([[xx, 0.0, 0.0], [0.0, yy, yz], [0.0, yz, zz]])
    state = np.array(departure[slots.DEPART_STATE : slots.DEPART_STATE + 13])
    spin = np.array(rotate_to_ground(*state[6:10], *state[10:13]))
    vehicle = lane(y, slots.Q0, 4)
    in_vehicle = np.array(rotate_to_body(*vehicle, *spin))
    return Moving(mass, state[0:3], state[3:6], turned(vehicle, inertia, in_vehicle), spin)


SIGNED = st.floats(-1.0, 1.0)
SOME = st.floats(0.1, 1.0)
TOSS = st.floats(0.0, 10.0)


@st.composite
def things(draw, toss=TOSS):
    yy, zz = draw(SOME) * 1e-4, draw(SOME) * 1e-4
    return thing(
        MASS=draw(st.floats(0.005, 0.3)),
        FROM_NOSE=draw(st.floats(0.0, 1.0)),
        Y=0.1 * draw(SIGNED),
        Z=0.1 * draw(SIGNED),
        IXX=draw(SOME) * 1e-4,
        IYY=yy,
        IZZ=zz,
        IYZ=0.9 * draw(SIGNED) * (yy * zz) ** 0.5,
        TOSS=draw(toss),
    )


@st.composite
def cases(draw, toss=TOSS):
    """Parameters and state of a loaded vehicle in free flight, and what leaves it."""
    items = draw(st.lists(things(toss), min_size=1, max_size=slots.MOST_ITEMS))
    rows = parameters(
        items=items,
        DRY_MASS=draw(st.floats(0.1, 2.0)),
        DRY_BALANCE=draw(st.floats(0.2, 0.8)),
        DRY_ACROSS=draw(st.floats(0.01, 0.1)),
        DRY_ALONG=draw(st.floats(0.0005, 0.005)),
        COLUMN_AFT=0.9,
    )
    attitude = np.array([draw(SIGNED) for _ in range(4)])
    attitude[0] += 2.0 if attitude[0] >= 0.0 else -2.0
    attitude /= np.linalg.norm(attitude)
    start = states(
        **dict(zip(("Q0", "Q1", "Q2", "Q3"), attitude, strict=True)),
        WATER=draw(st.floats(0.0, 0.5)),
        **{name: 30.0 * draw(SIGNED) for name in ("V_EAST", "V_NORTH", "V_UP")},
        **{name: 40.0 * draw(SIGNED) for name in ("ROLL_RATE", "PITCH_RATE", "YAW_RATE")},
        EAST=5.0 * draw(SIGNED),
        UP=50.0 * draw(SOME),
    )
    return rows, start, len(items), draw(st.integers(0, len(items) - 1))


def part(case, *, torn=False, phase=slots.COAST_PHASE):
    """Let go; return what there was, and the two that there are."""
    rows, start, items, item = case
    p, y = np.repeat(rows[0], LANES).tolist(), np.repeat(start[0], LANES).tolist()
    before = of_vehicle(phase, items, y, p)
    departure = [0.0] * slots.DEPARTURE_COLUMNS
    depart(phase, items, item, torn, 1.5, y, p, 0, departure)
    return before, of_vehicle(slots.COAST_PHASE, items, y, p), of_item(item, departure, y, p)


def close(one, other, size):
    np.testing.assert_allclose(one, other, rtol=0.0, atol=1e-12 * size)


@settings(deadline=None)
@given(case=cases(), torn=st.booleans())
def test_momentum_and_angular_momentum_are_kept(case, torn):
    before, left, gone = part(case, torn=torn)
    close(left.mass + gone.mass, before.mass, 1e3)
    size = before.mass * (np.linalg.norm(before.velocity) + 50.0)
    close(left.momentum + gone.momentum, before.momentum, size)
    for about in (before.place, before.place + np.array([1.0, -2.0, 3.0])):
        close(left.angular(about) + gone.angular(about), before.angular(about), 5.0 * size)


@settings(deadline=None)
@given(case=cases())
def test_nothing_moves_or_turns_at_the_moment_of_parting(case):
    """Places: the common balance stays. Turning: what leaves spins as it did with the vehicle."""
    before, left, gone = part(case, torn=True)
    common = (left.mass * left.place + gone.mass * gone.place) / before.mass
    close(common, before.place, 1e3)
    close(gone.spin, before.spin, 1e3)
    close(left.spin, before.spin, 1e3)


@settings(deadline=None)
@given(case=cases(st.just(0.0)), torn=st.booleans())
def test_without_a_toss_energy_is_kept(case, torn):
    before, left, gone = part(case, torn=torn)
    close(left.energy + gone.energy, before.energy, 10.0 * (1.0 + before.energy))


@settings(deadline=None)
@given(case=cases())
def test_what_is_torn_off_is_not_tossed(case):
    rows, start, items, item = case
    still = rows.copy()
    still[0, place(f"ITEM_TOSS.{item}")] = 0.0
    _, left, gone = part(case, torn=True)
    _, left_there, gone_there = part((still, start, items, item))
    np.testing.assert_array_equal(gone.velocity, gone_there.velocity)
    np.testing.assert_array_equal(left.velocity, left_there.velocity)


@settings(deadline=None)
@given(case=cases(st.floats(0.5, 10.0)))
def test_a_toss_adds_half_its_impulse_times_its_speed(case):
    """Work of an inner impulse: J v / 2, from rest to the speed of parting where it acts."""
    rows, _, _, item = case
    before, left, gone = part(case)
    _, _, untossed = part(case, torn=True)
    impulse = gone.mass * np.linalg.norm(gone.velocity - untossed.velocity)
    toss = get_slot(rows, f"ITEM_TOSS.{item}")
    gained = left.energy + gone.energy - before.energy
    assert gained > 0.0
    close(gained, 0.5 * impulse * toss, 10.0 * (1.0 + before.energy))
    apart = gone.velocity - left.velocity - np.cross(left.spin, gone.place - left.place)
    straight = (gone.velocity - untossed.velocity) * gone.mass / impulse
    close(apart @ straight, toss, 1e3)


@settings(deadline=None)
@given(case=cases())
def test_what_leaves_turns_its_back_to_the_axis(case):
    """Its z axis points away from the vehicle's axis, its nose as the vehicle's."""
    rows, start, items, item = case
    p, y = np.repeat(rows[0], LANES).tolist(), np.repeat(start[0], LANES).tolist()
    vehicle = lane(y, slots.Q0, 4)
    departure = [0.0] * slots.DEPARTURE_COLUMNS
    depart(slots.COAST_PHASE, items, item, False, 0.0, y, p, 0, departure)
    own = departure[slots.DEPART_STATE + 6 : slots.DEPART_STATE + 10]
    out = np.array([0.0, get_slot(rows, f"ITEM_Y.{item}"), get_slot(rows, f"ITEM_Z.{item}")])
    away = np.linalg.norm(out)
    nose = rotate_to_ground(*own, 1.0, 0.0, 0.0)
    close(nose, rotate_to_ground(*vehicle, 1.0, 0.0, 0.0), 1e3)
    if away > 1e-6:
        back = rotate_to_ground(*own, 0.0, 0.0, 1.0)
        np.testing.assert_allclose(back, rotate_to_ground(*vehicle, *(out / away)), atol=1e-7)


# ---------------------------------------------------------------- boosters


@st.composite
def boosted(draw):
    """A vehicle with boosters that still hold water, as its last thing carried."""
    rows, start, items, _ = draw(cases(st.just(0.0)))
    count, out = draw(st.integers(2, 4)), draw(st.floats(0.05, 0.2))
    dry = draw(st.floats(0.05, 0.2))
    block = {"MASS": count * dry, "Y": 0.0, "Z": 0.0, "IYZ": 0.0, "TOSS": 0.0}
    for name, value in block.items():
        rows[0, place(f"ITEM_{name}.{items - 1}")] = value
    named = {
        "BOOSTER_COLUMN_AREA": draw(st.floats(0.004, 0.02)),
        "BOOSTER_COLUMN_AFT": draw(st.floats(0.6, 1.2)),
        "BOOSTER_VESSEL_VOLUME": 1.5e-3,
        "BOOSTER_COUNT": count,
        "BOOSTER_OUT": out,
        "BOOSTERS_PUSH": 1.0,
        "OWN_PUSH": 1.0,
    }
    for name, value in named.items():
        rows[0, place(name)] = value
    start[0, place("BOOSTER_WATER")] = draw(st.floats(0.0, 1.0))
    start[0, place("BOOSTER_GAS")] = draw(st.floats(0.0, 0.01))
    return rows, start, items, items - 1


@settings(deadline=None)
@given(case=boosted())
def test_boosters_take_along_what_is_in_them(case):
    rows, start, _, item = case
    before, left, gone = part(case, phase=slots.BOOSTED_PHASE)
    inside = get_slot(start, "BOOSTER_WATER") + get_slot(start, "BOOSTER_GAS")
    count = get_slot(rows, "BOOSTER_COUNT")
    assert abs(gone.mass - get_slot(rows, f"ITEM_MASS.{item}") - count * inside) < 1e-12
    size = before.mass * (np.linalg.norm(before.velocity) + 50.0)
    close(left.mass + gone.mass, before.mass, 1e3)
    close(left.momentum + gone.momentum, before.momentum, size)
    about = before.place
    close(left.angular(about) + gone.angular(about), before.angular(about), 10.0 * size)
    close(left.energy + gone.energy, before.energy, 10.0 * (1.0 + before.energy))


@settings(deadline=None)
@given(case=boosted())
def test_boosters_evenly_around_share_the_momentum_of_the_ring(case):
    rows, start, items, item = case
    p, y = np.repeat(rows[0], LANES).tolist(), np.repeat(start[0], LANES).tolist()
    departure = np.zeros(slots.DEPARTURE_COLUMNS)
    depart(slots.BOOSTED_PHASE, items, item, False, 0.0, y, p, 0, departure)
    count, out = int(get_slot(rows, "BOOSTER_COUNT")), get_slot(rows, "BOOSTER_OUT")
    velocities, places = [], []
    for k in range(count):
        angle = 2.0 * np.pi * k / count
        state = np.zeros((1, slots.STATES))
        state[0, :13] = departure[slots.DEPART_STATE : slots.DEPART_STATE + 13]
        beside = np.array([0.0, out * np.sin(angle), out * np.cos(angle)])
        body = Body("booster", rows.copy(), state, slots.COAST_PHASE, ((0, item),), beside)
        _step_aside(body, np.array([True]), departure[np.newaxis])
        places.append(state[0, 0:3])
        velocities.append(state[0, 3:6])
    ring = slots.DEPART_STATE
    close(np.mean(places, axis=0), departure[ring : ring + 3], 1e3)
    close(np.mean(velocities, axis=0), departure[ring + 3 : ring + 6], 1e3)
    spin = rotate_to_ground(*lane(y, slots.Q0, 4), *lane(y, slots.ROLL_RATE, 3))
    for where, speed in zip(places, velocities, strict=True):
        swing = np.cross(spin, where - departure[ring : ring + 3])
        close(speed, departure[ring + 3 : ring + 6] + swing, 1e3)
