"""Side boosters and starts in the air: beside independent reckonings of the same push."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from flight.campaigns import staged
from flight.engine_rows import (
    PLAIN,
    Body,
    coasting,
    column,
    equal_bodies,
    figure,
    fly,
    parameters,
    some,
    states,
    thing,
    time_of,
    velocity,
)
from flight.plain_flight import fly_plainly
from scipy.integrate import solve_ivp

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.prepare import prepare

FREE = {"GRAVITY": 1e-12, "COLUMN_AREA": 1e9, "BOOSTER_COLUMN_AREA": 1e9}
VOLUME, THROAT = PLAIN["VESSEL_VOLUME"], PLAIN["THROAT_AREA"]
WATER, PRESSURE, AMBIENT = 0.7, 6e5, 101325.0
GAS = PRESSURE * (VOLUME - WATER / 1e3) / (PLAIN["GAS_CONSTANT"] * 288.15)
FILL = {"WATER": WATER, "GAS": GAS, "GAS_TEMPERATURE": 288.15}
BOOSTER_FILL = {f"BOOSTER_{name}": value for name, value in FILL.items()}


def boosters(count=2, mass=0.2, **named):
    """Boosters with vessels and nozzles as the vehicle's own, and the ring that carries them."""
    own = {
        "BOOSTER_VESSEL_VOLUME": VOLUME,
        "BOOSTER_THROAT_AREA": THROAT,
        "BOOSTER_FLOW_COEFFICIENT": 1.0,
        "BOOSTER_VELOCITY_COEFFICIENT": 1.0,
        "BOOSTER_COUNT": count,
        "BOOSTER_OUT": 0.1,
        "BOOSTERS_PUSH": 1.0,
        "OWN_PUSH": 1.0,
    }
    ring = thing(MASS=mass, WHEN=slots.BY_SPENT, DELAY=0.1, **named)
    return parameters(items=[ring], DRY_MASS=0.4, **FREE, **own)


def boosted(rows, start, *leaving, **options):
    body = Body("vehicle", rows, start, slots.BOOSTED_PHASE)
    return engine.fly_all([body, *leaving], tolerance=1e-9, **options)


@cache
def three_nozzles():
    raw = boosted(
        boosters(), states(UP=1.0, **FILL, **BOOSTER_FILL), recorded=1, capacity=9000,
        intervals=(1e-4, 1.0),
    )  # fmt: skip
    return raw


def test_boosters_like_itself_push_as_one_vehicle_of_three_throats():
    """Three equal bottles are one of three times the volume, the water and the throat."""
    raw = three_nozzles()
    one = fly(
        parameters(
            DRY_MASS=0.6, VESSEL_VOLUME=3 * VOLUME, THROAT_AREA=3 * THROAT, GRAVITY=1e-12,
            COLUMN_AREA=1e9,
        ),
        states(UP=1.0, WATER=3 * WATER, GAS=3 * GAS),
        tolerance=1e-9,
    )  # fmt: skip
    for name in ("WATER_OUT_TIME", "AIR_OUT_TIME", "BURNOUT_SPEED", "TOTAL_IMPULSE", "MAX_SPEED"):
        assert figure(raw, name) == pytest.approx(figure(one, name), rel=1e-6)
    assert figure(raw, "PEAK_THRUST") == pytest.approx(figure(one, "PEAK_THRUST"), rel=1e-6)


def test_boosters_of_less_water_push_as_their_own_laws_say():
    """Water phases of two different fills under SciPy, from Bernoulli and p V^1.4 alone."""
    less, count = 0.4, 2
    gas = PRESSURE * (VOLUME - less / 1e3) / (PLAIN["GAS_CONSTANT"] * 288.15)
    fill = {"BOOSTER_WATER": less, "BOOSTER_GAS": gas, "BOOSTER_GAS_TEMPERATURE": 288.15}
    raw = boosted(
        boosters(), states(UP=1.0, **FILL, **fill), recorded=1, capacity=9000, intervals=(1e-4, 1.0)
    )

    def gauge(left, first):
        volume, filled = VOLUME - left / 1e3, VOLUME - first / 1e3
        return PRESSURE * (filled / volume) ** 1.4 - AMBIENT

    def rate(_, state):
        own, theirs, _speed = state
        driving = gauge(own, WATER), gauge(theirs, less)
        flows = [1e3 * THROAT * (2.0 * p / 1e3) ** 0.5 for p in driving]
        push = 2.0 * THROAT * (driving[0] + count * driving[1])
        return [-flows[0], -flows[1], push / (0.6 + own + count * theirs)]

    def emptied(_, state):
        return state[1]

    emptied.terminal = True
    found = solve_ivp(rate, (0, 1), [WATER, less, 0.0], events=emptied, rtol=1e-11, atol=1e-13)
    tape = raw.tapes[0]["vehicle"]
    clock = found.t[-1]
    speed = np.interp(clock, time_of(tape), column(tape, "V_UP"))
    assert speed == pytest.approx(found.y[2, -1], rel=2e-6)
    assert np.interp(clock, time_of(tape), column(tape, "WATER")) == pytest.approx(
        found.y[0, -1], rel=1e-5
    )
    assert np.interp(clock, time_of(tape), column(tape, "BOOSTER_WATER")) == pytest.approx(
        0.0, abs=1e-5
    )


def booster(number, around):
    beside = np.array([0.0, 0.1 * around, 0.0])
    rows = parameters(DRY_MASS=0.1, GRAVITY=1e-12, COLUMN_AREA=1e9)
    return Body(
        f"booster{number}", rows, states(), slots.COAST_PHASE, ((0, 0),), beside, is_booster=True
    )


@pytest.mark.parametrize("moment", [0.02, 0.12, None])
def test_parting_keeps_the_momentum_of_all(moment):
    """By time, with water in all three and all pushing; or when they are spent."""
    rows = boosters()
    if moment is not None:
        rows[0, (slots.ITEM_WHEN) // slots.LANES] = slots.BY_TIME
        rows[0, (slots.ITEM_TIME) // slots.LANES] = moment
        rows[0, (slots.ITEM_DELAY) // slots.LANES] = 0.0
    raw = boosted(
        rows, states(UP=1.0, ROLL_RATE=5.0, PITCH_RATE=0.3, **FILL, **BOOSTER_FILL),
        booster(1, 1.0), booster(2, -1.0), recorded=1, capacity=9000, intervals=(1e-4, 1.0),
    )  # fmt: skip
    gone = figure(raw, "RELEASED_TIME")
    tape = raw.tapes[0]["vehicle"]
    at = np.flatnonzero(np.abs(time_of(tape) - gone) < 1e-9)
    before, after = tape[at[:1]], tape[at[-1:]]

    def inside(sample, kind=""):
        return column(sample, f"{kind}WATER") + column(sample, f"{kind}GAS")

    each = [raw.tapes[0][name][:1] for name in ("booster1", "booster2")]
    theirs = [(0.1 + inside(sample)) * velocity(sample) for sample in each]
    own = 0.4 + inside(after)
    whole = 0.6 + inside(before) + 2.0 * inside(before, "BOOSTER_")
    np.testing.assert_allclose(
        own * velocity(after) + sum(theirs), whole * velocity(before), rtol=1e-9, atol=1e-9
    )
    for sample in each:
        assert inside(sample) == pytest.approx(inside(before, "BOOSTER_"), rel=1e-9)


# ---------------------------------------------------------------- starting in the air


def upper(**named):
    rows = parameters(DRY_MASS=0.2, COLUMN_AREA=1e9, **{"START_AT": 1e9, **named})
    return Body("upper", rows, states(**FILL), slots.COAST_PHASE, ((0, 0),))


def thrown(body, speed=30.0):
    """Let go of it at once, on the way up."""
    whole = 0.2 + WATER + GAS
    rows = parameters(items=[thing(MASS=whole, AT=0.0)], DRY_MASS=0.3)
    start = coasting(V_UP=speed)
    return fly(rows, start, body, recorded=1, capacity=4000, tolerance=1e-9)


@pytest.mark.parametrize(
    ("named", "moment"),
    [
        ({"START_KIND": slots.BY_CLIMB, "START_CLIMB": 10.0, "START_DELAY": 0.2}, 20.0 / 9.80665),
        ({"START_KIND": slots.BY_TIME, "START_AT": 0.7}, 0.5),
        ({"START_KIND": slots.BY_TIME, "START_AFTER": 1.0, "START_DELAY": 0.4}, 0.2),
    ],
    ids=["climb", "time", "parting"],
)
def test_it_starts_once_at_its_moment_and_flies_on(named, moment):
    raw = thrown(upper(**named))
    started = figure(raw, "STARTED_TIME", body="upper")
    assert started == pytest.approx(moment + 0.2, abs=1e-6)
    expected = 30.0 * started - 0.5 * 9.80665 * started**2
    assert figure(raw, "STARTED_HEIGHT", body="upper") == pytest.approx(expected, abs=1e-6)
    tape = raw.tapes[0]["upper"]
    waits = time_of(tape) < started - 1e-6
    np.testing.assert_array_equal(column(tape, "WATER")[waits], WATER)
    assert figure(raw, "AIR_OUT_TIME", body="upper") > started
    assert figure(raw, "APOGEE_TIME", body="upper") > figure(raw, "AIR_OUT_TIME", body="upper")
    # The push gains it what the same push gains on the ground's stand, less weight for its time.
    assert figure(raw, "TOTAL_IMPULSE", body="upper") == pytest.approx(stand_impulse(), rel=1e-3)
    assert figure(raw, "OUTCOME", body="upper") == slots.LANDED


@cache
def stand_impulse():
    """On the stand the water feels weight only; in a wide column nothing changes with it."""
    raw = fly(parameters(HELD=1.0, COLUMN_AREA=1e9), states(**FILL), tolerance=1e-9)
    return figure(raw, "TOTAL_IMPULSE")


def test_one_that_never_starts_falls_with_its_water():
    raw = thrown(upper(START_KIND=slots.BY_CLIMB, START_CLIMB=-500.0))
    assert np.isnan(figure(raw, "STARTED_TIME", body="upper"))
    assert figure(raw, "DOWN_MASS", body="upper") == pytest.approx(0.2 + WATER, rel=1e-6)
    assert figure(raw, "DOWN_TIME", body="upper") == pytest.approx(2.0 * 30.0 / 9.80665, rel=1e-6)


# ---------------------------------------------------------------- the whole tree


def everything(flights):
    values, _, words = flatten(staged())
    random = np.random.default_rng(2)
    varied = dict(values)
    for name, sd in (
        ("vehicle.fill.gauge_pressure", 3e4),
        ("boosters.fill.water_volume", 3e-5),
        ("upper.fill.water_volume", 3e-5),
        ("payload.mass", 3e-3),
        ("site.wind.from", 1.0),
    ):
        varied[name] = np.abs(values[name] + sd * random.standard_normal(flights))
    return prepare(varied, words, flights=flights)


def test_all_bodies_are_the_same_whatever_the_chunks_and_threads(monkeypatch):
    bodies = everything(60)
    together = engine.fly_all(bodies, threads=1)
    assert len(together.bodies) == 7
    for threads, chunk in ((1, 7), (2, 16), (3, 256)):
        monkeypatch.setattr(engine, "CHUNK", chunk)
        equal_bodies(engine.fly_all(bodies, threads=threads), together)
    mixed = random_order(60)
    equal_bodies(engine.fly_all(some(bodies, mixed)), together, mixed)


def random_order(count):
    return np.random.default_rng(4).permutation(count)


COMPARED = ("LET_GO_TIME", "STARTED_TIME", "AIR_OUT_TIME", "BURNOUT_SPEED", "APOGEE_HEIGHT")
DOWN = ("DOWN_TIME", "DOWN_EAST", "DOWN_NORTH", "DOWN_SPEED", "DOWN_MASS")


@cache
def both():
    bodies = everything(1)
    return fly_plainly(bodies), engine.fly_all(bodies, tolerance=1e-8, descent_tolerance=1e-8)


@pytest.mark.parametrize(
    "body", ["vehicle", "payload", "upper", "payload3", "booster1", "booster2"]
)
def test_the_staged_flight_is_that_of_scipy(body):
    plain, raw = both()
    names = [*DOWN] if body.startswith("payload") else [*COMPARED[1:], *DOWN]
    for name in names:
        expected = plain[body].out[getattr(slots, name)]
        ours = figure(raw, name, body=body)
        assert ours == pytest.approx(expected, rel=3e-6, abs=5e-6, nan_ok=True), name
