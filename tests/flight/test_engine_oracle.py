"""The engine beside its own laws uncompiled, flown by SciPy at tight tolerance."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from flight.campaigns import example, with_glider
from flight.engine_rows import column, figure, some
from flight.plain_flight import PlainBody, fly_plainly

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.driver import fly_phase
from loftwright.flight.kernel.fly import fly
from loftwright.flight.prepare import prepare

# How the payload leaves, and what it is: a point that glides, or a glider with its wing.
CASES = {
    "released": (example("sedge-lift"), 1e6),
    "torn off": (example("sedge-lift"), 8.0),
    "winged": (with_glider(), 1e6),
}


def demo(case: str = "released") -> list[Body]:
    """Bodies of the demo campaign, the payload let go as planned or torn off."""
    campaign, strength = CASES[case]
    values, _, words = flatten(campaign)
    return prepare({**values, "payload.hold.strength": strength}, words)


@cache
def plain(case: str) -> dict[str, PlainBody]:
    return fly_plainly(demo(case))


@cache
def compiled_flight(case: str, tolerance: float) -> engine.Raw:
    return engine.fly_all(demo(case), tolerance=tolerance, descent_tolerance=tolerance)


VEHICLE = (
    "TUBE_CLEAR_TIME",
    "GUIDE_EXIT_TIME",
    "GUIDE_EXIT_SPEED",
    "WATER_OUT_TIME",
    "WATER_OUT_PRESSURE",
    "WATER_OUT_TEMPERATURE",
    "AIR_OUT_TIME",
    "BURNOUT_SPEED",
    "BURNOUT_LEAN",
    "WATER_LEFT",
    "APOGEE_TIME",
    "APOGEE_HEIGHT",
    "RELEASED_TIME",
    "RELEASED_HEIGHT",
    "RELEASED_CLIMB",
    "RELEASED_SPEED",
    "RELEASED_LEAN",
    "TORN",
    "OPENED_TIME",
    "OPENED_HEIGHT",
    "OPENED_SPEED",
)
DOWN = (
    "DOWN_TIME",
    "DOWN_EAST",
    "DOWN_NORTH",
    "DOWN_UP",
    "DOWN_SPEED",
    "DOWN_MASS",
    "OUTCOME",
)
COMPARED = [("vehicle", name) for name in VEHICLE + DOWN] + [("payload", name) for name in DOWN]


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize(("body", "name"), COMPARED)
def test_the_demo_flight_is_that_of_scipy(case, body, name):
    expected = plain(case)[body].out[getattr(slots, name)]
    ours = figure(compiled_flight(case, 1e-8), name, body=body)
    # A lean is the root of a difference of squares: near none it is known to the root of rounding.
    assert ours == pytest.approx(expected, rel=1e-6, abs=5e-8 if "LEAN" in name else 1e-9)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("name", ["APOGEE_HEIGHT", "APOGEE_TIME", "RELEASED_TIME"])
def test_the_demo_flight_at_its_usual_tolerance_is_that_of_scipy(case, name):
    expected = plain(case)["vehicle"].out[getattr(slots, name)]
    assert figure(compiled_flight(case, 1e-6), name) == pytest.approx(expected, rel=1e-6)


def test_the_compiled_engine_is_the_plain_one():
    """The very driver, interpreted, flies a few short flights as its compiled twin does."""
    values, _, words = flatten(example("sedge-lift"))
    values = {
        **values,
        "site.launch.elevation": 0.1,
        "vehicle.fill.gauge_pressure": 1.5e5,
        "payload.hold.strength": np.array([1e6, 1e6, 0.5]),
    }
    bodies = prepare(values, words, flights=3)
    bodies[0].parameters[:, slots.DRY_MASS // slots.LANES] *= (1.0, 1.2, 1.5)
    ours, expected = (
        fly(
            driver,
            some(bodies, slice(None)),
            engine.tolerances(1e-9, 1e-9),
            np.zeros(1),
            0,
            1,
            np.ones(2),
        )
        for driver in (engine.compiled_engine(), fly_phase)
    )
    # Rounding alone decides now and then whether a step is a little longer; the largest speed is
    # looked for at the ends of steps only, and so are distances.
    sampled = [
        slots.STEPS,
        slots.REJECTED,
        slots.MAX_SPEED,
        slots.FIN_CLEARANCE,
        slots.BODY_CLEARANCE,
    ]
    assert (expected[0].figures[:, slots.OUTCOME] == slots.LANDED).all()
    assert expected[0].figures[:, slots.TORN].tolist() == [0.0, 0.0, 1.0]
    for one, other in zip(ours, expected, strict=True):
        np.testing.assert_allclose(
            np.delete(one.figures, sampled, axis=1),
            np.delete(other.figures, sampled, axis=1),
            rtol=1e-6,
            atol=1e-6,
        )
        for slot, rtol, atol in ((sampled[0], 0, 5), (sampled[1], 0, 5), (sampled[2], 1e-4, 0)):
            np.testing.assert_allclose(
                one.figures[:, slot], other.figures[:, slot], rtol=rtol, atol=atol
            )
        for slot in sampled[3:]:
            np.testing.assert_allclose(one.figures[:, slot], other.figures[:, slot], atol=1e-4)


@pytest.mark.parametrize(
    ("name", "rel"), [("MAX_ACCELERATION", 1e-9), ("PEAK_THRUST", 1e-9), ("MAX_SPEED", 2e-4)]
)
def test_the_largest_figures_are_those_of_the_track(name, rel):
    raw = engine.fly_all(demo(), recorded=1, capacity=60_000, intervals=(5e-5, 1e-3))
    tape = raw.tapes[0]["vehicle"]
    first = slots.RECORD_ACCELERATION
    largest = {
        "MAX_ACCELERATION": np.linalg.norm(tape[:, first : first + 3], axis=1).max(),
        "PEAK_THRUST": tape[:, slots.RECORD_THRUST].max(),
        "MAX_SPEED": np.sqrt(
            sum(column(tape, f"V_{axis}") ** 2 for axis in ("EAST", "NORTH", "UP"))
        ).max(),
    }
    assert figure(raw, name) == pytest.approx(largest[name], rel=rel)
