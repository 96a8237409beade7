"""Controllers on one battery feel what each other's actuators draw from it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from rehearsal.loops import REHEARSED, happening, trial

from loftwright.instruments.loads import may_starve
from loftwright.program.assemble import assemble
from loftwright.rehearsal.hearing import Part
from loftwright.rehearsal.plan import plan_of
from loftwright.rehearsal.rehearse import known_happenings
from loftwright.rehearsal.run import Trial, fly_block
from loftwright.rehearsal.watching import NO_POWER, watched
from loftwright.units import Quantity

FLIGHTS = 8
# The timer and its servo hang on the board's cell, which has aged; the board bears more than it.
SHARED = {
    "avionics.controller.0.battery": "cell",
    "avionics.actuator.0.battery": "cell",
    "avionics.battery.0.resistance": 2.0,
    "avionics.controller.1.brownout": 1.0,
    "avionics.controller.0.brownout": 2.7,
    "avionics.actuator.0.least_voltage": 1.0,
}
PULSE = 0.4  # s
STUCK = ("actuator stuck", "latch servo")


@cache
def plan_with(shared):
    campaign = example(REHEARSED)
    return plan_of(with_fields(campaign, SHARED) if shared else campaign, 5)


@cache
def stuck(shared):
    """The program as it is, and with a latch servo that stalls."""
    plan = plan_with(shared)
    return fly_block(plan, [Trial(), trial(plan, STUCK)], 0, FLIGHTS)


@cache
def with_every_fault():
    plan = plan_with(shared=True)
    happenings = [Trial((each,)) for each in known_happenings(plan)]
    return fly_block(plan, [Trial(), *happenings], 0, FLIGHTS)


def parts(flown):
    """The branches of a block, flown again, with the pairs that fly them."""
    cases, flights = flown.settled.which.shape
    case, flight = np.indices((cases, flights)).reshape(2, -1)
    which = flown.settled.which.ravel()
    found = []

    def take(some, each, ended):
        mine = (which >= some.start) & (which < some.stop)
        part = Part(flown.settled.branches, some, each, ended)
        found.append((part, case[mine], flight[mine], which[mine]))

    flown.block.vehicles(flown.settled.branches, take)
    return found


def ups(told):
    return {
        (name, output): up
        for name, commands in told.items()
        for output, (up, _) in commands.items()
    }


def test_a_stalled_servo_starves_the_other_controller():
    plan, flown = plan_with(shared=True), stuck(shared=True)
    for flight in range(FLIGHTS):
        seen = watched(plan, flown, flight, case="", trial=1)
        latch = seen.commands["board: latch"]
        assert "timer: door" not in seen.commands
        dark = next(stay for stay in seen.stays["timer"] if stay.stage == NO_POWER)
        # The timer looks at its supply every 10 ms.
        assert latch < dark.start <= latch + 0.0102


def test_what_is_pulsed_draws_no_longer_than_its_pulse():
    """A latch that stalls for the length of a pulse lets the timer begin anew after it."""
    plan = plan_with(shared=True)
    board = plan.campaign.programs["board"]
    pulsed = [
        replace(
            stage,
            do=tuple(
                replace(act, does="pulse", time=Quantity(PULSE)) if act.output == "latch" else act
                for act in stage.do
            ),
        )
        for stage in board.stage
    ]
    table = assemble(replace(board, stage=tuple(pulsed)))
    tables = {**plan.tables, "board": table}
    flown = fly_block(plan, [replace(trial(plan, STUCK), tables=tables)], 0, FLIGHTS)
    for flight in range(FLIGHTS):
        seen = watched(plan, flown, flight, case="")
        dark = [stay for stay in seen.stays["timer"] if stay.stage == NO_POWER]
        latch = seen.commands["board: latch"]
        # The timer's own start-up takes a tenth of a second.
        assert dark[0].end == pytest.approx(latch + PULSE + 0.1, abs=0.05)


def test_a_cell_of_its_own_keeps_the_timer_alive():
    plan, flown = plan_with(shared=False), stuck(shared=False)
    for flight in range(FLIGHTS):
        seen = watched(plan, flown, flight, case="", trial=1)
        assert "timer: door" in seen.commands
        assert NO_POWER not in {stay.stage for stay in seen.stays["timer"]}


def test_what_is_watched_is_what_was_flown():
    flown = stuck(shared=True)
    plan = plan_with(shared=True)
    for number in range(2):
        for flight in range(FLIGHTS):
            seen = watched(plan, flown, flight, case="", trial=number)
            branch = flown.settled.which[number, flight]
            acts = flown.settled.branches.acts[branch]
            for thing, act in zip(flown.block.things, acts, strict=True):
                assert seen.acts.get(thing, np.nan) == pytest.approx(act, nan_ok=True, abs=0.0)


def test_all_agree_on_what_all_do():
    """Heard again with what the others do, nobody does anything else."""
    flown = with_every_fault()
    changed = 0
    for part, case, flight, which in parts(flown):
        told = flown.ears.told(part, case, flight, which)
        alone, again = {}, {}
        for name in flown.wiring.controllers:
            alone[name] = flown.ears.commands(name, part, case, flight, which)
            again[name] = flown.ears.commands(name, part, case, flight, which, told)
        for key, up in ups(told).items():
            np.testing.assert_array_equal(ups(again)[key], up)
            changed += int(np.sum(ups(alone)[key] != up))
    assert changed > 10


def test_where_the_supply_bears_all_nobody_feels_the_others():
    """The sum of all currents tells beforehand which flights need no second look."""
    flown = with_every_fault()
    calm = 0
    for part, case, flight, which in parts(flown):
        told = flown.ears.told(part, case, flight, which)
        for number in np.unique(case):
            hearer = flown.hearers[number]
            for name in flown.wiring.controllers:
                starved = may_starve(flown.wiring, name, hearer.instruments[name], hearer.actuators)
                some = (case == number) & ~starved[flight]
                pairs = case[some], flight[some], which[some]
                known = {
                    each: {key: (up[some], down[some]) for key, (up, down) in commands.items()}
                    for each, commands in told.items()
                }
                alone = flown.ears.commands(name, part, *pairs)
                aware = flown.ears.commands(name, part, *pairs, known)
                for output, (up, _) in alone.items():
                    np.testing.assert_array_equal(aware[output][0], up)
                    calm += len(up)
    assert calm > 100


def test_nobody_starves_by_what_hangs_on_another_battery():
    plan = plan_with(shared=False)
    flown = stuck(shared=False)
    assert happening(plan, *STUCK).part.name == "latch servo"
    for hearer in flown.hearers:
        for name in flown.wiring.controllers:
            assert not may_starve(
                flown.wiring, name, hearer.instruments[name], hearer.actuators
            ).any()
