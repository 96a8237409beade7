"""Documents into parameters: what stands there, in the units of the lanes."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from instruments.pair import flattened, pair, single
from instruments.sensing import run

from loftwright.documents import flatten
from loftwright.instruments.kernel.slots import FAR
from loftwright.instruments.rows import controller_rows, place, sample_times
from loftwright.instruments.wiring import wire
from loftwright.physics.bay_vent import breathed_excess, vent_constant, vent_excess
from loftwright.physics.sensor_lag import decimated_share, filter_noise_gain
from loftwright.physics.standard_atmosphere import moist_air_density

AREA = pi * 2e-3**2


def rows(changes=None, campaign=None, name="main", step_ms=20, flights=2):
    campaign = campaign or single()
    values, _, words = flatten(campaign)
    values |= {path: value for path, value in (changes or {}).items() if path in values}
    words |= {path: value for path, value in (changes or {}).items() if path in words}
    table = controller_rows(values, words, wire(campaign.avionics), name, step_ms, flights)
    return lambda parameter, flight=0: float(table[place(parameter), flight])


def test_the_vents_pull_as_the_law_says():
    density = moist_air_density(100800.0, 290.15, 0.6)
    expected = vent_constant(0.02, 180e-6, AREA, 0.6, density, 290.15)
    assert rows()("PORT_FLOW") == pytest.approx(expected, rel=1e-5)


@given(st.floats(-60.0, 60.0), st.floats(20e-6, 2e-3), st.floats(0.5e-6, 2e-5))
def test_a_steady_climb_breathes_like_the_quasi_steady_law(climb, volume, area):
    """The implicit step in a steady climb has the steady law for its answer, whatever the step."""
    density, temperature, step = 1.225, 288.15, 0.02
    constant = vent_constant(step, volume, area, 0.6, density, temperature)
    excess = vent_excess(volume, area, 0.6, climb, density, temperature)
    fallen = density * 9.80665 * climb * step
    assert breathed_excess(excess + fallen, constant) == pytest.approx(excess, rel=1e-6, abs=1e-9)


@given(st.floats(-5e3, 5e3), st.floats(0.0, 500.0))
def test_a_breath_never_overshoots(closed, constant):
    excess = breathed_excess(closed, constant)
    assert excess * closed >= 0.0
    assert abs(excess) <= abs(closed) * (1.0 + 1e-12)
    assert excess + constant * np.sign(excess) * abs(excess) ** 0.5 == pytest.approx(
        closed, rel=1e-9, abs=1e-12
    )


@pytest.mark.parametrize("values_a_sample", [1.0, 2.0, 5.0])
def test_a_quick_sensor_moves_its_filter_several_times(values_a_sample):
    row = rows({"avionics.barometer.0.every": 0.02 / values_a_sample})
    share = decimated_share(4.0, values_a_sample)
    assert row("SHARE") == pytest.approx(share, rel=1e-6)
    # What stands behind the filter is as noisy as it was behind the sensor's own.
    behind = row("NOISE") * np.sqrt(share / (2.0 - share))
    assert behind == pytest.approx(1.5 * filter_noise_gain(4.0), rel=1e-5)
    assert row("EVERY") == 0.0


def test_a_slow_sensor_keeps_its_own_pace():
    row = rows({"avionics.barometer.0.every": 0.1})
    assert row("EVERY") == pytest.approx(0.1)
    assert row("SHARE") == pytest.approx(0.25)


def test_what_is_not_there_reads_nothing():
    row = rows(campaign=pair(), name="backup", step_ms=50)
    assert (row("PUSH_FAIL_FROM"), row("LINE_OPENS")) == (np.float32(-FAR), np.float32(FAR))
    assert np.isnan(row("PUSH_FAIL_READS"))
    assert row("OPENS_AT") == np.float32(FAR)


def test_a_clock_that_drifts_takes_its_samples_elsewhere():
    campaign = pair()
    values, _, _ = flatten(campaign)
    values["avionics.controller.1.clock_drift"] = np.array([0.0, 0.01])
    wires = wire(campaign.avionics).controllers["backup"]
    times = sample_times(values, wires, 50, 101, 2)
    np.testing.assert_allclose(times[:, 0], -20.0)
    np.testing.assert_allclose(times[:, -1], [-15.0, -20.0 + 5.0 / 1.01])


def test_drawn_values_differ_by_flight():
    values, words = flattened(single(), 5)
    table = controller_rows(values, words, wire(single().avionics), "main", 20, 5)
    for parameter in ("FIRST_AT", "PORT_FLOW", "VOLTAGE", "RESISTANCE", "PUSH_BIAS", "OPENS_AT"):
        assert len(np.unique(table[place(parameter)])) == 5


def test_the_documented_instruments_read_what_is_there():
    values, _, words = flatten(single())
    table = controller_rows(values, words, wire(single().avionics), "main", 20, 1)
    case = {name: float(table[place(name), 0]) for name in ("PORT_FLOW", "SHARE", "EVERY")}
    read = run([case], np.full(100, 99000.0))
    np.testing.assert_allclose(read["pressure"][:, 0], 99000.0)
    assert read["alive"].all()
