"""Made-up records: what a controller would have written, and what was true."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loftwright.debrief.synthetic import (
    flight_log_of,
    log_text,
    recorders,
    synthetic_log,
    synthetic_logs,
)
from loftwright.documents.reading import read_campaign
from loftwright.errors import ProblemError
from loftwright.evidence.flight_log import read_flight_log
from loftwright.rehearsal.cases import fault_name, known_happenings
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.watching import watched

DEMO = Path(__file__).parents[2] / "examples" / "sedge-lift-rehearsed"


@pytest.fixture(scope="module")
def plan():
    return plan_of(read_campaign(DEMO), 3)


def trial_of(plan, name):
    return Trial((next(each for each in known_happenings(plan) if fault_name(each) == name),))


def test_only_controllers_with_a_barometer_leave_a_readable_record(plan):
    assert recorders(plan) == ("board",)


@pytest.mark.parametrize("fault", ["samples repeated: baro", "battery sags: cell"])
def test_a_record_is_what_watching_the_flight_shows(plan, fault):
    """Two ways to one tape: lanes by the dozen, and one flight watched alone."""
    trial = trial_of(plan, fault)
    record = synthetic_log(plan, trial, 2, "board")
    alone = watched(plan, fly_block(plan, [trial], 2, 1), 0, case=fault)
    seen = alone.sensed["board"]
    tail = np.flatnonzero(seen["time_s"] >= -5.0)
    np.testing.assert_array_equal(record.pressure_pa, seen["pressure_pa"][tail])
    np.testing.assert_array_equal(record.push_m_s2, seen["push_m_s2"][tail])
    assert record.truth.events["canopy open"] == alone.events["canopy open"]


def test_without_power_nothing_is_written_and_the_clock_goes_on(plan):
    record = synthetic_log(plan, trial_of(plan, "controller resets in flight: board"), 0, "board")
    steps = np.diff(record.time_s)
    assert np.all(steps > 0.0)
    assert steps.max() > 0.6  # the start-up time of avionics.toml
    assert record.state[0] == "pad"
    assert record.state[-1] == "down"


def test_a_connector_that_opens_ends_the_record_at_liftoff(plan):
    trial = trial_of(plan, "connector opens at liftoff: bay plug")
    record = synthetic_log(plan, trial, 1, "board")
    assert record.time_s[-1] == pytest.approx(record.liftoff_s, abs=0.021)
    assert "release" not in record.truth.events


def test_the_supply_falls_by_what_a_servo_draws(plan):
    """Ohm's law: 0.35 A through the cell's resistance, as drawn for this flight."""
    record = synthetic_log(plan, Trial(), 0, "board")
    block = fly_block(plan, [Trial()], 0, 1).block
    index = next(n for n, each in enumerate(plan.campaign.avionics.battery) if each.name == "cell")
    resistance = float(block.values[0][f"avionics.battery.{index}.resistance"][0])
    fall = record.battery_v.max() - record.battery_v.min()
    assert fall == pytest.approx(0.35 * resistance, rel=1e-3)


def test_text_reads_back_as_the_record(plan, tmp_path):
    record = synthetic_logs(plan, Trial(), 1)["board"]
    (tmp_path / "board.csv").write_text(log_text(record))
    read, made = read_flight_log(tmp_path / "board.csv"), flight_log_of(record)
    np.testing.assert_allclose(read.time_s, made.time_s, atol=1e-3)
    np.testing.assert_allclose(read.pressure_pa, made.pressure_pa, atol=0.051)
    np.testing.assert_allclose(read.push_m_s2, made.push_m_s2, atol=0.0051)
    assert [(m.line, m.words) for m in read.marks] == [(m.line, m.words) for m in made.marks]


def test_the_truth_does_not_depend_on_how_much_of_the_pad_is_recorded(plan):
    short, long = (synthetic_log(plan, Trial(), 4, "board", before=s) for s in (2.0, 9.0))
    assert replace(short, time_s=0, pressure_pa=0, push_m_s2=0, battery_v=0, state=()) == replace(
        long, time_s=0, pressure_pa=0, push_m_s2=0, battery_v=0, state=()
    )
    np.testing.assert_array_equal(short.pressure_pa, long.pressure_pa[-len(short.time_s) :])


def test_an_unknown_controller_is_named(plan):
    with pytest.raises(ProblemError, match="no controller 'bord'") as caught:
        synthetic_log(plan, Trial(), 0, "bord")
    assert caught.value.problems[0].code == "causes-no-recorder"
