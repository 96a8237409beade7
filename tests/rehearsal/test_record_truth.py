"""A flight that was recorded stands in for the one that is flown, and has the same done."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_logs import written
from flight.campaigns import example
from rehearsal.loops import MENDED, quiet

from loftwright.evidence.flight_log import read_flight_log
from loftwright.rehearsal import mending
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.recorded import pressure_truth
from loftwright.rehearsal.rehearse import rehearse
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.watching import watched

SAMPLE = 0.02


def campaign():
    """The example with instruments that pass on at once what the recorder's have felt already."""
    return quiet(example(MENDED))


@pytest.fixture(scope="module")
def nominal():
    plan = plan_of(campaign(), 1)
    return watched(plan, fly_block(plan, [Trial()], 0, 1), 0, case="no fault")


@pytest.fixture(scope="module")
def record(nominal, tmp_path_factory):
    """What the board read, as a recorder writes it: its own clock, from power-up on."""
    sensed = nominal.sensed["board"]
    begin = sensed["time_s"][0]
    columns = [sensed["time_s"] - begin, sensed["pressure_pa"], sensed["push_m_s2"]]
    path: Path = tmp_path_factory.mktemp("record") / "flight.csv"
    names = ["time (s)", "pressure (Pa)", "push (m/s^2)"]
    path.write_text(written(columns, names, digits=(3, 1, 2)))
    return read_flight_log(path), -begin


def test_first_motion_is_found_within_a_few_samples(record):
    log, liftoff = record
    # The first metre takes a seventh of a second.
    assert pressure_truth(log).liftoff_s == pytest.approx(liftoff, abs=0.2)


def test_the_same_is_done_within_a_sample(record, nominal):
    log, liftoff = record
    truth = pressure_truth(log, liftoff_s=liftoff)
    found = rehearse(campaign(), flights=2, faults="none", recorded=truth, recorded_in=log.name)
    assert found.truth_from == "flight.csv"
    seen = found.watched[0]
    assert set(seen.acts) == set(nominal.acts) == {"payload", "canopy"}
    for name, moment in seen.acts.items():
        assert moment == pytest.approx(nominal.acts[name], abs=1.01 * SAMPLE)
    assert [stay.stage for stay in seen.stays["board"]] == [
        stay.stage for stay in nominal.stays["board"]
    ]


def test_what_is_recorded_is_what_is_sensed(record, nominal):
    log, liftoff = record
    plan = plan_of(campaign(), 1, pressure_truth(log, liftoff_s=liftoff))
    seen = watched(plan, fly_block(plan, [Trial()], 0, 1), 0, case="no fault")
    ours, theirs = seen.sensed["board"], nominal.sensed["board"]
    shared = min(len(ours["time_s"]), len(theirs["time_s"]))
    off = ours["pressure_pa"][:shared] - theirs["pressure_pa"][:shared]
    # As many digits as are written, and a 128th of a pascal twice.
    assert np.abs(off).max() < 0.05 + 2.0 / 128.0
    # What the record lacks is that of the flight.
    bare = replace(log, push_m_s2=None)
    plan = plan_of(campaign(), 1, pressure_truth(bare, liftoff_s=liftoff))
    again = watched(plan, fly_block(plan, [Trial()], 0, 1), 0, case="no fault")
    before = theirs["time_s"][:shared] < 2.0  # before anything is let go
    np.testing.assert_array_equal(
        again.sensed["board"]["push_m_s2"][:shared][before], theirs["push_m_s2"][:shared][before]
    )


def test_every_flight_hears_the_record(record):
    log, liftoff = record
    plan = plan_of(campaign(), 1, pressure_truth(log, liftoff_s=liftoff))
    flown = fly_block(plan, [Trial()], 0, 8)
    release = flown.settled.branches.acts[:, 0]
    # Power-up, clocks and vents differ from flight to flight; what flew does not.
    assert np.ptp(release) < 0.2


def test_mends_are_tried_on_the_record_too(record, monkeypatch):
    log, liftoff = record
    truth = pressure_truth(log, liftoff_s=liftoff)
    heard = []
    fly = mending.count_trials

    def noted(plan, trials, flights, progress):
        heard.append(plan.recorded)
        return fly(plan, trials, flights, progress)

    monkeypatch.setattr(mending, "count_trials", noted)
    monkeypatch.setattr(mending, "WATCHED", 2)
    names = "connector opens at liftoff"
    found = rehearse(campaign(), flights=4, faults=names, recorded=truth)
    assert found.mends
    assert heard
    assert all(each is truth for each in heard)
