"""One answer on any number of threads and in any blocks; cases that do the same share flights."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rehearsal.loops import LATCH, REHEARSED, acts, flown_acts, happening, plan_for, row, trial

from loftwright.instruments.fault import Effect
from loftwright.rehearsal import block, trials
from loftwright.rehearsal.rehearse import rehearse
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.watching import watched

FLIGHTS = 21
FAULTS = ("gust across the vents", ("battery flat", "cell"), "wrong water")


@pytest.fixture(scope="module")
def plan():
    return plan_for(REHEARSED)


@pytest.fixture(scope="module")
def few(plan):
    return [Trial(), *(trial(plan, each) for each in FAULTS)]


@pytest.fixture(scope="module")
def together(plan, few):
    """All cases, in one block."""
    return fly_block(plan, few, 0, FLIGHTS)


def in_blocks(plan, few, flights):
    """Judge every case block by block, and put the flights of each together."""
    parts = [
        [flown.of(number) for number in range(len(few))]
        for _, flown in trials.run_trials(plan, few, flights)
    ]
    return [
        np.concatenate([np.stack([p[n].payload, p[n].vehicle, p[n].severity]) for p in parts], 1)
        for n in range(len(few))
    ]


def alone(flown, number):
    judged = flown.of(number)
    return np.stack([judged.payload, judged.vehicle, judged.severity])


@pytest.mark.parametrize(("size", "threads"), [(5, 1), (8, 3), (64, 2)])
def test_blocks_and_threads_change_nothing(plan, few, together, monkeypatch, size, threads):
    monkeypatch.setattr(trials, "BLOCK", size)
    monkeypatch.setattr(trials, "processors", lambda: threads)
    for number, found in enumerate(in_blocks(plan, few, FLIGHTS)):
        np.testing.assert_array_equal(found, alone(together, number))


def test_few_at_a_time_fly_like_many(plan, few, together, monkeypatch):
    monkeypatch.setattr(block, "TOGETHER", 5)
    monkeypatch.setattr(block, "CHUNK", 7)
    again = fly_block(plan, few, 0, FLIGHTS)
    np.testing.assert_array_equal(again.settled.which, together.settled.which)
    for name, column in together.columns.items():
        np.testing.assert_array_equal(again.columns[name], column, err_msg=name)


def test_a_longer_rehearsal_begins_with_a_shorter_one(plan, few, together):
    for number, found in enumerate(in_blocks(plan, few, 8)):
        np.testing.assert_array_equal(found, alone(together, number)[:, :8])


def test_a_rehearsal_counts_alike_on_any_threads(plan, monkeypatch):
    names = "wrong water, launch missed, battery flat: cell"
    found = []
    for size, threads in ((6, 1), (64, 3)):
        monkeypatch.setattr(trials, "BLOCK", size)
        monkeypatch.setattr(trials, "processors", lambda threads=threads: threads)
        found.append(rehearse(plan.campaign, flights=13, faults=names, mends=False))
    one, other = found
    assert (one.nominal, one.faults, one.cut_sets) == (other.nominal, other.faults, other.cut_sets)
    for ours, theirs in zip(one.watched, other.watched, strict=True):
        assert ours.outcome == theirs.outcome
        assert ours.stays == theirs.stays
        assert ours.acts == theirs.acts


@pytest.mark.parametrize("number", range(1 + len(FAULTS)))
def test_a_flight_watched_alone_does_what_it_did_among_others(plan, few, together, number):
    for flight in (0, FLIGHTS - 1):
        one = fly_block(plan, [few[number]], flight, 1)
        np.testing.assert_array_equal(flown_acts(one, 0)[0], flown_acts(together, number)[flight])
        seen = watched(plan, one, 0, case="alone")
        beside = watched(plan, together, flight, case="among others", trial=number)
        assert seen.flight == beside.flight == flight
        assert (seen.stays, seen.acts, seen.commands) == (
            beside.stays,
            beside.acts,
            beside.commands,
        )
        assert seen.outcome == beside.outcome


# ---------------------------------------------------------------- branches


def changing_nothing(plan):
    """Return an actuator that is slower by nothing at all."""
    known = happening(plan, "actuator slow", LATCH)

    def effect(scene, part, dice):
        travel = scene.actuators[part.name].travel_time
        return Effect(actuators={part.name: {"travel_time": 1.0 * travel}})

    return Trial((replace(known, fault=replace(known.fault, effect=effect)),))


def test_a_fault_that_changes_nothing_is_the_nominal_flight(plan):
    # The timer is late by design: where the board has opened the door, what is wrong with it is
    # never seen.
    idle = [changing_nothing(plan), trial(plan, ("actuator stuck", "timer servo"))]
    flown = fly_block(plan, [Trial(), *idle], 0, FLIGHTS)
    np.testing.assert_array_equal(flown.settled.which[1], flown.settled.which[0])
    np.testing.assert_array_equal(flown.settled.which[2], flown.settled.which[0])
    assert len(flown.settled.branches.flight) == FLIGHTS


def test_only_flights_that_differ_are_flown(plan, few, monkeypatch):
    flown_to_the_ground = []
    fly = block.Shared.flights

    def counted(self, rows, acts):
        flown_to_the_ground.append(len(rows))
        return fly(self, rows, acts)

    monkeypatch.setattr(block.Shared, "flights", counted)
    flown = fly_block(plan, few, 0, FLIGHTS)
    own_ascent = [0, 0, 0, 1]  # wrong water flies from the pad
    different = {
        (own_ascent[number], flight, times.tobytes())
        for number in range(len(few))
        for flight, times in enumerate(flown_acts(flown, number))
    }
    assert sum(flown_to_the_ground) == len(different) == len(flown.settled.branches.flight)
    assert FLIGHTS * 2 < len(different) < FLIGHTS * len(few)


def test_cases_of_a_flight_differ_by_their_faults_alone(together):
    dark = row(together, 2, "board", "FLAT_FROM")
    nominal, failing = acts(together, 0, "payload"), acts(together, 2, "payload")
    before = dark > nominal
    assert before.any()
    np.testing.assert_array_equal(failing[before], nominal[before])
