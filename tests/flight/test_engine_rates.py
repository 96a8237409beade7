"""Rates of change, compiled and as plain Python: the same numbers in every phase."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from flight.campaigns import example, staged, with_glider
from flight.engine_rows import Floats

from loftwright.compiling.clone import compiled
from loftwright.documents.flatten import flatten
from loftwright.flight.kernel import slots, stepper
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.fly import _items
from loftwright.flight.prepare import prepare

LANES = slots.LANES
NAMES = ("boosted", "tube", "water", "air", "coast", "canopy", "point", "glide")


@cache
def body_in(phase: int) -> Body:
    """A body that can be in a phase: with boosters and all, or what was let go."""
    if phase < slots.POINT_PHASE:
        values, _, words = flatten(staged())
        return prepare(values, words)[0]
    campaign = example("sedge-lift") if phase == slots.POINT_PHASE else with_glider()
    values, _, words = flatten(campaign)
    return prepare(values, words)[1]


def fill(table: Floats, names: tuple[str, ...], draw) -> None:
    """Draw a row of sixteen numbers for each of these slots."""
    for name in names:
        first = getattr(slots, name)
        table[first : first + LANES] = draw(LANES)


def random_tables(phase: int, seed: int) -> tuple[int, Floats, Floats, Floats]:
    """Things carried, times, states and parameters of sixteen flights in the middle of anything."""
    random = np.random.default_rng(seed)
    body = body_in(phase)
    p = np.repeat(body.parameters[0], LANES)
    p *= random.uniform(0.9, 1.1, len(p))
    y = np.repeat(body.states[0], LANES)
    fill(y, ("EAST", "NORTH", "V_EAST", "V_NORTH", "V_UP"), lambda n: random.normal(0.0, 20.0, n))
    fill(y, ("UP",), lambda n: random.uniform(0.0, 100.0, n))
    fill(y, ("Q0", "Q1", "Q2", "Q3"), lambda n: random.normal(0.0, 0.5, n))
    fill(y, ("ROLL_RATE", "PITCH_RATE", "YAW_RATE"), lambda n: random.normal(0.0, 5.0, n))
    for first in (slots.WATER, slots.BOOSTER_WATER):
        y[first : first + 3 * LANES] *= random.uniform(0.5, 1.0, 3 * LANES)
    # Pushes: nothing, water or air.
    fill(p, ("BOOSTERS_PUSH", "OWN_PUSH"), lambda n: random.integers(0, 3, n))
    fill(p, ("HELD", "ON_GUIDE", "MOIST"), lambda n: random.integers(0, 2, n))
    items = _items(body)
    for item in range(items):
        first = slots.ITEM_ATTACHED + item * slots.ITEM
        p[first : first + LANES] = random.integers(0, 2, LANES)
    for wave in range(12):
        directions = tuple(f"GUST_{wave}_{way}" for way in ("EAST", "NORTH", "UP"))
        fill(p, directions, lambda n: random.normal(0.0, 0.1, n))
        fill(p, (f"GUST_{wave}_PHASE", f"GUST_{wave}_RATE"), lambda n: random.uniform(0.0, 6.3, n))
    speeds = tuple(f"GUST_{way}_{pair}" for way in ("ALONG", "ACROSS") for pair in range(4))
    fill(p, (*speeds, "GUST_UPRIGHT"), lambda n: random.normal(0.0, 2.0, n))
    fill(
        p,
        ("SPAN_EAST", "SPAN_NORTH", "CANOPY_OPENED", "CANOPY_FILLING"),
        lambda n: random.uniform(0.1, 1.0, n),
    )
    return items, random.uniform(0.0, 10.0, LANES), y, p


SEEDS = range(5)


def write_compiled_rates(path: str) -> None:
    """Compile the rates by themselves, and write what they make of every case."""
    found = np.zeros((len(NAMES), len(SEEDS), slots.SIZE))
    for phase, seed in np.ndindex(found.shape[:2]):
        compiled(stepper.rates)(int(phase), *random_tables(phase, seed), found[phase, seed])
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
@pytest.mark.parametrize("phase", range(len(NAMES)), ids=NAMES)
def test_compiled_rates_are_those_of_plain_python(phase, seed, compiled_rates):
    ours, expected = compiled_rates[phase, seed], np.zeros(slots.SIZE)
    stepper.rates(phase, *random_tables(phase, seed), expected)
    assert np.isfinite(expected).all()
    for row in range(slots.ROWS[phase]):
        lanes = slice(row * LANES, (row + 1) * LANES)
        size = np.abs(expected[lanes]).max()
        np.testing.assert_allclose(ours[lanes], expected[lanes], rtol=1e-12, atol=1e-12 * size)


if __name__ == "__main__":
    write_compiled_rates(sys.argv[1])
