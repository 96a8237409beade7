"""The same bits whatever flies beside a flight, and errors that follow the tolerance."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from flight.campaigns import example
from flight.engine_rows import coasting, equal_bodies, figure, fly, parameters, same_bits, some

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.gusts import draw_gusts
from loftwright.flight.prepare import prepare

VALUES, _, WORDS = flatten(example("sedge-lift"))


def demo():
    return prepare(VALUES, WORDS)


MANY = 700


@cache
def many():
    """Seven hundred different flights, gusts and all."""
    random = np.random.default_rng(3)
    values = dict(VALUES)
    for name, sd in (
        ("vehicle.fill.water_volume", 2e-4),
        ("vehicle.fill.gauge_pressure", 6e4),
        ("site.wind.from", 1.0),
        ("site.launch.elevation", 0.1),
        ("payload.toss.speed", 0.4),
        ("payload.hold.strength", 12.0),  # some tear off, most do not
    ):
        values[name] = np.abs(VALUES[name] + sd * random.standard_normal(MANY))
    gusts = draw_gusts(5, MANY, 1.0, 4.0)
    return prepare(values, WORDS, flights=MANY, gusts=gusts)


@cache
def together():
    return engine.fly_all(many(), threads=1)


def test_a_flight_alone_is_the_flight_in_a_batch():
    for flight in (0, 15, 16, 255, 256, 699):
        which = slice(flight, flight + 1)
        equal_bodies(engine.fly_all(some(many(), which)), together(), which)


@pytest.mark.parametrize("threads", [2, 3])
def test_threads_change_nothing(threads):
    equal_bodies(engine.fly_all(many(), threads=threads), together())


@pytest.mark.parametrize("chunk", [1, 17, 100, 1000])
def test_chunks_change_nothing(chunk, monkeypatch):
    monkeypatch.setattr(engine, "CHUNK", chunk)
    equal_bodies(engine.fly_all(some(many(), slice(200))), together(), slice(200))


def test_recording_changes_nothing():
    raw = engine.fly_all(some(many(), slice(40)), recorded=23, capacity=50)
    equal_bodies(raw, together(), slice(40))
    assert len(raw.tapes) == 23


def test_order_changes_nothing():
    mixed = np.random.default_rng(1).permutation(60)
    equal_bodies(engine.fly_all(some(many(), mixed)), together(), mixed)


def test_rows_are_left_as_they_were():
    bodies = some(many(), slice(5))
    before = some(bodies, slice(None))
    engine.fly_all(bodies, recorded=2, capacity=9)
    for one, other in zip(bodies, before, strict=True):
        same_bits(one.parameters, other.parameters)
        same_bits(one.states, other.states)


def test_progress_counts_up_to_the_total(monkeypatch):
    monkeypatch.setattr(engine, "CHUNK", 16)
    seen = []
    engine.fly_all(some(many(), slice(40)), progress=lambda done, total: seen.append((done, total)))
    assert seen == [(16, 40), (32, 40), (40, 40)]


# ---------------------------------------------------------------- tolerance


def test_a_tighter_tolerance_comes_nearer():
    exact = engine.fly_all(demo(), tolerance=1e-12)
    names = (
        ("APOGEE_HEIGHT", "vehicle"),
        ("RELEASED_TIME", "vehicle"),
        ("DOWN_EAST", "vehicle"),
        ("DOWN_TIME", "payload"),
    )

    def error(tolerance):
        raw = engine.fly_all(demo(), tolerance=tolerance, descent_tolerance=tolerance)
        return max(abs(figure(raw, n, body=b) / figure(exact, n, body=b) - 1.0) for n, b in names)

    errors = np.array([error(10.0**-k) for k in range(4, 11)])
    asked = 10.0 ** -np.arange(4.0, 11.0)
    assert (errors[asked >= 1e-6] < asked[asked >= 1e-6]).all()
    # Steps are short for other reasons where little is asked, so the error starts low.
    assert (errors < 20.0 * asked).all()
    assert errors[-1] < 1e-8


def test_steps_grow_with_the_fifth_root_of_the_tolerance():
    """A smooth coast: twice ten decades of tolerance, twice a factor of 10^(1/5) in steps."""
    table = parameters(MEASURED_DRAG=0.003)
    start = coasting(V_UP=50.0, ROLL_RATE=20.0, PITCH_RATE=5.0)
    steps = [figure(fly(table, start, tolerance=10.0**-k), "STEPS") for k in (6, 8, 10)]
    growth = np.log10(np.divide(steps[1:], steps[:-1])) / 2.0
    np.testing.assert_allclose(growth, 0.2, atol=0.02)
