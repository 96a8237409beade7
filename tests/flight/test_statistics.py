"""Statistics over flights: percentiles, what drives the spread, and bands on one clock."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.results import Track
from loftwright.flight.statistics import band, drivers, shares, statistics

RANDOM = np.random.default_rng(12)


def track(time, height, *, body="vehicle", air_out=0.3, climb=None):
    time = np.asarray(time, dtype=float)
    count = len(time)
    nothing = np.zeros(count)
    up = np.column_stack([nothing, nothing, np.asarray(height, dtype=float)])
    speed = np.column_stack([nothing, nothing, nothing if climb is None else climb])
    return Track(
        body=body,
        time=time,
        position=up,
        velocity=speed,
        acceleration=np.full((count, 3), 2.0),
        attitude=np.zeros((count, 4)),
        rates=np.zeros((count, 3)),
        water_mass=nothing,
        gas_mass=nothing,
        gas_temperature=nothing,
        gauge_pressure=np.full(count, 7.0),
        thrust=nothing,
        events={"air out": air_out} if body == "vehicle" else {},
    )


# ---------------------------------------------------------------- figures of a column


def test_a_normal_column_has_its_textbook_percentiles():
    """5 and 95 % of a normal lie 1.644854 deviations out (Abramowitz and Stegun, table 26.1)."""
    found = statistics({"x": RANDOM.normal(10.0, 2.0, 400_000)})["x"]
    assert found["mean"] == pytest.approx(10.0, abs=0.02)
    assert found["sd"] == pytest.approx(2.0, rel=0.01)
    assert found["p50"] == pytest.approx(10.0, abs=0.03)
    assert found["p05"] == pytest.approx(10.0 - 2.0 * 1.644854, abs=0.03)
    assert found["p95"] == pytest.approx(10.0 + 2.0 * 1.644854, abs=0.03)
    assert found["count"] == 400_000


def test_deviation_is_that_of_a_sample():
    assert statistics({"x": np.array([1.0, 2.0, 3.0])})["x"]["sd"] == pytest.approx(1.0)


def test_what_did_not_happen_does_not_count():
    found = statistics({"x": np.array([1.0, np.nan, 3.0]), "never": np.full(3, np.nan)})
    assert set(found) == {"x"}
    assert found["x"]["mean"] == 2.0
    assert found["x"]["count"] == 2


def test_a_single_flight_has_no_spread():
    found = statistics({"x": np.array([4.0])})["x"]
    assert found["p05"] == found["p50"] == found["p95"] == found["mean"] == 4.0
    assert found["sd"] == 0.0


@given(values=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=60))
def test_percentiles_are_in_order_and_inside(values):
    found = statistics({"x": np.array(values)})["x"]
    slack = 1e-9 * max(map(abs, values))
    assert min(values) <= found["p05"] <= found["p50"] <= found["p95"] <= max(values)
    assert min(values) - slack <= found["mean"] <= max(values) + slack


# ---------------------------------------------------------------- drivers


def inputs(count=4000):
    return {name: RANDOM.normal(5.0, 2.0, count) for name in ("one", "two", "three")}


def test_the_true_driver_is_found():
    drawn = inputs()
    found = shares(drawn, 3.0 + 10.0 * drawn["two"] + 0.1 * drawn["one"])
    assert next(iter(found)) == "two"
    assert found["two"] > 0.99


def test_shares_are_those_of_the_variances():
    """y = 1 a + 2 b + 3 c with equal deviations: 1, 4 and 9 fourteenths."""
    drawn = inputs(40_000)
    found = shares(drawn, drawn["one"] + 2.0 * drawn["two"] + 3.0 * drawn["three"])
    assert list(found)[:3] == ["three", "two", "one"]
    for name, expected in (("one", 1 / 14), ("two", 4 / 14), ("three", 9 / 14)):
        assert found[name] == pytest.approx(expected, abs=0.01)
    assert found["rest"] == pytest.approx(0.0, abs=1e-9)


def test_noise_is_the_rest():
    drawn = inputs(40_000)
    noise = RANDOM.normal(0.0, 2.0, 40_000)
    found = shares(drawn, drawn["one"] + noise)
    assert found["rest"] == pytest.approx(0.5, abs=0.02)
    assert found["one"] == pytest.approx(0.5, abs=0.02)


@given(seed=st.integers(0, 2**32))
def test_a_few_flights_of_a_linear_model_leave_no_rest(seed):
    """Chance correlation of a few draws is shared out, not called gusts."""
    random = np.random.default_rng(seed)
    drawn = {name: random.normal(size=30) for name in "abc"}
    assert shares(drawn, drawn["a"] + drawn["b"] + 2.0 * drawn["c"])["rest"] < 1e-9


def test_curvature_is_in_the_rest():
    drawn = inputs()
    assert shares(drawn, (drawn["one"] - drawn["one"].mean()) ** 2)["rest"] > 0.95


@given(seed=st.integers(0, 2**32), count=st.integers(20, 100), wide=st.integers(1, 8))
def test_shares_sum_to_one_and_are_none_below_nothing(seed, count, wide):
    random = np.random.default_rng(seed)
    drawn = {f"x{i}": random.normal(size=count) for i in range(wide)}
    column = sum(drawn.values()) + random.normal(size=count)
    found = shares(drawn, column)
    assert sum(found.values()) == pytest.approx(1.0, abs=1e-9)
    assert min(found.values()) >= 0.0
    assert list(found)[-1] == "rest"


def test_too_few_flights_say_nothing():
    drawn = {"x": RANDOM.normal(size=19)}
    assert shares(drawn, drawn["x"]) == {}


def test_what_does_not_vary_has_no_drivers():
    drawn = inputs(100)
    assert shares(drawn, np.full(100, 3.0)) == {}
    assert drivers(drawn, {"same": np.ones(100), "moves": drawn["one"]}).keys() == {"moves"}


def test_flights_without_the_event_are_left_out():
    drawn = inputs(400)
    column = np.where(np.arange(400) % 2 == 0, drawn["one"], np.nan)
    assert shares(drawn, column)["one"] > 0.95


# ---------------------------------------------------------------- bands


def test_a_band_holds_the_percentiles_of_its_flights():
    flights = [[track([0.0, 1.0, 2.0], [0.0, float(i), 0.0])] for i in range(101)]
    found = band(flights)
    rows = found.lanes["height_m"]
    assert rows.shape == (len(found.time), 5)
    middle = np.argmin(np.abs(found.time - 1.0))
    share = 1.0 - abs(found.time[middle] - 1.0)
    np.testing.assert_allclose(rows[middle], np.array([5, 25, 50, 75, 95]) * share, rtol=1e-9)


def test_a_band_is_in_order():
    flights = [[track([0.0, 1.0, 2.0], RANDOM.normal(size=3))] for _ in range(30)]
    for rows in band(flights).lanes.values():
        assert (np.diff(rows, axis=1) >= 0.0).all()


def test_flights_that_have_ended_rest_on_the_ground():
    flights = [[track([0.0, 1.0], [5.0, 5.0])], [track([0.0, 9.0], [5.0, 5.0])]]
    found = band(flights)
    late = found.time > 1.5
    np.testing.assert_array_equal(found.lanes["height_m"][late, 0], 0.05 * 5.0)


def test_the_clock_is_finest_while_pushed_and_grows():
    found = band([[track([0.0, 20.0], [0.0, 0.0], air_out=0.2)]])
    steps = np.diff(found.time)
    assert (steps >= 0.0).all()
    assert found.time[0] == 0.0
    assert found.time[-1] == pytest.approx(20.0)
    assert steps[0] < 0.01 < steps[-1]


def test_a_payload_counts_from_its_release():
    vehicle = track([0.0, 10.0], [0.0, 0.0])
    payload = track([4.0, 10.0], [8.0, 8.0], body="payload")
    rows = band([[vehicle, payload]]).lanes["payload_height_m"]
    clock = band([[vehicle, payload]]).time
    assert np.isnan(rows[clock < 3.9]).all()
    np.testing.assert_allclose(rows[(clock > 4.1) & (clock < 9.9)], 8.0)


def test_flights_that_were_never_pushed_make_a_band():
    still = track([0.0, 1.0], [0.0, 0.0])
    still.events.clear()
    assert np.isfinite(band([[still]]).lanes["height_m"]).all()
