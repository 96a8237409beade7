"""The example's planted weaknesses are found, and a timer of its own mends them."""

from __future__ import annotations

import re
import shutil
from itertools import combinations

import pytest
from flight.campaigns import EXAMPLES, example
from rehearsal.loops import MENDED, REHEARSED, plan_for

from loftwright.documents import read_campaign
from loftwright.documents.avionics import parts
from loftwright.rehearsal.mends import Timings, proposals
from loftwright.rehearsal.rehearse import known_happenings, rehearse

PLUG, CELL = "connector opens at liftoff: bay plug", "battery flat: cell"
SERVO, TIMER = "actuator stuck: door servo", "battery flat: timer cell"
FLIGHTS = 60


@pytest.fixture(scope="module")
def mended():
    names = f"{PLUG}, {CELL}, {SERVO}, samples dropped"
    return rehearse(example(MENDED), flights=FLIGHTS, faults=names)


@pytest.fixture(scope="module")
def rehearsed():
    names = f"{PLUG}, {CELL}, {SERVO}, {TIMER}"
    return rehearse(example(REHEARSED), flights=FLIGHTS, faults=names, pairs=True)


def test_what_the_flight_hangs_on_is_found(mended):
    assert {case.name for case in mended.single_points} == {PLUG, CELL, SERVO}
    assert mended.nominal.lost.count == 0
    by_name = {case.name: case for case in mended.faults}
    assert by_name[PLUG].lost.count == FLIGHTS
    assert by_name[PLUG].vehicle["ballistic"].count == FLIGHTS
    # The cell goes flat between 5 s before first motion and 6 s after; until the door has been
    # worked, some 4.3 s after it, that loses the vehicle.
    assert by_name[CELL].lost.low < 9.3 / 11.0 < by_name[CELL].lost.high
    assert not by_name["samples dropped: baro"].is_single_point
    hangs = {each.part for each in mended.common_causes if each.leaves_no_way_down}
    assert hangs == {"cell", "bay plug", "board"}


def test_a_timer_of_its_own_mends_them(mended):
    (timer,) = (each for each in mended.mends if "timer" in each.words)
    assert set(timer.lost) == {"no fault", PLUG, CELL, SERVO}
    for name in (PLUG, CELL, SERVO):
        shift = timer.lost[name]
        assert shift.before.count > 0 == shift.after.count
        # The interval of the difference excludes zero.
        assert shift.low <= shift.difference < -0.5
        assert shift.high < 0.0
    assert timer.lost["no fault"].low <= 0.0 <= timer.lost["no fault"].high
    assert timer.good.difference == 0.0


def written_down(how, name, folder):
    """A copy of an example in which a mend has been written where its words say."""
    shutil.copytree(EXAMPLES / name, folder)
    parts, file, program = re.split(r"\n# (program-\S+)\n", how)
    avionics = folder / "avionics.toml"
    assert parts.startswith("# avionics.toml\n")
    avionics.write_text(f"{avionics.read_text(encoding='utf-8')}\n{parts}", encoding="utf-8")
    assert not (folder / file).exists()
    (folder / file).write_text(program, encoding="utf-8")
    return read_campaign(folder)


@pytest.mark.parametrize("name", [MENDED, REHEARSED])
def test_what_is_flown_is_what_is_shown(name, tmp_path):
    """Also where there is a timer already: the new one has names of its own."""
    plan = plan_for(name)
    case = next(iter(rehearse(plan.campaign, flights=4, faults=SERVO).faults))
    timer = next(proposals(plan.campaign, [case], {SERVO: "actuators"}, Timings(4.2, {})))
    written = written_down(timer.how, name, tmp_path / name)
    assert written.avionics == timer.campaign.avionics
    assert written.programs == timer.campaign.programs
    names = [part.name for _, _, part in parts(written.avionics)]
    assert len(set(names)) == len(names)


def test_cut_sets_are_the_faults_that_fail_alone(mended):
    assert {each.faults for each in mended.cut_sets} == {(PLUG,), (CELL,), (SERVO,)}
    by_name = {case.name: case for case in mended.faults}
    for each in mended.cut_sets:
        case = by_name[each.faults[0]]
        assert each.chance == pytest.approx(case.happens * case.lost.share)
    assert sum(each.share for each in mended.cut_sets) == pytest.approx(1.0)


def test_the_rehearsed_example_has_none_of_them_left(rehearsed):
    assert rehearsed.single_points == ()
    assert all(case.lost.count == 0 for case in rehearsed.faults)
    assert not any(each.leaves_no_way_down for each in rehearsed.common_causes)
    assert rehearsed.mends == ()


def test_pairs_lose_it_where_both_ways_down_are_gone(rehearsed):
    assert len(rehearsed.pairs) == len(list(combinations((PLUG, CELL, SERVO, TIMER), 2)))
    for case in rehearsed.pairs:
        # The board's way and the timer's own cell.
        both = TIMER in case.faults
        assert (case.lost.count > 0) == both
        assert not case.is_single_point  # that is of one fault
    sets = {frozenset(each.faults) for each in rehearsed.cut_sets}
    assert sets == {frozenset((TIMER, other)) for other in (PLUG, CELL, SERVO)}
    chances = {case.name: case.happens for case in rehearsed.faults}
    for case in rehearsed.pairs:
        one, other = case.faults
        assert case.happens == pytest.approx(chances[one] * chances[other])


def test_the_flights_to_look_at_are_the_worst(mended):
    assert [each.case for each in mended.watched] == [
        "no fault",
        *(case.name for case in mended.faults),
    ]
    for seen, case in zip(mended.watched[1:], mended.faults, strict=True):
        if case.lost.count:
            assert seen.flight == case.worst[0]
            assert "ballistic" in seen.outcome
    assert mended.watched[0].outcome == "Payload: released well. Vehicle: under canopy."


def test_names_of_faults_stand_for_one_part_each():
    from loftwright.rehearsal.cases import fault_name

    names = [fault_name(each) for each in known_happenings(plan_for(REHEARSED))]
    assert len(set(names)) == len(names)
