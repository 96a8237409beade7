"""Records on one grid: a real record and a simulated one must be read alike."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from debrief.made_up_failures import campaign_folder, plan_in, trial_of

from loftwright.debrief.causes.features import log_features
from loftwright.debrief.causes.flights import fly_causes
from loftwright.debrief.causes.records import layout_of, records_of_log
from loftwright.debrief.synthetic import flight_log_of, synthetic_log
from loftwright.rehearsal.run import Trial

FAULTS = (
    "connector opens at liftoff: bay plug",
    "controller resets in flight: board",
    "sensor dead: baro",
    "sensor frozen: baro",
    "sensor frozen: accel",
    "vent blocked: nose bay",
    "canopy tangles",
)
BEFORE = 5.0
TEMPERATURE = 290.0


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    return plan_in(campaign_folder(tmp_path_factory.mktemp("records")), 5)


def whole_layout(plan):
    stages = tuple(stage.name for stage in plan.tables["board"].stages)
    return layout_of("board", None, 0.02, stages, TEMPERATURE)


@pytest.fixture(scope="module")
def simulated(plan):
    trials = [Trial(), *(trial_of(plan, name) for name in FAULTS)]
    flights, _ = fly_causes(plan, trials, {"board": whole_layout(plan)}, 3)
    return trials, flights


@pytest.mark.parametrize("number", range(1 + len(FAULTS)))
def test_features_of_a_log_are_those_of_the_tape_it_came_from(plan, simulated, number):
    trials, flights = simulated
    layout = whole_layout(plan)
    for flight in range(3):
        row = np.flatnonzero((flights.cause == number) & (flights.flight == flight))
        if not row.size:  # let go on the pad
            continue
        record = synthetic_log(plan, trials[number], flight, "board", before=BEFORE)
        found = log_features(records_of_log(flight_log_of(record), layout), layout)
        for name, values in found.items():
            np.testing.assert_allclose(
                values[0], flights.logs["board"][name][row[0]], rtol=1e-3, atol=0.02, err_msg=name
            )


def features(log, plan):
    stages = tuple(stage.name for stage in plan.tables["board"].stages)
    layout = layout_of("board", log, 0.02, stages, TEMPERATURE)
    return layout, log_features(records_of_log(log, layout), layout)


@pytest.fixture(scope="module")
def flown(plan):
    return synthetic_log(plan, Trial(), 1, "board", before=6.0)


def test_liftoff_is_found_where_it_was(flown, plan):
    layout, _ = features(flight_log_of(flown), plan)
    records = records_of_log(flight_log_of(flown), layout)
    assert records.found[0] == 1
    assert records.liftoff[0] == pytest.approx(flown.liftoff_s, abs=0.06)
    assert layout.pad_s == pytest.approx(6.0, abs=0.1)


def test_what_is_read_is_what_flew(flown, plan):
    _, found = features(flight_log_of(flown), plan)
    truth = flown.truth
    assert found["apogee"][0] == pytest.approx(truth.figures["apogee_m"], rel=0.02)
    assert found["apogee time"][0] == pytest.approx(truth.events["apogee"], abs=0.25)
    down = truth.figures["touchdown_vehicle_speed_m_s"]
    assert found["last sink"][0] == pytest.approx(down, rel=0.3)
    assert found["hole"][0] == 0.0
    assert found["hangs from"][0] == pytest.approx(truth.events["canopy open"], abs=0.6)


def test_how_long_a_recorder_goes_on_after_landing_says_nothing(flown, plan):
    log = flight_log_of(flown)
    more = 1500  # rows of rest on the ground
    time = log.time_s[-1] + 0.02 * np.arange(1, more + 1)
    dice = np.random.default_rng(1)

    def rested(values, noise):
        return np.concatenate([values, values[-20:].mean() + noise * dice.normal(size=more)])

    longer = replace(
        log,
        time_s=np.concatenate([log.time_s, time]),
        pressure_pa=rested(log.pressure_pa, 1.0),
        push_m_s2=rested(log.push_m_s2, 0.1),
        battery_v=rested(log.battery_v, 0.0),
        line=np.arange(2, 2 + len(log.line) + more, dtype=np.int32),
    )
    _, short = features(log, plan)
    _, long = features(longer, plan)
    for name in ("record ends", "height at its end", "time from the top", "last sink"):
        assert long[name][0] == pytest.approx(short[name][0], abs=0.7), name


def test_channels_that_a_record_lacks_are_left_out(flown, plan):
    bare = replace(flight_log_of(flown), push_m_s2=None, battery_v=None, marks=())
    layout, found = features(bare, plan)
    assert layout.channels == {"pressure"}
    assert not any("push" in name or "stage" in name or "supply" in name for name in found)
    assert found["apogee"][0] == pytest.approx(flown.truth.figures["apogee_m"], rel=0.02)


def test_a_slower_record_is_laid_out_at_its_own_pace(flown, plan):
    log = flight_log_of(flown)
    few = slice(0, None, 5)
    slow = replace(
        log,
        time_s=log.time_s[few],
        pressure_pa=log.pressure_pa[few],
        push_m_s2=log.push_m_s2[few],
        battery_v=log.battery_v[few],
        line=log.line[few],
    )
    layout, found = features(slow, plan)
    assert layout.dt == pytest.approx(0.1)
    assert found["hole"][0] == 0.0
    assert found["apogee"][0] == pytest.approx(flown.truth.figures["apogee_m"], rel=0.02)
