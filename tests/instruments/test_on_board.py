"""A real flight, sensed: the height that a controller could reckon is the height that was flown."""

from __future__ import annotations

import numpy as np
import pytest
from instruments.pair import single
from instruments.sensing import LANES, compiled_sense

from loftwright.documents import flatten
from loftwright.flight import engine, prepare
from loftwright.instruments.cases import scene_of
from loftwright.instruments.kernel import slots
from loftwright.instruments.kernel.sense import begin
from loftwright.instruments.noise import noise
from loftwright.instruments.rows import place, sample_times
from loftwright.instruments.truth import around, truth
from loftwright.physics.altimetry import pressure_altitude

SAMPLES = 1250  # 20 s on the pad, 5 s of flight


@pytest.fixture(scope="module")
def flown():
    """What is true, what is read, and the moments of one flight of the wired campaign."""
    values, _, words = flatten(single())
    raw = engine.fly_all(
        prepare.prepare(values, words), recorded=1, capacity=6000, intervals=(1e-3, 1e-2)
    )
    scene = scene_of(single(), values, words, 1, 0, 1)
    wires = scene.wiring.controllers["main"]
    times = sample_times(values, wires, 20, SAMPLES, 1)
    real = truth([raw.tapes[0]["vehicle"]], times, around(values, 1))
    return times[0], real, sensed(scene.lanes["main"], real)


def sensed(table, real):
    p = np.repeat(table, LANES, axis=1).ravel()
    m = np.zeros(slots.MEMORIES * LANES, np.float32)
    begin(p, m)
    deviates = noise(1, "main", 0, 1, SAMPLES)[0]
    singles = [np.zeros(LANES, np.float32) for _ in range(2)]
    wholes = [np.zeros(LANES, np.int32) for _ in range(4)]
    rows = []
    for k in range(SAMPLES):
        wide = [np.full(LANES, each[0, k], np.float32) for each in (real.port, real.push)]
        compiled_sense()(
            k, *wide, np.repeat(deviates[k], LANES), np.zeros(LANES, np.float32), p, m,
            *singles, *wholes,
        )  # fmt: skip
        rows.append([float(each[5]) for each in (*singles, *wholes)])
    return np.array(rows).T


def test_the_pressure_tells_the_height(flown):
    times, real, (pressure, *_) = flown
    pad = pressure[times < 0.0].mean()
    height = np.array([pressure_altitude(each, pad) for each in pressure])
    late = times > 0.5
    # The day is warmer than standard and the filter trails by three samples.
    assert np.abs(height - real.height[0])[late].max() < 3.5
    assert height[times < 0.0].std() < 0.2


def test_the_push_tells_the_launch(flown):
    times, _, (_, pushed, line, now, alive, _) = flown
    assert pushed[times < -0.05].max() < 2.0 * 9.80665
    assert pushed[(times > 0.0) & (times < 0.2)].max() > 10.0 * 9.80665
    np.testing.assert_array_equal(line, times >= -1e-4)
    np.testing.assert_array_equal(now, 20.0 * np.arange(SAMPLES))
    assert alive.all()
    assert place("FIRST_AT") == 0
