"""Faults of the library do in the loop what they say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from rehearsal.loops import MENDED, REHEARSED, acts, happening, plan_for, row, trial, words

from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.watching import watched

FLIGHTS = 24
DONE = 0.6  # s after its command: any actuator of the examples has done its work


def flown(name, *faults, flights=FLIGHTS):
    plan = plan_for(name)
    return plan, fly_block(plan, [Trial(), *(trial(plan, each) for each in faults)], 0, flights)


def stages(plan, block, flight, number, controller):
    seen = watched(plan, block, flight, case="", trial=number)
    return [stay.stage for stay in seen.stays[controller]]


def test_a_cell_flat_before_the_release_never_releases():
    _, block = flown(REHEARSED, ("battery flat", "cell"))
    flat = row(block, 1, "board", "FLAT_FROM")
    released, nominal = acts(block, 1, "payload"), acts(block, 0, "payload")
    before, after = flat < nominal - DONE, flat > nominal
    assert before.sum() > 5
    assert after.sum() > 5
    assert np.isnan(released[before]).all()
    np.testing.assert_array_equal(released[after], nominal[after])
    # The timer has a cell of its own.
    assert np.isfinite(acts(block, 1, "canopy")).all()
    assert {vehicle for _, vehicle in words(block, 1)} == {"under canopy"}


def test_without_the_timer_a_flat_cell_is_ballistic():
    _, block = flown(MENDED, ("battery flat", "cell"))
    flat, canopy = row(block, 1, "board", "FLAT_FROM"), acts(block, 0, "canopy")
    before = flat < canopy - DONE
    assert np.isnan(acts(block, 1, "canopy")[before]).all()
    gone = np.array([vehicle == "ballistic" for _, vehicle in words(block, 1)])
    assert gone[before].all()
    assert not gone[flat > canopy].any()


@pytest.mark.parametrize(
    "fault",
    [("connector opens at liftoff", "bay plug"), ("actuator stuck", "door servo")],
    ids=lambda each: each[0],
)
def test_the_timer_opens_what_the_board_does_not(fault):
    plan, block = flown(REHEARSED, fault)
    canopy, nominal = acts(block, 1, "canopy"), acts(block, 0, "canopy")
    assert np.isfinite(canopy).all()
    # 4.6 s after the line opened, held for 0.1 s; its servo takes some 0.15 s.
    assert canopy == pytest.approx(np.full(FLIGHTS, 4.85), abs=0.2)
    assert (canopy > nominal).all()
    assert stages(plan, block, 0, 1, "timer") == ["pad", "flying", "down"]


def test_where_the_line_stays_closed_the_timer_waits_for_ever():
    plan, block = flown(REHEARSED, "launch missed", flights=3)
    assert stages(plan, block, 0, 1, "timer") == ["pad"]
    # The board does not need it.
    np.testing.assert_array_equal(block.settled.which[1], block.settled.which[0])


def test_both_ways_down_gone_is_ballistic():
    plan = plan_for(REHEARSED)
    two = trial(plan, "launch missed", ("connector opens at liftoff", "bay plug"))
    block = fly_block(plan, [two], 0, 4)
    assert words(block) == [("never", "ballistic")] * 4


def test_a_blocked_vent_is_heard_as_no_climb_at_all():
    # The bay keeps its pressure: all that the board waits for has come, as soon as its window
    # opens, 0.8 s after it felt the push.
    plan, block = flown(MENDED, "vent blocked")
    released = acts(block, 1, "payload")
    assert released == pytest.approx(np.full(FLIGHTS, 1.02), abs=0.12)
    assert {payload for payload, _ in words(block, 1)} == {"too fast"}
    seen = watched(plan, block, 0, case="", trial=1)
    # As it warms, its pressure goes up and the height that is believed down.
    assert np.nanmax(seen.believed["board"]["height_m"]) < 3.0 < seen.truth["height_m"].max()


def test_narrow_vents_are_late():
    campaign = with_fields(
        example(MENDED), {"avionics.bay.0.vent_count": 1, "avionics.bay.0.vent_diameter": 0.3e-3}
    )
    as_it_is = acts(fly_block(plan_for(MENDED), [Trial()], 0, 8), 0, "canopy")
    late = acts(fly_block(plan_of(campaign, 1), [Trial()], 0, 8), 0, "canopy") - as_it_is
    assert (late > 0.04).all()
    assert np.median(late) > 0.1


def test_a_reset_in_flight_begins_on_the_pad():
    plan, block = flown(MENDED, ("controller resets in flight", "board"))
    begin = row(block, 1, "board", "RESET_FROM")
    nominal = acts(block, 0, "payload")
    number = int(np.argmax((begin > 0.8) & (begin < nominal - DONE)))
    assert 0.8 < begin[number] < nominal[number] - DONE
    names = stages(plan, block, number, 1, "board")
    assert names[:4] == ["pad", "climbing", "without power", "pad"]
    # It is not pushed any more, and its new pad is high up.
    released = acts(block, 1, "payload")[number]
    assert np.isnan(released) or released > nominal[number]


def test_exchanged_controllers_hear_nothing_of_what_they_wait_for():
    # The board's place has no line, and the timer's no barometer.
    plan, block = flown(REHEARSED, "controllers swapped", flights=4)
    assert np.isnan(acts(block, 1, "canopy")).all()
    assert words(block, 1) == [("never", "ballistic")] * 4
    assert block.hearers[1].runs == {"timer": "board", "board": "timer"}
    assert stages(plan, block, 0, 1, "timer") == ["pad"]
    assert stages(plan, block, 0, 1, "board") == ["pad"]


def guarded(hold):
    """The board with another hold of its way off the pad."""
    campaign = example(MENDED)
    program = campaign.programs["board"]
    pad, *others = program.stage
    way = replace(pad.way[0], hold=replace(pad.way[0].hold, value=hold))
    changed = replace(program, stage=(replace(pad, way=(way,)), *others))
    return plan_of(replace(campaign, programs={"board": changed}), 1)


def test_a_knock_on_the_pad_lets_go_there_unless_a_guard_holds_it_off():
    counts = []
    for hold in (0.02, 0.04, 0.6):
        plan = guarded(hold)
        block = fly_block(plan, [trial(plan, "false launch by handling")], 0, FLIGHTS)
        found = words(block)
        pad = np.array([payload == "on the pad" for payload, _ in found])
        begin = row(block, 0, "board", "BUMP_FROM")
        length = row(block, 0, "board", "BUMP_UNTIL") - begin
        # Whoever knocks for longer than the hold, and with more than 3 g over the one that is there
        # at rest, is taken for a launch; two samples either way.
        # What is let go follows 0.9 s later, and may fall into the flight.
        hard = row(block, 0, "board", "BUMP") > 3.2 * 9.80665
        assert pad[hard & (length > hold + 0.04) & (begin < -1.7)].all()
        assert not pad[length < hold - 0.04].any()
        assert all(vehicle == "on the pad" for _, vehicle in np.array(found)[pad])
        counts.append(int(pad.sum()))
    # No knock of the library lasts longer than half a second.
    assert counts[0] >= counts[1] > counts[2] == 0


def test_a_hold_that_gives_way_early_tears_off_early():
    _, block = flown(MENDED, ("hold gives way early", "payload"))
    torn = np.array([payload == "torn off early" for payload, _ in words(block, 1)])
    strength = [block.block.values[group]["payload.hold.strength"] for group in (0, 1)]
    left = strength[1] / strength[0]
    assert ((left > 0.1) & (left < 0.7)).all()
    # What is left bears the boost or does not; nothing tore without the fault.
    assert left[torn].max() < left[~torn].min() + 0.3
    assert torn.sum() > FLIGHTS / 2
    assert all(payload != "torn off early" for payload, _ in words(block, 0))
    released = block.figures(1, "release_time_s")
    assert (released[torn] < acts(block, 0, "payload")[torn]).all()


def test_a_jammed_latch_is_late_by_what_it_sticks():
    _, block = flown(MENDED, ("latch jams", "latch servo"))
    late = acts(block, 1, "payload") - acts(block, 0, "payload")
    sticks = block.hearers[1].actuators["latch servo"].sticks
    free = np.isfinite(late)
    assert free.sum() > 10
    np.testing.assert_allclose(late[free], sticks[free], rtol=1e-9)
    assert np.isinf(sticks[~free]).any()


def test_a_slow_servo_is_late_by_its_travel():
    _, block = flown(MENDED, ("actuator slow", "latch servo"))
    late = acts(block, 1, "payload") - acts(block, 0, "payload")
    slow, quick = (block.hearers[number].actuators["latch servo"].lasts for number in (1, 0))
    np.testing.assert_allclose(late, slow - quick, rtol=1e-9)


def test_two_faults_at_once_do_what_both_do():
    plan = plan_for(MENDED)
    stuck, slow = ("actuator stuck", "door servo"), ("actuator slow", "latch servo")
    block = fly_block(plan, [trial(plan, stuck), trial(plan, slow), trial(plan, stuck, slow)], 0, 6)
    np.testing.assert_array_equal(acts(block, 2, "payload"), acts(block, 1, "payload"))
    assert np.isnan(acts(block, 2, "canopy")).all()


def test_every_fault_says_a_sentence_and_changes_something():
    from loftwright.instruments.cases import inputs, scene_of
    from loftwright.rehearsal.rehearse import known_happenings

    plan = plan_for(REHEARSED)
    block = fly_block(plan, [Trial()], 0, 16)
    scene = scene_of(plan.campaign, block.block.values[0], plan.recipe.words, plan.seed, 0, 16)
    nominal = inputs(scene)
    for each in known_happenings(plan):
        case = inputs(scene, each)
        same_lanes = all(
            np.array_equal(case.lanes[name], rows, equal_nan=True)
            for name, rows in nominal.lanes.items()
        )
        same_actuators = all(
            case.actuators[name] is actuator for name, actuator in nominal.actuators.items()
        )
        unchanged = same_lanes and same_actuators and case.values is None
        assert not unchanged or case.programs != nominal.programs, each.says
        assert each.says.endswith(".")
        assert happening(plan, each.fault.name, each.part.name).part == each.part


def test_a_canopy_that_does_not_fill_hardly_brakes():
    """It comes down slower than without a canopy, and far faster than under one."""
    _, block = flown(REHEARSED, "canopy does not fill", "canopy tangles")
    landing = "touchdown_vehicle_speed_m_s"
    full, bundle, tangled = (block.figures(number, landing) for number in range(3))
    # A few hundredths of the canopy's drag, and the body's along the flow.
    assert (bundle > 3.0 * full).all()
    assert ((tangled > full) & (tangled < bundle)).all()
    assert {vehicle for _, vehicle in words(block, 1)} == {"canopy too fast"}


def test_what_has_no_barometer_believes_nothing():
    plan = plan_for(REHEARSED)
    seen = watched(plan, fly_block(plan, [Trial()], 0, 2), 0, case="", trial=0)
    assert set(seen.believed["timer"]) == {"time_s"}
    assert "height_m" in seen.believed["board"]
    assert "pressure_pa" not in seen.sensed["timer"]
