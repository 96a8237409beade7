"""What is commanded follows from what flies, later by what can be reckoned beforehand."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from rehearsal.loops import ESTIMATES, MENDED, acts, plan_for, quiet, trial, with_program

from loftwright.flight.forecast import forecast
from loftwright.program.estimates import estimate_lag
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.watching import watched

THRESHOLD = 50 * 0.3048  # m/s, of examples/sedge-lift-mended
HOLD = 0.04  # s, there too
STEP = 0.02
G = 9.80665
FLIGHTS = 4


def crossing(truth, threshold):
    """When the true climb falls below a threshold, s, and the acceleration there."""
    time, climb = truth["time_s"], truth["climb_m_s"]
    fast = int(np.argmax(climb))
    k = fast + int(np.argmax(climb[fast:] < threshold))
    slope = (climb[k] - climb[k - 1]) / (time[k] - time[k - 1])
    return time[k - 1] + (threshold - climb[k - 1]) / slope, slope


@pytest.mark.parametrize("kind", ESTIMATES)
def test_a_quiet_command_is_late_by_the_lag_that_is_reckoned(kind):
    plan = plan_of(with_program(quiet(example(MENDED)), estimate=ESTIMATES[kind]), 3)
    flown = fly_block(plan, [Trial()], 0, FLIGHTS)
    for flight in range(FLIGHTS):
        seen = watched(plan, flown, flight, case="no fault")
        moment, acceleration = crossing(seen.truth, THRESHOLD)
        lag = estimate_lag(plan.tables["board"], THRESHOLD, acceleration)[1]
        late = seen.commands["board: latch"] - moment - lag / acceleration - HOLD
        # Within one sample; what is over is that the acceleration is not quite steady.
        assert -0.004 < late < STEP + 0.004
        assert lag / acceleration > (0.4 if kind == "raw" else 1.0) * STEP


def test_a_quiet_latch_lets_go_when_it_is_told():
    plan = plan_of(quiet(example(MENDED)), 3)
    flown = fly_block(plan, [Trial()], 0, FLIGHTS)
    released = flown.figures(0, "release_time_s")
    for flight in range(FLIGHTS):
        seen = watched(plan, flown, flight, case="no fault")
        assert seen.acts["payload"] == pytest.approx(seen.commands["board: latch"], abs=1e-9)
        assert released[flight] == pytest.approx(seen.acts["payload"], abs=1e-9)


def freed_at_once(campaign):
    """The same with the forecast's own release at the very crossing."""
    return with_fields(campaign, {"payload.release.delay": 0.0})


def test_fifty_feet_a_second_are_a_second_and_a_half_before_the_top():
    # Common practice, no source: let go with 50 ft/s of climb left, about 1.5 s before the top and
    # about 12 m below it. Without drag these are v/g and v²/2g, 1.55 s and 11.8 m; drag takes off
    # some of both. In calm air: a wind bears a leaning vehicle up a little.
    calm = {"site.wind.speed": 0.0, "site.wind.gust": 0.0, "site.launch.elevation": pi / 2}
    campaign = with_fields(freed_at_once(quiet(example(MENDED))), calm)
    figures = forecast(campaign, flights=40, seed=3).columns
    before = figures["apogee_time_s"] - figures["release_time_s"]
    below = figures["apogee_m"] - figures["release_height_m"]
    bare = THRESHOLD / G, THRESHOLD**2 / (2.0 * G)
    assert bare == pytest.approx((1.5, 12.0), rel=0.05)
    assert (before < bare[0]).all()
    assert (below < bare[1]).all()
    assert np.median(before) == pytest.approx(1.5, abs=0.1)
    assert np.median(below) == pytest.approx(11.0, abs=0.8)


def test_forecast_and_rehearsal_let_the_same_flight_go_at_the_same_place():
    campaign = freed_at_once(quiet(example(MENDED)))
    plan = plan_of(campaign, 3)
    figures = forecast(campaign, flights=40, seed=3).columns
    flown = fly_block(plan, [Trial()], 0, 40)
    lag = estimate_lag(plan.tables["board"], THRESHOLD, -G)[1] / -G
    late = flown.figures(0, "release_time_s") - figures["release_time_s"]
    assert ((late > lag + HOLD - 0.004) & (late < lag + HOLD + STEP + 0.004)).all()
    # By so much less climb is left, and the drag of the bundle is on for that much longer.
    climbed = flown.figures(0, "release_climb_m_s")
    assert climbed == pytest.approx(THRESHOLD - 10.5 * late, abs=0.3)
    top = flown.figures(0, "apogee_m")
    assert top == pytest.approx(figures["apogee_m"], rel=0.01)


def test_what_real_instruments_add_is_small():
    plan = plan_for(MENDED)
    flown = fly_block(plan, [trial(plan)], 0, 32)
    climb = flown.figures(0, "release_climb_m_s")
    released = acts(flown, 0, "payload")
    assert np.isfinite(released).all()
    # A bay that breathes, position error, noise, an actuator of a tenth of a second.
    assert np.median(climb) == pytest.approx(THRESHOLD - 1.5, abs=2.5)
