"""The engine beside its own laws uncompiled, flown by SciPy at tight tolerance."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from flight.campaigns import example
from flight.engine_rows import Floats, column, figure
from scipy.integrate import solve_ivp

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import events, rates, slots, stepper
from loftwright.flight.kernel.compile import compiled
from loftwright.flight.kernel.departure import depart
from loftwright.flight.kernel.driver import fly_phase
from loftwright.flight.kernel.fly import fly
from loftwright.flight.prepare import prepare

LANES = slots.LANES
NAMES = ("tube", "water", "air", "coast", "canopy", "payload")


def spread(row: Any) -> list[float]:
    """Lay the row of one flight into lane 0 of a table."""
    table = [0.0] * (LANES * len(row))
    table[::LANES] = [float(value) for value in row]
    return table


class PlainFlight:
    """One flight by the plain Python laws: DOP853 over each phase, events by SciPy's root finder.

    What an event changes is the kernel's own ``happen``; when it happens, and every state between,
    is not.
    """

    def __init__(self, parameters: Floats, states: Floats):
        self.p = spread(parameters)
        self.y = spread(states)
        self.out = [float("nan")] * slots.FIGURE_COUNT
        self.departure = [-1.0] * 9
        self.t = 0.0
        slides = self.p[slots.TUBE_LENGTH] > 0.0
        self.phase = slots.TUBE_PHASE if slides else slots.WATER_PHASE

    def rate(self, t: float, row: Floats) -> list[float]:
        """Rates of change of a whole state."""
        dy = [0.0] * (LANES * slots.STATES)
        rates.lane_rates(self.phase, t, spread(row), self.p, dy, 0)
        width = slots.ROWS[self.phase]
        return [*dy[: LANES * width : LANES], *[0.0] * (slots.STATES - width)]

    def _stop(self) -> Any:
        """Distance to the nearest event, where SciPy is to stop."""

        def distance(t: float, row: Floats) -> float:
            nearest: float = events.upcoming(self.phase, t, spread(row), self.p, 0)[0]
            return nearest

        distance.terminal = True  # type: ignore[attr-defined]
        distance.direction = -1.0  # type: ignore[attr-defined]
        return distance

    def settle(self) -> None:
        """Carry out what has come."""
        while self.phase != slots.ENDED:
            distance, which = events.upcoming(self.phase, self.t, self.y, self.p, 0)
            if distance > 1e-11:
                return
            if which == events.RELEASE:
                depart(self.t, self.y, self.p, 0, self.departure)
            self.phase = events.happen(which, self.phase, self.t, self.y, self.p, 0, self.out)

    def fly(self) -> None:
        """Fly to the ground."""
        self.settle()
        while self.phase != slots.ENDED:
            leg = solve_ivp(
                self.rate,
                (self.t, self.t + 1000.0),
                self.y[::LANES],
                method="DOP853",
                rtol=1e-12,
                atol=1e-13,
                first_step=1e-5,
                max_step=0.01 if self.phase <= slots.AIR_PHASE else 0.2,
                events=self._stop(),
            )
            self.t, self.y = float(leg.t[-1]), spread(leg.y[:, -1])
            self.settle()

    def fly_payload(self) -> None:
        """Fly what was let go."""
        self.t = self.departure[0]
        self.y = spread([*self.departure[1:7], *[0.0] * (slots.STATES - 6)])
        self.p[slots.SPAN_EAST], self.p[slots.SPAN_NORTH] = self.departure[7:9]
        self.phase = slots.PAYLOAD_PHASE
        self.fly()


def demo() -> tuple[Floats, Floats]:
    """Rows of the demo campaign."""
    values, _, words = flatten(example("sedge-lift"))
    return prepare(values, words)


@cache
def plain() -> PlainFlight:
    parameters, states = demo()
    flight = PlainFlight(parameters[0], states[0])
    flight.fly()
    if flight.departure[0] >= 0.0:
        flight.fly_payload()
    return flight


@cache
def compiled_flight(tolerance: float) -> engine.Raw:
    return engine.fly_all(*demo(), tolerance=tolerance)


COMPARED = (
    "TUBE_CLEAR_TIME",
    "GUIDE_EXIT_TIME",
    "GUIDE_EXIT_SPEED",
    "WATER_OUT_TIME",
    "WATER_OUT_PRESSURE",
    "WATER_OUT_TEMPERATURE",
    "AIR_OUT_TIME",
    "BURNOUT_SPEED",
    "APOGEE_TIME",
    "APOGEE_HEIGHT",
    "RELEASED_TIME",
    "RELEASED_HEIGHT",
    "RELEASED_CLIMB",
    "RELEASED_SPEED",
    "OPENED_TIME",
    "OPENED_HEIGHT",
    "OPENED_SPEED",
    "VEHICLE_DOWN_TIME",
    "VEHICLE_DOWN_EAST",
    "VEHICLE_DOWN_NORTH",
    "VEHICLE_DOWN_SPEED",
    "VEHICLE_DOWN_MASS",
    "PAYLOAD_DOWN_TIME",
    "PAYLOAD_DOWN_EAST",
    "PAYLOAD_DOWN_NORTH",
    "PAYLOAD_DOWN_SPEED",
)


@pytest.mark.parametrize("name", COMPARED)
def test_the_demo_flight_is_that_of_scipy(name):
    expected = plain().out[getattr(slots, name)]
    assert figure(compiled_flight(1e-8), name) == pytest.approx(expected, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("name", ["APOGEE_HEIGHT", "APOGEE_TIME", "RELEASED_TIME"])
def test_the_demo_flight_at_its_usual_tolerance_is_that_of_scipy(name):
    expected = plain().out[getattr(slots, name)]
    assert figure(compiled_flight(1e-6), name) == pytest.approx(expected, rel=1e-6)


# ---------------------------------------------------------------- the same laws, compiled


def random_tables(seed: int) -> tuple[Floats, Floats, Floats]:
    """Times, states and parameters of sixteen flights in the middle of anything."""
    random = np.random.default_rng(seed)
    parameters, states = demo()
    p = np.repeat(parameters[0], LANES) * random.uniform(0.9, 1.1, slots.PARAMETER_COUNT * LANES)
    y = np.repeat(states[0], LANES)
    for slot in (slots.EAST, slots.NORTH, slots.V_EAST, slots.V_NORTH, slots.V_UP):
        y[slot : slot + LANES] = random.normal(0.0, 20.0, LANES)
    y[slots.UP : slots.UP + LANES] = random.uniform(0.0, 100.0, LANES)
    for slot in (slots.Q0, slots.Q1, slots.Q2, slots.Q3):
        y[slot : slot + LANES] = random.normal(0.0, 0.5, LANES)
    for slot in (slots.ROLL_RATE, slots.PITCH_RATE, slots.YAW_RATE):
        y[slot : slot + LANES] = random.normal(0.0, 5.0, LANES)
    y[slots.WATER : slots.GAS_TEMPERATURE + LANES] *= random.uniform(0.5, 1.0, 3 * LANES)
    for name in ("HELD", "ON_GUIDE", "ATTACHED", "MOIST"):
        slot = getattr(slots, name)
        p[slot : slot + LANES] = random.integers(0, 2, LANES)
    for k in range(4):
        for way in ("EAST", "NORTH"):
            slot = getattr(slots, f"GUST_{way}_{k}")
            p[slot : slot + LANES] = random.normal(0.0, 2.0, LANES)
            slot = getattr(slots, f"GUST_{way}_PHASE_{k}")
            p[slot : slot + LANES] = random.uniform(0.0, 6.3, LANES)
        slot = getattr(slots, f"GUST_RATE_{k}")
        p[slot : slot + LANES] = random.uniform(0.0, 2.0, LANES)
    for name in ("SPAN_EAST", "SPAN_NORTH", "CANOPY_OPENED", "CANOPY_FILLING"):
        slot = getattr(slots, name)
        p[slot : slot + LANES] = random.uniform(0.1, 1.0, LANES)
    return random.uniform(0.0, 10.0, LANES), y, p


SEEDS = range(5)


def write_compiled_rates(path: str) -> None:
    """Compile the rates by themselves, and write what they make of every case."""
    found = np.zeros((len(NAMES), len(SEEDS), slots.SIZE))
    for phase, seed in np.ndindex(found.shape[:2]):
        compiled(stepper.rates)(phase, *random_tables(seed), found[phase, seed])
    np.save(path, found)


@pytest.fixture(scope="module")
def compiled_rates(tmp_path_factory):
    """Compiled rates of every case.

    Two compiled entries in one process can mix up their parts, one of them coming from numba's
    cache; so these are worked out in a process of their own.
    """
    path = tmp_path_factory.mktemp("rates") / "rates.npy"
    tests = str(Path(__file__).parents[1])
    paths = [tests, *filter(None, [os.environ.get("PYTHONPATH")])]
    subprocess.run(
        [sys.executable, __file__, str(path)],
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
    )
    return np.load(path)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("phase", range(6), ids=NAMES)
def test_compiled_rates_are_those_of_plain_python(phase, seed, compiled_rates):
    ours, expected = compiled_rates[phase, seed], np.zeros(slots.SIZE)
    stepper.rates(phase, *random_tables(seed), expected)
    assert np.isfinite(expected).all()
    for row in range(slots.ROWS[phase]):
        lanes = slice(row * LANES, (row + 1) * LANES)
        size = np.abs(expected[lanes]).max()
        np.testing.assert_allclose(ours[lanes], expected[lanes], rtol=1e-12, atol=1e-12 * size)


def test_the_compiled_engine_is_the_plain_one():
    """The very driver, interpreted, flies a few short flights as its compiled twin does."""
    values, _, words = flatten(example("sedge-lift"))
    values = {**values, "site.launch.elevation": 0.1, "vehicle.fill.gauge_pressure": 1.5e5}
    parameters, states = prepare(values, words, flights=3)
    parameters[:, slots.DRY_MASS // LANES] *= (1.0, 1.2, 1.5)
    ours, expected = (
        fly(
            driver,
            parameters.copy(),
            states.copy(),
            3e-10,
            np.zeros((0, 1, slots.RECORD_COLUMNS)),
            np.ones(2),
        )[0]
        for driver in (engine._engine(), fly_phase)
    )
    assert (expected[:, slots.OUTCOME] == slots.LANDED).all()
    # Rounding alone decides now and then whether a step is a little longer; the largest speed is
    # looked for at the ends of steps only.
    sampled = [slots.STEPS, slots.REJECTED, slots.MAX_SPEED]
    np.testing.assert_allclose(
        np.delete(ours, sampled, axis=1), np.delete(expected, sampled, axis=1), rtol=1e-6, atol=1e-6
    )
    np.testing.assert_allclose(ours[:, sampled[:2]], expected[:, sampled[:2]], atol=5.0)
    np.testing.assert_allclose(ours[:, slots.MAX_SPEED], expected[:, slots.MAX_SPEED], rtol=1e-4)


@pytest.mark.parametrize(
    ("name", "rel"), [("MAX_ACCELERATION", 1e-9), ("PEAK_THRUST", 1e-9), ("MAX_SPEED", 2e-4)]
)
def test_the_largest_figures_are_those_of_the_track(name, rel):
    raw = engine.fly_all(*demo(), recorded=1, capacity=60_000, intervals=(5e-5, 1e-3))
    tape = raw.tapes[0][0]
    first = slots.RECORD_ACCELERATION
    largest = {
        "MAX_ACCELERATION": np.linalg.norm(tape[:, first : first + 3], axis=1).max(),
        "PEAK_THRUST": tape[:, slots.RECORD_THRUST].max(),
        "MAX_SPEED": np.sqrt(
            sum(column(tape, f"V_{axis}") ** 2 for axis in ("EAST", "NORTH", "UP"))
        ).max(),
    }
    assert figure(raw, name) == pytest.approx(largest[name], rel=rel)


if __name__ == "__main__":
    write_compiled_rates(sys.argv[1])
